import type { Refusal } from '../platform/refusal.ts';

// What may be done with a redesign: each rule answers null, or why not. Pure; the acts ask them in their transaction.

export interface RedesignFacts {
  id: number;
  trialId: number | null;
  openedAt: Date;
  releasedAt: Date | null;
  closedAt: Date | null;
  droppedAt: Date | null;
}

export type RedesignState = 'under way' | 'released' | 'closed' | 'dropped';

/** How a redesign stands; it follows from what was done with it. */
export function redesignState(
  redesign: Pick<RedesignFacts, 'releasedAt' | 'closedAt' | 'droppedAt'>,
): RedesignState {
  if (redesign.droppedAt) return 'dropped';
  if (redesign.closedAt) return 'closed';
  return redesign.releasedAt ? 'released' : 'under way';
}

/** Whether anything may still be done with it. */
export function mayWorkOnRedesign(redesign: RedesignFacts): Refusal | null {
  const state = redesignState(redesign);
  return state === 'closed' || state === 'dropped'
    ? { code: 'redesign-over', sentence: `Redesign ${redesign.id} is ${state}.` }
    : null;
}

/** The parts are what was released: once that is done they stay, until the next round of revisions is started. */
export function mayChangeParts(
  redesign: RedesignFacts,
  present: readonly number[],
  wanted: readonly number[],
): Refusal | null {
  if (!redesign.releasedAt) return null;
  const isSame = present.length === wanted.length && present.every((id) => wanted.includes(id));
  return isSame
    ? null
    : {
        code: 'released-already',
        sentence: `Redesign ${redesign.id} is released: its parts stay. Start new revisions of them, or open another redesign.`,
      };
}

/** A part of a redesign, with how the revision stands that was begun for it; null before it is begun. */
export interface TouchedPart {
  number: string;
  revision: { letter: string; state: string } | null;
}

/** Whether the revisions may be released together. What was released on its own page before is no hindrance. */
export function mayRelease(redesign: RedesignFacts, parts: readonly TouchedPart[]): Refusal | null {
  const barred = mayWorkOnRedesign(redesign);
  if (barred) return barred;
  if (redesign.releasedAt) {
    return { code: 'released-already', sentence: `Redesign ${redesign.id} is released already.` };
  }
  if (parts.length === 0) {
    return { code: 'no-parts', sentence: 'This redesign touches no part: there is nothing to release.' };
  }
  const missing = parts.filter(({ revision }) => revision === null).map(({ number }) => number);
  if (missing.length > 0) {
    return {
      code: 'not-begun',
      sentence: `No new revision is begun of ${missing.join(', ')}: begin it, or take the part out of the redesign.`,
    };
  }
  const gone = parts.filter(({ revision }) => revision?.state === 'withdrawn');
  if (gone.length > 0) {
    const names = gone.map(({ number, revision }) => `${number} ${revision?.letter}`).join(', ');
    return {
      code: 'revision-withdrawn',
      sentence: `${names} ${gone.length === 1 ? 'is' : 'are'} withdrawn: begin the next revision first.`,
    };
  }
  return null;
}

/** The trial that says whether the problems are cured. */
export interface NamedTrial {
  title: string;
  passed: boolean | null;
  doneAt: Date | null;
}

/**
 * Whether a trial was made before there was anything to show: before the newest release, or, where no part changes,
 * before the redesign was opened. It cures nothing by itself: somebody must say why it counts all the same.
 */
export function isEarly(
  { openedAt, releasedAt }: Pick<RedesignFacts, 'openedAt' | 'releasedAt'>,
  { doneAt }: Pick<NamedTrial, 'doneAt'>,
): boolean {
  return doneAt !== null && doneAt < (releasedAt ?? openedAt);
}

/** A draft of a part that another redesign has begun. */
export interface DraftElsewhere {
  partNumber: string;
  letter: string;
  redesign: { id: number; title: string };
}

/** A part's one draft belongs to one redesign: what two of them write into it, neither could release alone. */
export function mayBegin(elsewhere: readonly DraftElsewhere[]): Refusal | null {
  if (elsewhere.length === 0) return null;
  const drafts = elsewhere.map(
    ({ partNumber, letter, redesign }) =>
      `${partNumber} ${letter} is being drawn for redesign ${redesign.id}, “${redesign.title}”.`,
  );
  return {
    code: 'drafted-elsewhere',
    sentence: `Nothing is begun. ${drafts.join(' ')} Release or drop that one first, take the part out of one of the two, or let one redesign gather the problems of both.`,
  };
}

/** Problems are cured when a trial says so: one must be named, made and passed, and the new revisions released. */
export function mayClose(
  redesign: RedesignFacts,
  partCount: number,
  trial: NamedTrial | null,
): Refusal | null {
  const barred = mayWorkOnRedesign(redesign);
  if (barred) return barred;
  if (partCount > 0 && !redesign.releasedAt) {
    return {
      code: 'not-released',
      sentence: 'Release its revisions first: nothing has changed at the machine yet.',
    };
  }
  if (!trial) {
    return {
      code: 'no-trial',
      sentence: 'Name the trial that is to show it: without one nothing counts as cured.',
    };
  }
  if (trial.passed === null) {
    return { code: 'trial-not-made', sentence: `The trial “${trial.title}” is not made yet.` };
  }
  return trial.passed
    ? null
    : {
        code: 'trial-failed',
        sentence: `The trial “${trial.title}” was not passed: the problems are not cured.`,
      };
}
