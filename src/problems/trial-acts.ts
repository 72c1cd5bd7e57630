import { finishJob } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import type { Tx } from '../platform/database.ts';
import type { Day } from '../platform/day.ts';
import { found, orRefuse, type Refusal, refuse, WrongField } from '../platform/refusal.ts';
import { mayWorkOnRedesign } from './redesign-rules.ts';
import { checkSeen, differences, namedJob, namedPart } from './store.ts';

export interface PlannedTrial {
  title: string;
  partId?: number | null;
  /** the trial job that does it */
  jobId?: number | null;
  /** what is measured, in which unit, and how */
  measured: string;
  unit?: string;
  how?: string;
  /** what counts as a pass: said before, so that nobody bends it after */
  passWhen?: string;
  plannedOn?: Day | null;
  /** what was measured before the change */
  before?: readonly number[];
}

export interface TrialResult {
  before: readonly number[];
  after: readonly number[];
  passed: boolean;
  words: string;
}

async function readTrial(tx: Tx, trialId: number) {
  return found(await tx.trial.findUnique({ where: { id: trialId } }), `There is no trial ${trialId}.`);
}

/** What a trial names, checked; its part is the job's where only the job is named. */
async function checkedNames(
  act: Act,
  { partId = null, jobId = null }: Pick<PlannedTrial, 'partId' | 'jobId'>,
) {
  const job = jobId === null ? null : await namedJob(act.tx, jobId, 'jobId');
  if (job && job.kind !== 'trial') {
    throw new WrongField('jobId', `Job ${job.id} is no trial: name a job of the kind trial, or none.`);
  }
  const part = partId === null ? null : await namedPart(act.tx, partId);
  return { partId: part?.id ?? job?.partId ?? null, jobId: job?.id ?? null };
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
  const { id } = await act.tx.trial.create({
    data: {
      ...names,
      title: plan.title,
      measured: plan.measured,
      unit: plan.unit ?? '',
      how: plan.how ?? '',
      passWhen: plan.passWhen ?? '',
      plannedOn: plan.plannedOn ?? null,
      before: JSON.stringify(plan.before ?? []),
      createdAt: act.at,
    },
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
  const names = await checkedNames(act, change);
  const old = {
    title: trial.title,
    partId: trial.partId,
    jobId: trial.jobId,
    measured: trial.measured,
    unit: trial.unit,
    how: trial.how,
    passWhen: trial.passWhen,
    plannedOn: trial.plannedOn,
    before: trial.before,
  };
  const wanted = {
    ...names,
    title: change.title,
    measured: change.measured,
    unit: change.unit ?? '',
    how: change.how ?? '',
    passWhen: change.passWhen ?? '',
    plannedOn: change.plannedOn ?? null,
    before: change.before ? JSON.stringify(change.before) : trial.before,
  };
  const { before, after } = differences(old, wanted);
  await act.tx.trial.update({ where: { id: trialId }, data: wanted });
  await act.log({
    kind: 'change-trial',
    ...names,
    thing: { type: 'trial', id: trialId },
    before,
    after: { ...after, title: change.title },
  });
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
 */
export async function finishTrial(
  act: Act,
  { trialId, finishJob: withJob = false, ...result }: TrialResult & { trialId: number; finishJob?: boolean },
): Promise<void> {
  const trial = await readTrial(act.tx, trialId);
  if (trial.passed !== null) refuse('trial-made', 'This trial is made already. Its result can be corrected.');
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
  { trialId, ...result }: TrialResult & { trialId: number },
): Promise<void> {
  const { tx } = act;
  const trial = await readTrial(tx, trialId);
  if (trial.passed === null) refuse('trial-not-made', 'This trial is not made yet.');
  orRefuse(mayFinishWith(result));
  const closed = await tx.redesign.findFirst({ where: { trialId, closedAt: { not: null } } });
  if (closed) {
    refuse(
      'redesign-closed',
      `Redesign ${closed.id} was closed on this result: it stays. Make another trial, and write down what fails as a new problem.`,
    );
  }
  const old = { before: trial.before, after: trial.after, passed: trial.passed, words: trial.words };
  const { before, after } = differences<object>(old, stored(result));
  await tx.trial.update({ where: { id: trialId }, data: stored(result) });
  await act.log({
    kind: 'change-trial',
    partId: trial.partId,
    jobId: trial.jobId,
    thing: { type: 'trial', id: trialId },
    before,
    after: { ...after, title: trial.title },
  });
}

const stored = ({ before, after, passed, words }: TrialResult) => ({
  before: JSON.stringify(before),
  after: JSON.stringify(after),
  passed,
  words,
});

const counts = ({ before, after }: TrialResult) => ({
  valuesBefore: before.length,
  valuesAfter: after.length,
});
