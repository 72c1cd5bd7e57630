import type { Day } from '../platform/day.ts';
import type { Draft } from './draft.ts';
import type { FrozenPhoto } from './photos.ts';

/** What is kept of a published bulletin: it never changes again, but for how people are named. */
export interface Frozen extends Draft {
  title: string;
  opening: string;
  closing: string;
  /** none in those published before there were any */
  photos?: FrozenPhoto[];
  /** the last act that was told; none in those published before it was kept */
  upToAct?: number;
  /** the first day it tells of; six days before its last where it is not kept */
  from?: Day;
}

/** Something put right after publishing: it stands beside the frozen text and never changes it. */
export interface Correction {
  /** ISO moment */
  at: string;
  /** the day of it where the build is */
  on: Day;
  words: string;
}

/** What the lead wrote to the computed sections, by section; corrections under a name no section has. */
export interface StoredSections {
  own: Record<string, string>;
  corrections: Correction[];
}

const CORRECTIONS = 'corrections';

/** Reads the stored column `sections`. */
export function readSections(text: string | undefined): StoredSections {
  const { [CORRECTIONS]: corrections, ...own } = JSON.parse(text ?? '{}') as Record<string, unknown>;
  return {
    own: own as Record<string, string>,
    corrections: (corrections ?? []) as Correction[],
  };
}

/** The reverse of readSections: sections without words are left out. */
export function writeSections({ own, corrections }: StoredSections): string {
  const kept = Object.entries(own).filter(([, words]) => words !== '');
  return JSON.stringify({
    ...Object.fromEntries(kept),
    ...(corrections.length ? { [CORRECTIONS]: corrections } : {}),
  });
}
