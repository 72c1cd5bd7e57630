import { partPath } from '../parts/index.ts';
import { type GeneralClass, limitsOf, parseCharacteristic } from '../specs/index.ts';

/** What a release is judged by. */
export interface ReleaseFacts {
  revisionId: number;
  letter: string;
  part: { number: string; kind: string };
  material: string | null;
  process: string | null;
  generalTolerance: GeneralClass | null;
  characteristics: readonly { position: number; label: string; text: string }[];
  documents: readonly { kind: string }[];
  /** numbers of the parts it goes into: with one of these its quantity follows from the structure */
  parents: readonly string[];
  /** that quantity in words, where it is known */
  needed: string | null;
  /** it goes into nothing and is something in itself: the machine, or a jig */
  isTop: boolean;
}

export interface ChecklistItem {
  code: 'material' | 'process' | 'limits' | 'document' | 'quantity';
  holds: boolean;
  /** what is asked, in words */
  word: string;
  /** what is there, or what is missing */
  note: string;
  /** where to put it right */
  fix: { href: string; label: string };
}

/**
 * What must hold before a revision is released: material, process, limits for every characteristic (or a general
 * tolerance), a drawing or model, and a quantity known from the structure.
 *
 * Material and process are asked of parts that are made. An assembly names them in its parts, and what is bought comes
 * as its supplier makes it.
 */
export function releaseChecklist(facts: ReleaseFacts): ChecklistItem[] {
  const { revisionId, part } = facts;
  const head = { href: `/revisions/${revisionId}/change` };
  const named = (code: 'material' | 'process', value: string | null): ChecklistItem => {
    const asked = part.kind === 'made';
    const why = part.kind === 'assembly' ? 'not asked of an assembly' : 'not asked of what is bought';
    return {
      code,
      holds: value !== null || !asked,
      word: code === 'material' ? 'Material' : 'Process',
      note: value ?? (asked ? `no ${code} chosen` : why),
      fix: { ...head, label: `Choose the ${code}` },
    };
  };
  return [
    named('material', facts.material),
    named('process', facts.process),
    limitsItem(facts),
    documentItem(facts),
    quantityItem(facts),
  ];
}

function limitsItem(facts: ReleaseFacts): ChecklistItem {
  const { generalTolerance, characteristics, part } = facts;
  const without = characteristics.filter(({ text }) => lacksLimits(text, generalTolerance));
  const names = without.map(({ position, text }) => `${position} (${text})`).join(', ');
  const item = {
    code: 'limits' as const,
    word: 'General tolerance, or limits on each characteristic',
    fix: {
      href: `/revisions/${facts.revisionId}/change`,
      label: 'Choose a general tolerance, or write limits beside them',
    },
  };
  if (generalTolerance !== null) {
    const open = without.length ? `; no limits can be computed for ${names}` : '';
    return { ...item, holds: true, note: `ISO 2768-${generalTolerance}${open}` };
  }
  if (without.length) return { ...item, holds: false, note: `no limits on ${names}` };
  if (characteristics.length === 0 && part.kind === 'made')
    return { ...item, holds: false, note: 'no general tolerance, and no characteristic' };
  const note = characteristics.length
    ? `limits on each of ${characteristics.length}`
    : 'no characteristic to limit';
  return { ...item, holds: true, note };
}

/** A requirement is held or not; it needs no limits. */
function lacksLimits(text: string, generalTolerance: GeneralClass | null): boolean {
  const reading = parseCharacteristic(text);
  if (!reading.ok || reading.characteristic.kind === 'requirement') return false;
  return 'refusal' in limitsOf(reading.characteristic, generalTolerance);
}

function documentItem({ documents, revisionId }: ReleaseFacts): ChecklistItem {
  const count = documents.filter(({ kind }) => kind === 'drawing' || kind === 'model').length;
  return {
    code: 'document',
    holds: count > 0,
    word: 'At least one drawing or model',
    note: count > 0 ? `${count} there` : 'no drawing or model yet',
    fix: { href: `/revisions/${revisionId}#documents`, label: 'Add a file' },
  };
}

function quantityItem({ parents, needed, isTop, part }: ReleaseFacts): ChecklistItem {
  const names =
    parents.length > 3
      ? `${parents.slice(0, 3).join(', ')} and ${parents.length - 3} more`
      : parents.join(', ');
  const into = `goes into ${names}`;
  return {
    code: 'quantity',
    holds: parents.length > 0 || isTop,
    word: 'Quantity known from the structure',
    note: parents.length
      ? needed === null
        ? into
        : `${needed}; ${into}`
      : isTop
        ? 'goes into nothing and is built once'
        : `${part.number} goes into nothing that is built`,
    fix: { href: partPath(part.number), label: 'Put it into an assembly' },
  };
}

/** What is missing, in one sentence; null when everything holds. */
export function missingSentence(letter: string, items: readonly ChecklistItem[]): string | null {
  const missing = items.filter(({ holds }) => !holds).map(({ note }) => note);
  return missing.length ? `Revision ${letter} can't be released yet: ${missing.join('; ')}.` : null;
}
