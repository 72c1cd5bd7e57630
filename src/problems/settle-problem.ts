import type { Act } from '../platform/acts.ts';
import { orRefuse } from '../platform/refusal.ts';
import { mayAccept, mayMerge, mayTakeUp, problemState } from './problem-rules.ts';
import { ranksOf, worseRank } from './problem-scales.ts';
import { differences, readProblem } from './store.ts';

/** The lead says that a problem is lived with, and why. It leaves the redesign it was in. */
export async function acceptProblem(
  act: Act,
  { problemId, reason }: { problemId: number; reason: string },
): Promise<void> {
  const problem = await readProblem(act.tx, problemId);
  orRefuse(mayAccept(problem, act.actor));
  await act.tx.problem.update({
    where: { id: problemId },
    data: { acceptedAt: act.at, acceptReason: reason, acceptedById: act.actor.personId, redesignId: null },
  });
  await act.log({
    kind: 'accept-problem',
    partId: problem.partId,
    jobId: problem.jobId,
    thing: { type: 'problem', id: problemId },
    before: { redesignId: problem.redesignId },
    after: { title: problem.title, reason },
  });
}

/**
 * Says that a problem is the same as another, which stands for both from now on: with the worse
 * rank of the two on each scale, in the redesign of the first where it has none itself, and for whatever was the same as
 * the first. What is merged keeps its words and photos.
 */
export async function mergeProblems(
  act: Act,
  { problemId, sameAsId }: { problemId: number; sameAsId: number },
): Promise<void> {
  const { tx } = act;
  const problem = await readProblem(tx, problemId);
  const other = await readProblem(tx, sameAsId);
  orRefuse(mayMerge(problem, other));
  await tx.problem.update({ where: { id: problemId }, data: { sameAsId, redesignId: null } });
  await tx.problem.updateMany({ where: { sameAsId: problemId }, data: { sameAsId } });
  await act.log({
    kind: 'merge-problems',
    partId: problem.partId,
    jobId: problem.jobId,
    thing: { type: 'problem', id: problemId },
    before: { redesignId: problem.redesignId },
    after: { title: problem.title, sameAsId, into: other.title },
  });
  await intoRedesignOf(act, problem, other);
  const old = ranksOf(other);
  const mine = ranksOf(problem);
  const { before, after } = differences(old, {
    severity: worseRank(mine.severity, old.severity) ?? old.severity,
    occurrence: worseRank(mine.occurrence, old.occurrence),
    detection: worseRank(mine.detection, old.detection),
  });
  if (Object.keys(after).length === 0) return;
  await tx.problem.update({ where: { id: sameAsId }, data: after });
  await act.log({
    kind: 'change-problem',
    partId: other.partId,
    jobId: other.jobId,
    thing: { type: 'problem', id: sameAsId },
    before,
    after: { title: other.title, ...after, because: problemId },
  });
}

/** A redesign that gathers a problem goes on with the one that stands for it, or the cure would lose its fault. */
async function intoRedesignOf(
  act: Act,
  { id, redesignId }: { id: number; redesignId: number | null },
  other: { id: number; redesignId: number | null },
): Promise<void> {
  if (redesignId === null || other.redesignId !== null) return;
  const redesign = await act.tx.redesign.findUniqueOrThrow({
    where: { id: redesignId },
    select: { title: true, problems: { select: { id: true }, orderBy: { id: 'asc' } } },
  });
  const rest = redesign.problems.map((problem) => problem.id);
  await act.tx.problem.update({ where: { id: other.id }, data: { redesignId } });
  const inOrder = (ids: number[]) => ids.sort((a, b) => a - b);
  await act.log({
    kind: 'change-redesign',
    thing: { type: 'redesign', id: redesignId },
    before: { problems: inOrder([...rest, id]) },
    after: { problems: inOrder([...rest, other.id]), title: redesign.title },
  });
}

/** Opens a problem again that was accepted as it is, or merged by mistake. */
export async function takeUpProblem(act: Act, problemId: number): Promise<void> {
  const problem = await readProblem(act.tx, problemId);
  orRefuse(mayTakeUp(problem, act.actor));
  await act.tx.problem.update({
    where: { id: problemId },
    data: { acceptedAt: null, acceptReason: '', acceptedById: null, sameAsId: null },
  });
  await act.log({
    kind: 'change-problem',
    partId: problem.partId,
    jobId: problem.jobId,
    thing: { type: 'problem', id: problemId },
    before: { state: problemState(problem), reason: problem.acceptReason, sameAsId: problem.sameAsId },
    after: { title: problem.title, state: 'open' },
  });
}
