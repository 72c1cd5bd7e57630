import type { Act, Actor } from '../platform/acts.ts';
import { found, orRefuse, type Refusal, refuse } from '../platform/refusal.ts';
import type { JobFacts } from './facts.ts';
import { readJob } from './store.ts';

/** Makers ask about a job they are on, or one that is offered; the shop about any. */
export function mayAsk(job: JobFacts, actor: Actor): Refusal | null {
  if (job.droppedAt) return { code: 'job-dropped', sentence: `Job ${job.id} was dropped.` };
  if (actor.role === 'lead' || actor.role === 'crew') return null;
  const onIt =
    job.personId === actor.personId || job.claims.some(({ personId }) => personId === actor.personId);
  if (onIt || (job.offeredAt && !job.heldAt)) return null;
  return { code: 'not-on-the-job', sentence: `Job ${job.id} is not offered, and you are not on it.` };
}

function askerOf({ actor }: Act): number {
  return actor.personId ?? refuse('not-signed-in', 'Sign in to ask.');
}

/** Asks about the drawing or the work. @returns the query's id */
export async function askQuery(
  act: Act,
  { jobId, question }: { jobId: number; question: string },
): Promise<number> {
  const { facts } = await readJob(act.tx, jobId);
  orRefuse(mayAsk(facts, act.actor));
  const { id } = await act.tx.query.create({
    data: { jobId, askedById: askerOf(act), question, askedAt: act.at },
  });
  await act.log({ kind: 'ask-query', partId: facts.partId, jobId, thing: { type: 'query', id } });
  return id;
}

/** Answers a query, or answers it anew. Everyone on the job sees it. @returns the job's number */
export async function answerQuery(
  act: Act,
  { queryId, answer }: { queryId: number; answer: string },
): Promise<number> {
  const query = found(
    await act.tx.query.findUnique({ where: { id: queryId }, include: { job: true } }),
    `There is no query ${queryId}.`,
  );
  if (act.actor.role !== 'lead' && act.actor.role !== 'crew') {
    refuse('not-the-shop', 'Queries are answered by the lead or the crew.');
  }
  await act.tx.query.update({
    where: { id: queryId },
    data: { answer, answeredAt: act.at, answeredById: act.actor.personId },
  });
  await act.log({
    kind: 'answer-query',
    partId: query.job.partId,
    jobId: query.jobId,
    aboutId: query.askedById === act.actor.personId ? null : query.askedById,
    thing: { type: 'query', id: queryId },
    ...(query.answer === null ? {} : { before: { answer: query.answer }, after: { answer } }),
  });
  return query.jobId;
}
