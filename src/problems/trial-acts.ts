import { finishJob } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import type { Tx } from '../platform/database.ts';
import type { Day } from '../platform/day.ts';
import { found, orRefuse, type Refusal, refuse, WrongField } from '../platform/refusal.ts';
import { mayWorkOnRedesign } from './redesign-rules.ts';
import { checkSeen, differences, namedJob, namedPart } from './store.ts';
import { kindOf, type TrialKind } from './trial-kinds.ts';

export interface PlannedTrial {
  title: string;
  partId?: number | null;
  /** the trial job that does it */
  jobId?: number | null;
  /** decides how the values are read and compared */
  kind?: TrialKind;
  /** what is measured, in which unit, and how */
  measured: string;
  unit?: string;
  how?: string;
  /** what counts as a pass: said before, so that nobody bends it after */
  passWhen?: string;
  /** limits that the mean after is wanted within; of yes-no the share in %, of failures the rate in 100 runs */
  wantedMin?: number | null;
  wantedMax?: number | null;
  /** the smallest change that would matter, in the same unit */
  worthwhile?: number | null;
  plannedOn?: Day | null;
  /** what was measured before the change: of failures counts, of yes-no ones and noughts */
  before?: readonly number[];
  /** of levels: those of the noise alone */
  noiseBefore?: readonly number[];
  /** of failures: in how many runs, hours or pieces they were counted, and which of these */
  runsBefore?: number | null;
  runsUnit?: string;
}

export interface TrialResult {
  before: readonly number[];
  after: readonly number[];
  noiseBefore?: readonly number[];
  noiseAfter?: readonly number[];
  runsBefore?: number | null;
  runsAfter?: number | null;
  passed: boolean;
  words: string;
}

/** The log keeps lists up to this long; of longer ones it says how long they are. */
const LOGGED_VALUES = 200;

async function readTrial(tx: Tx, trialId: number) {
  return found(await tx.trial.findUnique({ where: { id: trialId } }), `There is no trial ${trialId}.`);
}

/** What a trial names, checked; its part is the job's where only the job is named. */
async function checkedNames(
  act: Act,
  { partId = null, jobId = null }: Pick<PlannedTrial, 'partId' | 'jobId'>,
  before?: { partId: number | null },
) {
  const job = jobId === null ? null : await namedJob(act.tx, jobId, 'jobId');
  if (job && job.kind !== 'trial') {
    throw new WrongField('jobId', `Job ${job.id} is no trial: name a job of the kind trial, or none.`);
  }
  // a part taken out of the build meanwhile may stay, or no other change could be made
  if (partId !== null && partId !== before?.partId) await namedPart(act.tx, partId);
  return { partId: partId ?? job?.partId ?? null, jobId: job?.id ?? null };
}

/**
 * Plans a trial: what is measured, how, and what counts as a pass.
 *
 * @param redesignId  the redesign it is to show the cure of: the trial is named for it
 * @returns           its id
 */
export async function planTrial(
  act: Act,
  { redesignId = null, ...plan }: PlannedTrial & { redesignId?: number | null },
): Promise<number> {
  const names = await checkedNames(act, plan);
  const redesign =
    redesignId === null ? null : await act.tx.redesign.findUnique({ where: { id: redesignId } });
  if (redesignId !== null && !redesign) {
    throw new WrongField('redesignId', 'Choose a redesign of the list.');
  }
  if (redesign) orRefuse(mayWorkOnRedesign(redesign));
  checkValues(plan.kind ?? 'other', plan);
  const { id } = await act.tx.trial.create({
    data: { ...names, ...storedPlan(plan), before: JSON.stringify(plan.before ?? []), createdAt: act.at },
  });
  await act.log({
    kind: 'plan-trial',
    ...names,
    thing: { type: 'trial', id },
    after: { title: plan.title, plannedOn: plan.plannedOn ?? null, ...(redesign ? { redesignId } : {}) },
  });
  if (redesign) {
    await act.tx.redesign.update({ where: { id: redesign.id }, data: { trialId: id } });
    await act.log({
      kind: 'change-redesign',
      thing: { type: 'redesign', id: redesign.id },
      before: { trialId: redesign.trialId },
      after: { title: redesign.title, trialId: id },
    });
  }
  return id;
}

/** Changes the plan of a trial that is not made yet. */
export async function changeTrial(
  act: Act,
  change: PlannedTrial & { trialId: number; seen?: number },
): Promise<void> {
  const { trialId } = change;
  const trial = await readTrial(act.tx, trialId);
  if (trial.passed !== null) {
    refuse('trial-made', 'This trial is made: its plan stays as it was. Plan another one to try again.');
  }
  await checkSeen(act, 'trial', trialId, change.seen);
  const names = await checkedNames(act, change, trial);
  checkValues(change.kind ?? kindOf(trial.kind), change);
  const wanted = {
    ...names,
    ...storedPlan({ kind: kindOf(trial.kind), ...change }),
    before: change.before ? JSON.stringify(change.before) : trial.before,
  };
  await act.tx.trial.update({ where: { id: trialId }, data: wanted });
  await act.log({
    kind: 'change-trial',
    ...names,
    thing: { type: 'trial', id: trialId },
    ...loggedChange(trial, wanted),
  });
}

const storedPlan = (plan: PlannedTrial) => ({
  title: plan.title,
  kind: plan.kind ?? 'other',
  measured: plan.measured,
  unit: plan.unit ?? '',
  how: plan.how ?? '',
  passWhen: plan.passWhen ?? '',
  wantedMin: plan.wantedMin ?? null,
  wantedMax: plan.wantedMax ?? null,
  worthwhile: plan.worthwhile ?? null,
  plannedOn: plan.plannedOn ?? null,
  noiseBefore: JSON.stringify(plan.noiseBefore ?? []),
  runsBefore: plan.runsBefore ?? null,
  runsUnit: plan.runsUnit ?? '',
});

/** What is different of a trial, for the log, with its title. */
function loggedChange<T extends object>(trial: T & { title: string }, wanted: Partial<T>) {
  const old = Object.fromEntries(
    (Object.keys(wanted) as (keyof T & string)[]).map((name) => [name, trial[name]]),
  );
  const { before, after } = differences<Record<string, unknown>>(old, wanted as Record<string, unknown>);
  return { before: withShortLists(before), after: { title: trial.title, ...withShortLists(after) } };
}

/** Ten thousand values are no reading for a log. */
function withShortLists(record: Record<string, unknown>): Record<string, unknown> {
  return Object.fromEntries(
    Object.entries(record).map(([name, value]) => {
      const list: unknown = typeof value === 'string' && value.startsWith('[') ? JSON.parse(value) : null;
      return Array.isArray(list) && list.length > LOGGED_VALUES
        ? [name, `${list.length} values`]
        : [name, value];
    }),
  );
}

/**
 * Values that fit the kind of the trial: it may have been changed since they were typed.
 *
 * @throws WrongField
 */
function checkValues(kind: TrialKind, values: Partial<TrialResult>): void {
  const sides = [
    { field: 'before', values: values.before ?? [], runs: values.runsBefore },
    { field: 'after', values: values.after ?? [], runs: values.runsAfter },
  ];
  for (const { field, values: given, runs } of sides) {
    if (kind === 'yes-no' && given.some((value) => value !== 0 && value !== 1)) {
      throw new WrongField(field, 'This trial is of yes and no: type yes and no, 1 and 0, or 7 of 10.');
    }
    if (kind !== 'failures') continue;
    if (given.some((value) => !Number.isSafeInteger(value) || value < 0)) {
      throw new WrongField(field, 'This trial counts failures: type whole numbers of 0 or more.');
    }
    if (given.length > 0 && !(runs && runs > 0)) {
      throw new WrongField(field, 'This trial counts failures: say in how many runs they were counted.');
    }
  }
}

/** A result says something: a word, or values after the change. */
function mayFinishWith({ after, words }: TrialResult): Refusal | null {
  return after.length === 0 && words === ''
    ? { code: 'nothing-seen', sentence: 'Paste the values after the change, or say in a word what was seen.' }
    : null;
}

/**
 * Writes down what came of a trial, and whether it was passed. Its job is finished with it where wished.
 *
 * @param input.finishJob  finish the trial's job as well, if it is open
 * @param input.seen       the change of the plan that the writer saw: refused when there is a newer one
 */
export async function finishTrial(
  act: Act,
  {
    trialId,
    finishJob: withJob = false,
    seen,
    ...result
  }: TrialResult & { trialId: number; finishJob?: boolean; seen?: number },
): Promise<void> {
  const trial = await readTrial(act.tx, trialId);
  if (trial.passed !== null) refuse('trial-made', 'This trial is made already. Its result can be corrected.');
  await checkSeen(act, 'trial', trialId, seen);
  checkValues(kindOf(trial.kind), { runsBefore: trial.runsBefore, runsAfter: trial.runsAfter, ...result });
  orRefuse(mayFinishWith(result));
  await act.tx.trial.update({ where: { id: trialId }, data: { ...stored(result), doneAt: act.at } });
  await act.log({
    kind: 'finish-trial',
    partId: trial.partId,
    jobId: trial.jobId,
    thing: { type: 'trial', id: trialId },
    after: { title: trial.title, passed: result.passed, ...counts(result) },
  });
  const job = withJob && trial.jobId !== null ? await namedJob(act.tx, trial.jobId) : null;
  if (job && !job.finishedAt && !job.droppedAt) {
    const outcome = `Trial ${trial.title}: ${result.passed ? 'passed' : 'failed'}.`;
    await finishJob(act, { jobId: job.id, result: outcome, ready: true, atBench: false });
  }
}

/** Corrects what was written down of a trial that is made; refused once a redesign was closed on it. */
export async function correctTrial(
  act: Act,
  { trialId, seen, ...result }: TrialResult & { trialId: number; seen?: number },
): Promise<void> {
  const { tx } = act;
  const trial = await readTrial(tx, trialId);
  if (trial.passed === null) refuse('trial-not-made', 'This trial is not made yet.');
  await checkSeen(act, 'trial', trialId, seen);
  checkValues(kindOf(trial.kind), { runsBefore: trial.runsBefore, runsAfter: trial.runsAfter, ...result });
  orRefuse(mayFinishWith(result));
  const closed = await tx.redesign.findFirst({ where: { trialId, closedAt: { not: null } } });
  if (closed) {
    refuse(
      'redesign-closed',
      `Redesign ${closed.id} was closed on this result: it stays. Make another trial, and write down what fails as a new problem.`,
    );
  }
  await tx.trial.update({ where: { id: trialId }, data: stored(result) });
  await act.log({
    kind: 'change-trial',
    partId: trial.partId,
    jobId: trial.jobId,
    thing: { type: 'trial', id: trialId },
    ...loggedChange(trial, stored(result)),
  });
}

const stored = (result: TrialResult) => ({
  before: JSON.stringify(result.before),
  after: JSON.stringify(result.after),
  // what the result does not speak of stays as it was planned
  noiseBefore: result.noiseBefore && JSON.stringify(result.noiseBefore),
  noiseAfter: result.noiseAfter && JSON.stringify(result.noiseAfter),
  runsBefore: result.runsBefore,
  runsAfter: result.runsAfter,
  passed: result.passed,
  words: result.words,
});

const counts = ({ before, after }: TrialResult) => ({
  valuesBefore: before.length,
  valuesAfter: after.length,
});
