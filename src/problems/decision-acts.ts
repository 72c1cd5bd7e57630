import type { Act } from '../platform/acts.ts';
import type { Tx } from '../platform/database.ts';
import { found, orRefuse, WrongField } from '../platform/refusal.ts';
import { mayChangeDecision, mayDecide, mayHandOn } from './decision-rules.ts';
import { gatheringOver } from './gathering-rules.ts';
import { namedPerson } from './problem-people.ts';
import { checkSeen, differences, namedJob, namedPart } from './store.ts';

export interface NewDecision {
  question: string;
  /** two or more, or none where the answer is open */
  options: readonly string[];
  /** the job that waits for it */
  jobId?: number | null;
  /** the part whose work waits for it; where a job is named as well, that one goes before */
  partId?: number | null;
  /** who decides: of lead and crew; none: the lead */
  deciderId?: number | null;
  /** the gathering it is kept for */
  gatheringId?: number | null;
}

async function readDecision(tx: Tx, decisionId: number) {
  return found(
    await tx.decision.findUnique({ where: { id: decisionId } }),
    `There is no decision ${decisionId}.`,
  );
}

type Row = Awaited<ReturnType<typeof readDecision>>;

/** What is asked, checked: as it is stored. What stood before may stay, even where it is over by now. */
async function checked(act: Act, input: NewDecision, before: Row | null) {
  const { tx } = act;
  const { question, jobId = null, partId = null, deciderId = null, gatheringId = null } = input;
  const options = [...new Set(input.options)];
  if (options.length === 1) {
    throw new WrongField('options', 'One option is no choice: name two at least, or none.');
  }
  const job = jobId === null ? null : await namedJob(tx, jobId);
  if (job && job.id !== before?.jobId && (job.finishedAt || job.droppedAt)) {
    throw new WrongField('jobId', `Job ${job.id} is over: nothing waits there.`);
  }
  if (partId !== null && partId !== before?.partId) await namedPart(tx, partId);
  if (deciderId !== null && deciderId !== before?.deciderId) {
    await namedPerson(tx, deciderId, 'deciderId', ['lead', 'crew']);
  }
  if (before && deciderId !== before.deciderId && !mayHandOn(before, act.actor)) {
    throw new WrongField('deciderId', 'Only who asked, who decides, or the lead names somebody else.');
  }
  if (gatheringId !== null && gatheringId !== before?.gatheringId) {
    const gathering = await tx.gathering.findUnique({ where: { id: gatheringId } });
    if (!gathering || gathering.droppedAt || gatheringOver(gathering, act.today)) {
      throw new WrongField('gatheringId', 'Choose a gathering that is still ahead.');
    }
  }
  return {
    about: { jobId, partId: partId ?? job?.partId ?? null },
    data: { question, options: JSON.stringify(options), jobId, partId, deciderId, gatheringId },
    options,
  };
}

/** Whom an act concerns, where that is not who does it. */
function otherThan({ actor }: Act, personId: number | null): number | null {
  return personId === actor.personId ? null : personId;
}

/**
 * Asks an open question, with what waits for the answer and who gives it.
 *
 * @returns its id
 * @throws WrongField  options, jobId, part, deciderId, gatheringId: not there, over, or not of lead and crew
 */
export async function askDecision(act: Act, input: NewDecision): Promise<number> {
  const { about, data, options } = await checked(act, input, null);
  const { id } = await act.tx.decision.create({
    data: { ...data, askedAt: act.at, askedById: act.actor.personId },
  });
  await act.log({
    kind: 'ask-decision',
    ...about,
    aboutId: otherThan(act, data.deciderId),
    thing: { type: 'decision', id },
    after: { question: data.question, options, gatheringId: data.gatheringId },
  });
  return id;
}

/** Says an open question better: its options, what waits for it, who decides, the gathering it is kept for. */
export async function changeDecision(
  act: Act,
  change: NewDecision & { decisionId: number; seen?: number },
): Promise<void> {
  const row = await readDecision(act.tx, change.decisionId);
  orRefuse(mayChangeDecision(row));
  await checkSeen(act, 'decision', row.id, change.seen);
  const { about, data } = await checked(act, change, row);
  const { question, options, jobId, partId, gatheringId } = row;
  const { before, after } = differences({ question, options, jobId, partId, gatheringId }, data);
  await act.tx.decision.update({ where: { id: row.id }, data });
  await act.log({
    kind: 'change-decision',
    ...about,
    aboutId: data.deciderId === row.deciderId ? null : otherThan(act, data.deciderId),
    thing: { type: 'decision', id: row.id },
    before,
    after: { ...after, question: data.question },
  });
}

/**
 * Takes a decision: one of its options, or another answer.
 *
 * @param input.seen  the change of the question that was answered: refused when there is a newer one
 */
export async function takeDecision(
  act: Act,
  {
    decisionId,
    answer,
    reason = '',
    seen,
  }: { decisionId: number; answer: string; reason?: string; seen?: number },
): Promise<void> {
  const decision = await readDecision(act.tx, decisionId);
  orRefuse(mayDecide(decision, act.actor));
  await checkSeen(act, 'decision', decisionId, seen);
  await act.tx.decision.update({
    where: { id: decisionId },
    data: { answer, reason, decidedAt: act.at, decidedById: act.actor.personId },
  });
  await act.log({
    kind: 'take-decision',
    partId: decision.partId,
    jobId: decision.jobId,
    thing: { type: 'decision', id: decisionId },
    // The bulletin sets its own full stop.
    after: { question: decision.question, answer: answer.replace(/\.+$/, ''), reason },
  });
}

/** Drops a question that needs no answer any more. */
export async function dropDecision(
  act: Act,
  { decisionId, reason = '' }: { decisionId: number; reason?: string },
): Promise<void> {
  const decision = await readDecision(act.tx, decisionId);
  orRefuse(mayChangeDecision(decision));
  await act.tx.decision.update({ where: { id: decisionId }, data: { droppedAt: act.at, reason } });
  await act.log({
    kind: 'drop-decision',
    partId: decision.partId,
    jobId: decision.jobId,
    thing: { type: 'decision', id: decisionId },
    after: { question: decision.question, reason },
  });
}
