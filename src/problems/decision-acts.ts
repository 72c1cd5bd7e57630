import type { Act } from '../platform/acts.ts';
import type { Tx } from '../platform/database.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import { gatheringOver } from './gathering-rules.ts';
import { namedJob } from './store.ts';

export interface NewDecision {
  question: string;
  /** two or more, or none where the answer is open */
  options: readonly string[];
  /** the job that waits for it */
  jobId?: number | null;
  /** the gathering it is kept for */
  gatheringId?: number | null;
}

async function readOpenDecision(tx: Tx, decisionId: number) {
  const decision = found(
    await tx.decision.findUnique({ where: { id: decisionId } }),
    `There is no decision ${decisionId}.`,
  );
  if (decision.droppedAt) refuse('decision-dropped', 'This question was dropped.');
  if (decision.decidedAt) refuse('decided-already', `This is decided already: ${decision.answer}`);
  return decision;
}

/**
 * Asks an open question, with what waits for the answer.
 *
 * @returns its id
 */
export async function askDecision(act: Act, input: NewDecision): Promise<number> {
  const { question, jobId = null, gatheringId = null } = input;
  const options = [...new Set(input.options)];
  if (options.length === 1) {
    throw new WrongField('options', 'One option is no choice: name two at least, or none.');
  }
  const job = jobId === null ? null : await namedJob(act.tx, jobId);
  if (job && (job.finishedAt || job.droppedAt)) {
    throw new WrongField('jobId', `Job ${job.id} is over: nothing waits there.`);
  }
  if (gatheringId !== null) {
    const gathering = await act.tx.gathering.findUnique({ where: { id: gatheringId } });
    if (!gathering || gathering.droppedAt || gatheringOver(gathering, act.today)) {
      throw new WrongField('gatheringId', 'Choose a gathering that is still ahead.');
    }
  }
  const { id } = await act.tx.decision.create({
    data: {
      question,
      options: JSON.stringify(options),
      jobId,
      gatheringId,
      askedAt: act.at,
      askedById: act.actor.personId,
    },
  });
  await act.log({
    kind: 'ask-decision',
    partId: job?.partId,
    jobId,
    thing: { type: 'decision', id },
    after: { question, options, gatheringId },
  });
  return id;
}

/** Takes a decision: one of its options, or another answer. */
export async function takeDecision(
  act: Act,
  { decisionId, answer, reason = '' }: { decisionId: number; answer: string; reason?: string },
): Promise<void> {
  const decision = await readOpenDecision(act.tx, decisionId);
  await act.tx.decision.update({
    where: { id: decisionId },
    data: { answer, reason, decidedAt: act.at, decidedById: act.actor.personId },
  });
  await act.log({
    kind: 'take-decision',
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
  const decision = await readOpenDecision(act.tx, decisionId);
  await act.tx.decision.update({ where: { id: decisionId }, data: { droppedAt: act.at, reason } });
  await act.log({
    kind: 'drop-decision',
    jobId: decision.jobId,
    thing: { type: 'decision', id: decisionId },
    after: { question: decision.question, reason },
  });
}
