import type { Actor } from '../platform/acts.ts';
import type { Refusal } from '../platform/refusal.ts';

// What may be done with a problem: each rule answers null, or why not. Pure; the acts ask them in their transaction.

/** What of a problem says how it stands. */
export interface ProblemFacts {
  id: number;
  seenById: number | null;
  redesignId: number | null;
  acceptedAt: Date | null;
  curedAt: Date | null;
  sameAsId: number | null;
}

export type ProblemState = 'open' | 'in a redesign' | 'cured' | 'accepted' | 'same as another';

/** How a problem stands; it follows from what was done with it. */
export function problemState(
  problem: Pick<ProblemFacts, 'redesignId' | 'acceptedAt' | 'curedAt' | 'sameAsId'>,
): ProblemState {
  if (problem.sameAsId !== null) return 'same as another';
  if (problem.curedAt) return 'cured';
  if (problem.acceptedAt) return 'accepted';
  return problem.redesignId === null ? 'open' : 'in a redesign';
}

/** Whether something is still to be done about it. */
export function isPending(problem: ProblemFacts): boolean {
  const state = problemState(problem);
  return state === 'open' || state === 'in a redesign';
}

function settled(problem: ProblemFacts): Refusal | null {
  if (isPending(problem)) return null;
  const state = problemState(problem);
  const words =
    state === 'same as another'
      ? `the same as problem ${problem.sameAsId}: go on there`
      : state === 'accepted'
        ? 'accepted as it is: take it up again first'
        : 'cured: if it is seen again, write it down as a new one';
  return { code: 'settled', sentence: `Problem ${problem.id} is ${words}.` };
}

/** Lead and crew change any problem, a maker their own; one that is settled stays as it is. */
export function mayChangeProblem(problem: ProblemFacts, actor: Actor): Refusal | null {
  if (actor.role === 'maker' && actor.personId !== problem.seenById) {
    return {
      code: 'not-yours',
      sentence: 'Somebody else wrote this problem down: only they or the shop change it.',
    };
  }
  return settled(problem);
}

/** To live with a fault is for the lead to say. */
export function mayAccept(problem: ProblemFacts, actor: Actor): Refusal | null {
  if (actor.role !== 'lead') {
    return { code: 'lead-only', sentence: 'Only the lead accepts a problem as it is.' };
  }
  return settled(problem);
}

/** Whether `problem` may be said to be the same as `other`, which then stands for both. */
export function mayMerge(problem: ProblemFacts, other: ProblemFacts): Refusal | null {
  if (problem.id === other.id) {
    return { code: 'same-problem', sentence: 'A problem is not the same as itself: name another one.' };
  }
  return settled(problem) ?? settled(other);
}

/** What was accepted by the lead is taken up again by the lead; what was merged wrongly, by lead or crew. */
export function mayTakeUp(problem: ProblemFacts, actor: Actor): Refusal | null {
  const state = problemState(problem);
  if (state === 'accepted' && actor.role !== 'lead') {
    return { code: 'lead-only', sentence: 'The lead accepted this: only the lead takes it up again.' };
  }
  if (state === 'accepted' || state === 'same as another') return null;
  return state === 'cured'
    ? settled(problem)
    : { code: 'still-open', sentence: `Problem ${problem.id} is open already.` };
}

/** Whether a redesign may gather a problem: one that is open, or that it holds already. */
export function mayGather(problem: ProblemFacts, redesignId: number | null): Refusal | null {
  const barred = settled(problem);
  if (barred) return barred;
  if (problem.redesignId !== null && problem.redesignId !== redesignId) {
    return {
      code: 'in-another-redesign',
      sentence: `Problem ${problem.id} is in redesign ${problem.redesignId} already.`,
    };
  }
  return null;
}
