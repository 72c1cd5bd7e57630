import type { Actor } from '../platform/acts.ts';
import type { Refusal } from '../platform/refusal.ts';

// What may be done with a decision: each rule answers null, or why not. Pure.

/** What of a decision says how it stands. */
export interface DecisionFacts {
  answer: string;
  decidedAt: Date | null;
  droppedAt: Date | null;
  /** who decides; none: the lead */
  deciderId: number | null;
}

/** Whether a question still waits for its answer. */
export function mayChangeDecision({ answer, decidedAt, droppedAt }: DecisionFacts): Refusal | null {
  if (droppedAt) return { code: 'decision-dropped', sentence: 'This question was dropped.' };
  if (decidedAt) return { code: 'decided-already', sentence: `This is decided already: ${answer}` };
  return null;
}

/** Whoever may decide may hand it on, as may who asked: nobody else takes it to themselves. */
export function mayHandOn(decision: DecisionFacts & { askedById: number | null }, actor: Actor): boolean {
  return (actor.personId !== null && actor.personId === decision.askedById) || !mayDecide(decision, actor);
}

/** An open question is answered by who is named for it, and by the lead in any case. */
export function mayDecide(decision: DecisionFacts, { role, personId }: Actor): Refusal | null {
  const barred = mayChangeDecision(decision);
  if (barred) return barred;
  if (role === 'lead' || (personId !== null && personId === decision.deciderId)) return null;
  const who = decision.deciderId === null ? 'the lead' : 'who is named for it, or the lead,';
  return { code: 'not-yours-to-decide', sentence: `Only ${who} decides this.` };
}
