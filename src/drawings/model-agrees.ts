import type { FileFacts } from '../models/index.ts';
import type { GeneralClass, MaterialEntry, ProcessEntry } from '../specs/index.ts';
import { fileFindings } from './model-agrees-files.ts';
import { makingFindings } from './model-agrees-making.ts';
import { revisionFindings } from './model-agrees-revisions.ts';
import { sizeFindings } from './model-agrees-sizes.ts';

/** A file of a revision with what is known of it. */
export interface AgreeFile {
  name: string;
  /** drawing, model, flat pattern, ... */
  kind: string;
  sha256: string;
  /** null while it waits to be read, where it can't be, and for kinds without facts */
  facts: FileFacts | null;
}

export interface AgreeRevision {
  letter: string;
  generalClass: GeneralClass | null;
  characteristics: readonly { position: number; label: string; text: string }[];
  files: readonly AgreeFile[];
}

/** What a revision's model is held against. */
export interface AgreeQuestion {
  part: { number: string };
  revision: AgreeRevision;
  /** the revision before it; null for the first */
  before: AgreeRevision | null;
  /** letters of all revisions of the part */
  letters: readonly string[];
  /** is this the number of another part of the build? Gives it as the build writes it. */
  otherPart(number: string): string | null;
  process: Pick<ProcessEntry, 'name' | 'envelope'> | null;
  material: Pick<MaterialEntry, 'name' | 'stock'> | null;
}

/** Findings by weight: the first hurts most when it is overlooked. */
export const AGREE_CODES = [
  'unit',
  'open-contours',
  'other-part',
  'too-small',
  'size',
  'files',
  'revision-letter',
  'same-model',
  'same-drawing',
  'no-unit',
  'unread',
  'envelope',
  'stock',
] as const;

export type AgreeCode = (typeof AGREE_CODES)[number];

/** Something in which the model and the rest of a revision do not go together. */
export interface Disagreement {
  code: AgreeCode;
  /** what is seen, with its figures in mm */
  sentence: string;
  /** name of the file it is about */
  about: string;
  /** what to do */
  advice: string;
}

/** What a maker who gets the files has to know too. */
export const FOR_MAKERS: readonly AgreeCode[] = ['unit', 'open-contours', 'no-unit'];

/**
 * Where a revision's models, flat patterns, sizes, process and material do not go together, the weightiest first.
 *
 * Each finding is something to look at, never a verdict: what can't be read surely is passed over in silence. A box is
 * that along the axes of the file, so that a part which lies askew in it may be found wrongly; the advice says so.
 */
export function modelDisagreements(question: AgreeQuestion): Disagreement[] {
  const files = fileFindings(question);
  const wrongUnit = new Set(files.filter(({ code }) => code === 'unit').map(({ about }) => about));
  const sizes = sizeFindings(question).filter(({ about }) => !wrongUnit.has(about));
  for (const { code, about } of sizes) if (code === 'unit') wrongUnit.add(about);
  const findings = [
    // Which unit it looks like tells that none is named.
    ...files.filter(({ code, about }) => code !== 'no-unit' || !wrongUnit.has(about)),
    ...sizes,
    ...revisionFindings(question),
    // A size in the wrong unit says nothing of machines and stock.
    ...makingFindings(question).filter(({ about }) => !wrongUnit.has(about)),
  ];
  return findings.sort((a, b) => AGREE_CODES.indexOf(a.code) - AGREE_CODES.indexOf(b.code));
}
