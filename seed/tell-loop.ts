import { decideOldUnits } from '../src/drawings/index.ts';
import { followJob } from '../src/jobs/index.ts';
import {
  acceptProblem,
  askDecision,
  closeRedesign,
  comeToGathering,
  dropDecision,
  dropGathering,
  finishTrial,
  leaveGathering,
  mergeProblems,
  openRedesign,
  packForGathering,
  planGathering,
  planTrial,
  releaseRedesign,
  seeProblem,
  startRedesignRevisions,
  takeDecision,
  writePackingLine,
} from '../src/problems/index.ts';
import type { Book } from './book.ts';
import { decisions, gatherings, oldUnits, problems, redesigns, trials } from './loop.ts';
import { picture } from './pictures.ts';
import { HOURS } from './timeline.ts';

/** Problems, what is done about them, what is decided, and where people meet. */
export function tellLoop(book: Book): void {
  tellProblems(book);
  tellRedesigns(book);
  tellTrials(book);
  tellDecisions(book);
  tellGatherings(book);
}

function tellProblems(book: Book): void {
  for (const { key, who, on, part, job, seenBy, photo, accepted, sameAs, ...seen } of problems) {
    book.act(on, HOURS.work, who, async (act) => {
      const id = await seeProblem(act, book.context.files, {
        partId: part ? book.parts.get(part) : null,
        jobId: job ? book.jobs.get(job) : null,
        ...seen,
        seenById: seenBy ? book.people.get(seenBy) : null,
        photos: photo ? [await picture(photo, 5)] : [],
      });
      book.problems.set(key, id);
    });
    if (accepted) {
      book.act(accepted.on, HOURS.late, 'jerica', (act) =>
        acceptProblem(act, { problemId: book.problems.get(key), reason: accepted.reason }),
      );
    }
    if (sameAs) {
      book.act(sameAs.on, HOURS.late, 'jerica', (act) =>
        mergeProblems(act, { problemId: book.problems.get(key), sameAsId: book.problems.get(sameAs.key) }),
      );
    }
  }
}

function tellRedesigns(book: Book): void {
  for (const {
    key,
    title,
    change,
    opened,
    problems: gathered,
    parts,
    hours,
    begun,
    released,
    closed,
  } of redesigns) {
    const redesignId = () => book.redesigns.get(key);
    book.act(opened, HOURS.late, 'jerica', async (act) => {
      const id = await openRedesign(act, {
        title,
        change,
        problemIds: gathered.map((problem) => book.problems.get(problem)),
        partIds: parts.map((part) => book.parts.get(part)),
        hours,
      });
      book.redesigns.set(key, id);
    });
    if (begun !== undefined) {
      book.act(begun, HOURS.plan, 'jerica', (act) =>
        startRedesignRevisions(act, { redesignId: redesignId() }),
      );
    }
    if (released !== undefined) {
      book.act(released, HOURS.release, 'jerica', (act) =>
        releaseRedesign(act, { redesignId: redesignId() }),
      );
    }
    if (closed !== undefined) {
      book.act(closed, HOURS.late, 'jerica', (act) => closeRedesign(act, { redesignId: redesignId() }));
    }
  }
  for (const { on, part, as, follow } of oldUnits) {
    book.act(on, HOURS.plan, 'jerica', async (act) => {
      const units = await act.tx.oldUnits.findMany({ where: { decidedAs: null } });
      for (const { id, revisionId } of units) {
        const revision = await act.tx.revision.findUniqueOrThrow({ where: { id: revisionId } });
        if (revision.partId !== book.parts.get(part)) continue;
        const { followJobId } = await decideOldUnits(act, { oldUnitsId: id, decision: as }, followJob);
        if (followJobId !== null) book.jobs.set(follow, followJobId);
      }
    });
  }
}

function tellTrials(book: Book): void {
  for (const { key, planned, part, job, redesign, for: day, done, ...plan } of trials) {
    book.act(planned, HOURS.late, 'jerica', async (act) => {
      const id = await planTrial(act, {
        ...plan,
        partId: part ? book.parts.get(part) : null,
        jobId: job ? book.jobs.get(job) : null,
        redesignId: redesign ? book.redesigns.get(redesign) : null,
        plannedOn: day === undefined ? null : book.timeline.day(day),
      });
      book.trials.set(key, id);
    });
    if (!done) continue;
    const { on, ...result } = done;
    book.act(on, HOURS.shop, 'daniyar', (act) =>
      finishTrial(act, { trialId: book.trials.get(key), ...result, finishJob: job !== undefined }),
    );
  }
}

function tellDecisions(book: Book): void {
  for (const {
    key,
    on,
    who,
    question,
    options,
    job,
    part,
    decider,
    gathering,
    taken,
    dropped,
  } of decisions) {
    book.act(on, HOURS.late, who, async (act) => {
      const id = await askDecision(act, {
        question,
        options,
        jobId: job ? book.jobs.get(job) : null,
        partId: part ? book.parts.get(part) : null,
        deciderId: decider ? book.people.get(decider) : null,
        gatheringId: gathering ? book.gatherings.get(gathering) : null,
      });
      book.decisions.set(key, id);
    });
    if (taken) {
      book.act(taken.on, HOURS.plan, 'jerica', (act) =>
        takeDecision(act, {
          decisionId: book.decisions.get(key),
          answer: taken.answer,
          reason: taken.reason,
        }),
      );
    }
    if (dropped) {
      book.act(dropped.on, HOURS.plan, 'jerica', (act) =>
        dropDecision(act, { decisionId: book.decisions.get(key), reason: dropped.reason }),
      );
    }
  }
}

function tellGatherings(book: Book): void {
  for (const story of gatherings) {
    const { key, planned, title, from, until, place, places, note, comers, dropped } = story;
    const gatheringId = () => book.gatherings.get(key);
    const day = (at: number) => book.timeline.day(at);
    book.act(planned, HOURS.plan, 'jerica', async (act) => {
      const days = { fromOn: day(from), untilOn: day(until) };
      const hours = { beginsAt: story.begins, dayHours: story.hours };
      book.gatherings.set(key, await planGathering(act, { title, ...days, ...hours, place, places, note }));
    });
    for (const { who, on, skills, left, there, hours } of comers) {
      const personId = () => book.people.get(who);
      book.act(on, HOURS.claim, who, (act) =>
        comeToGathering(act, {
          gatheringId: gatheringId(),
          personId: personId(),
          skills,
          fromOn: there ? day(there[0]) : null,
          untilOn: there ? day(there[1]) : null,
          hours: hours ?? null,
        }),
      );
      if (left !== undefined) {
        book.act(left, HOURS.claim, who, (act) =>
          leaveGathering(act, { gatheringId: gatheringId(), personId: personId() }),
        );
      }
    }
    for (const { on, by, words, who, packed } of story.packing ?? []) {
      let line = '';
      book.act(on, HOURS.claim, by, async (act) => {
        const personId = who ? book.people.get(who) : null;
        line = await writePackingLine(act, { gatheringId: gatheringId(), words, personId });
      });
      if (packed !== undefined) {
        book.act(packed, HOURS.claim, who ?? by, (act) =>
          packForGathering(act, { gatheringId: gatheringId(), key: line }),
        );
      }
    }
    if (dropped) {
      book.act(dropped.on, HOURS.plan, 'jerica', (act) =>
        dropGathering(act, { gatheringId: gatheringId(), reason: dropped.reason }),
      );
    }
  }
}
