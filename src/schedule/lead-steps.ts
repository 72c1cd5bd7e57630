import type { JobFacts } from '../jobs/index.ts';
import type { Change } from './build-model.ts';
import type { Schedule } from './schedule.ts';
import { type StartableStep, startableSteps } from './startable.ts';
import type { Step } from './steps.ts';

/** What the lead or the crew is asked to do. */
export type LeadAct = NonNullable<StartableStep['act']> | 'answer' | 'decide';

/** Something only lead or crew can do, that nothing stands before. */
export interface LeadStep {
  /** fits into an address and stays the same while the step remains */
  key: string;
  act: LeadAct;
  label: string;
  jobId: number | null;
  partId: number | null;
  claimId: number | null;
  queryId: number | null;
  decisionId: number | null;
  /** hours of attention it takes, and where the figure is from */
  hours: number;
  hoursBecause: string;
  /** what the length of the step rests on */
  because: string;
  floatDays: number;
  critical: boolean;
  /** fit-ups and trials that wait for it, directly or not, and the nearest of them */
  waiting: number;
  nextFitUp: string | null;
  /** makers with the tools for it and nothing in hand */
  idle: number[];
  /** the step done today, and left until a week from today */
  now: Change[];
  later: Change[];
}

/** How much of the lead's attention a step takes where nobody said; hours. Common practice, no source. */
export const ATTENTION_HOURS: Readonly<Record<LeadAct, number>> = {
  draw: 4,
  release: 1,
  offer: 0.5,
  order: 0.5,
  inspect: 0.5,
  fit: 4,
  try: 2,
  do: 2,
  answer: 0.25,
  decide: 0.5,
};

/** What is left undone this week is taken to be done a week from today. */
export const LEFT_FOR_DAYS = 7;

/** Those with the least float are simulated; beyond so many nothing would be told that anybody reads. */
const MOST_STEPS = 250;

/** Everything lead and crew could do now: steps of the network, queries to answer, decisions to take. */
export function leadSteps(
  schedule: Schedule,
  startable: readonly StartableStep[] = startableSteps(schedule),
): LeadStep[] {
  const jobs = new Map(schedule.network.openJobs.map((job) => [job.id, job]));
  const idle = idleMakers(schedule);
  const { floats } = schedule.dates;
  const mine = startable
    .filter(({ act }) => act !== null)
    .sort((a, b) => floats[a.at]! - floats[b.at]! || b.waiting - a.waiting || a.at - b.at)
    .slice(0, MOST_STEPS);
  const steps = mine.flatMap((one) => {
    const { step, act, waiting, nextFitUp, at } = one;
    if (act === null) return [];
    const job = step.jobId === null ? undefined : jobs.get(step.jobId);
    // Offering takes no time: done today it is as planned, and finding a maker begins a week later otherwise.
    const [now, later]: [Change[], Change[]] =
      act === 'offer'
        ? [[], [{ step: at, kind: 'notBefore', value: LEFT_FOR_DAYS }]]
        : [[{ step: at, kind: 'overAt', value: 0 }], [{ step: at, kind: 'overAt', value: LEFT_FOR_DAYS }]];
    const found: LeadStep = {
      key: step.key,
      act,
      label: step.label,
      jobId: step.jobId,
      partId: step.partId,
      claimId: step.claimId,
      queryId: null,
      decisionId: null,
      ...hoursOf(schedule, act, step.partId, job),
      because: step.because,
      floatDays: step.floatDays,
      critical: step.critical,
      waiting,
      nextFitUp,
      idle: act === 'draw' || act === 'release' || act === 'offer' ? idle(step.partId, job) : [],
      now,
      later,
    };
    return [found];
  });
  return [...steps, ...queriesToAnswer(schedule), ...decisionsToTake(schedule)].sort(
    (a, b) => a.floatDays - b.floatDays || b.waiting - a.waiting || (a.key < b.key ? -1 : 1),
  );
}

/** The hours of attention a step takes, and where the figure is from. */
export function hoursOf(
  { facts }: Pick<Schedule, 'facts'>,
  act: LeadAct,
  partId: number | null,
  job: JobFacts | null | undefined,
): Pick<LeadStep, 'hours' | 'hoursBecause'> {
  const isDrawing = act === 'draw';
  // An estimate of no hours is none: something by the hour of nothing would be worth everything.
  if (job?.hours && (isDrawing || act === 'fit' || act === 'try' || act === 'do')) {
    return { hours: job.hours, hoursBecause: `job ${job.id} says ${job.hours} h` };
  }
  const drawing = isDrawing && partId !== null ? (facts.parts.get(partId)?.designHours ?? null) : null;
  if (drawing) return { hours: drawing, hoursBecause: `the part says ${drawing} h` };
  const hours = ATTENTION_HOURS[act];
  return { hours, hoursBecause: `nobody estimated it: usually ${hours} h` };
}

/** Makers who have nothing in hand and a tool for the way a part is made. */
function idleMakers({ facts }: Schedule): (partId: number | null, job: JobFacts | undefined) => number[] {
  const busy = new Set<number>();
  for (const job of facts.jobs) {
    if (job.droppedAt) continue;
    for (const { personId, milli, backMilli, doneMilli } of job.claims) {
      if (milli - backMilli > doneMilli) busy.add(personId);
    }
  }
  const byProcess = new Map<number, number[]>();
  return (partId, job) => {
    if (partId === null) return [];
    const revisions = facts.revisions.get(partId) ?? [];
    const revision = revisions.find(({ id }) => id === job?.revisionId) ?? revisions.at(-1);
    const processId = revision?.processId ?? facts.parts.get(partId)?.processId ?? null;
    if (processId === null) return [];
    let idle = byProcess.get(processId);
    if (!idle) {
      idle = (facts.toolsFor.get(processId) ?? []).filter((personId) => {
        const person = facts.people.get(personId);
        return person?.active === true && person.weeklyHours > 0 && !busy.has(personId);
      });
      byProcess.set(processId, idle);
    }
    return idle;
  };
}

/** A maker who asked goes on when the answer is there. */
function queriesToAnswer({ facts, network, dates }: Schedule): LeadStep[] {
  const keyOf = (jobId: number, personId: number) => `${jobId} ${personId}`;
  const makingAt = new Map<string, number>();
  for (const [at, { word, job, claim }] of network.nodes.entries()) {
    if (word !== 'make' || !job || !claim) continue;
    const key = keyOf(job.id, claim.personId);
    if (!makingAt.has(key)) makingAt.set(key, at);
  }
  return facts.queries.flatMap((query) => {
    const at = makingAt.get(keyOf(query.jobId, query.askedById));
    if (at === undefined) return [];
    const step = network.nodes[at]!;
    const who = facts.people.get(query.askedById)?.name ?? 'the maker';
    return [
      {
        ...aside(step, dates.floats[at]!),
        key: `query-${query.id}`,
        act: 'answer',
        label: `Answer ${who} on ${step.part?.name ?? `job ${query.jobId}`}`,
        queryId: query.id,
        hours: ATTENTION_HOURS.answer,
        hoursBecause: `usually ${ATTENTION_HOURS.answer} h`,
        because: `${who} asked and waits; a week without an answer is counted as a week of making lost`,
        idle: [query.askedById],
        now: [],
        later: [{ step: at, kind: 'longer', value: LEFT_FOR_DAYS }],
      } satisfies LeadStep,
    ];
  });
}

/** What waits for a decision begins when it is taken. One kept for a gathering is taken there. */
function decisionsToTake({ facts, network, dates }: Schedule): LeadStep[] {
  return facts.decisions.flatMap((decision) => {
    const { jobId, partId, gatheringId } = decision;
    if ((jobId === null && partId === null) || gatheringId !== null) return [];
    const firsts = network.nodes.flatMap(({ job, part, kind }, at) => {
      const waits = jobId === null ? part?.id === partId && kind !== 'mark' : job?.id === jobId;
      return waits ? [at] : [];
    });
    if (firsts.length === 0) return [];
    const at = firsts.reduce((one, other) => (dates.floats[other]! < dates.floats[one]! ? other : one));
    const step = network.nodes[at]!;
    return [
      {
        ...aside(step, dates.floats[at]!),
        key: `decision-${decision.id}`,
        act: 'decide',
        label: `Decide: ${decision.question}`,
        decisionId: decision.id,
        hours: ATTENTION_HOURS.decide,
        hoursBecause: `usually ${ATTENTION_HOURS.decide} h`,
        because:
          jobId === null
            ? `the work on ${facts.parts.get(partId ?? 0)?.name ?? 'a part'} waits for it`
            : `job ${jobId} waits for it`,
        idle: [],
        now: [],
        later: firsts.map((first) => ({ step: first, kind: 'notBefore', value: LEFT_FOR_DAYS })),
      } satisfies LeadStep,
    ];
  });
}

function aside(step: Step, floatDays: number) {
  return {
    jobId: step.jobId,
    partId: step.partId,
    claimId: step.claimId,
    queryId: null,
    decisionId: null,
    floatDays,
    critical: floatDays === 0,
    waiting: 0,
    nextFitUp: null,
  };
}
