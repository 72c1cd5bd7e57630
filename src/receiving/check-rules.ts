import type { Unit } from '../parts/index.ts';
import type { Refusal } from '../platform/refusal.ts';
import type { ParcelLine } from './parcel-rules.ts';
import { be, say } from './say.ts';

export const DISPOSITIONS = ['accept', 'concession', 'rework', 'return', 'scrap'] as const;
export type Disposition = (typeof DISPOSITIONS)[number];

/** What each disposition means, for the people at the bench. */
export const DISPOSITION_WORDS: Record<Disposition, string> = {
  accept: 'as drawn',
  concession: 'not as drawn, used as it is',
  rework: 'mended: makes a rework job',
  return: 'back to the maker: makes a rework job',
  scrap: 'cannot be saved: makes a job for new ones',
};

/** Whether the units stay with the machine; all others are made good by a job that follows. */
export function isKept(disposition: string): boolean {
  return disposition === 'accept' || disposition === 'concession';
}

/** The kind of job that makes a rejected unit good; null for one that is kept. */
export function followReason(disposition: Disposition): 'rework' | 'replacement' | null {
  if (isKept(disposition)) return null;
  return disposition === 'scrap' ? 'replacement' : 'rework';
}

/** A parcel line with the units in it that have a disposition. */
export interface LineToCheck extends ParcelLine {
  /** number of the line's first unit within the job */
  firstUnit: number;
  /** numbers of the units that have a disposition */
  checkedUnits: readonly number[];
}

/** Counted and without a disposition. */
export function uncheckedOf(line: ParcelLine): number {
  return (line.countedMilli ?? 0) - line.checkedMilli;
}

/**
 * The numbers of the pieces that wait for a disposition, the lowest first.
 *
 * Every posted piece of a job has its number from the posting on: the lines of a job follow one another. Pieces that
 * came short are taken to be the last of their line, so a gap in the numbers is a piece that never came.
 */
export function openUnits(line: LineToCheck): number[] {
  const taken = new Set(line.checkedUnits);
  const wanted = uncheckedOf(line) / 1000;
  const open: number[] = [];
  const last = line.firstUnit + line.milli / 1000;
  for (let unit = line.firstUnit; unit < last && open.length < wanted; unit += 1) {
    if (!taken.has(unit)) open.push(unit);
  }
  return open;
}

/** What a check is about: pieces by their numbers, anything else by its quantity. */
export type CheckedUnits = { unitNos: readonly number[] } | { milli: number; waitingMilli: number };

/** The quantity a check is about. */
export function milliOf(units: CheckedUnits): number {
  return 'unitNos' in units ? units.unitNos.length * 1000 : units.milli;
}

/**
 * Whether these units may get a disposition: they are counted and have none, and they add up.
 *
 * For units that are no pieces `waitingMilli` is what the person saw as waiting: two who decide on the same metres at
 * one moment see the same, and only the first finds it still so.
 */
export function mayCheck(
  line: LineToCheck,
  units: CheckedUnits,
  { disposition, reason }: { disposition: string; reason: string },
  unit: Unit,
): Refusal | null {
  if (line.countedMilli === null) {
    return { code: 'not-counted', sentence: 'Count what is in the parcel first.' };
  }
  if (!DISPOSITIONS.some((known) => known === disposition)) {
    return { code: 'no-disposition', sentence: 'Say what becomes of it.' };
  }
  if (disposition !== 'accept' && reason.trim() === '') {
    return { code: 'no-reason', sentence: 'Say why it is not accepted as drawn.' };
  }
  if ('unitNos' in units !== (unit === 'piece')) {
    return {
      code: 'other-unit',
      sentence: `This is decided ${unit === 'piece' ? 'by the piece' : `in ${unit}`}.`,
    };
  }
  const waiting = uncheckedOf(line);
  if ('unitNos' in units) return mayCheckPieces(line, units.unitNos);
  if (units.waitingMilli !== waiting) {
    return {
      code: 'checked-meanwhile',
      sentence: `Somebody was quicker: ${say(waiting, unit)} ${be(waiting)} still to be inspected. Look again.`,
    };
  }
  if (units.milli <= 0) return { code: 'no-quantity', sentence: 'Say how much this is about.' };
  if (units.milli > waiting) {
    return {
      code: 'more-than-counted',
      sentence: `Only ${say(waiting, unit)} ${be(waiting)} to be inspected; this is about ${say(units.milli, unit)}.`,
    };
  }
  return null;
}

function mayCheckPieces(line: LineToCheck, unitNos: readonly number[]): Refusal | null {
  if (unitNos.length === 0) return { code: 'no-quantity', sentence: 'Say which pieces this is about.' };
  if (new Set(unitNos).size !== unitNos.length) {
    return { code: 'unit-twice', sentence: 'A piece is named twice.' };
  }
  const done = unitNos.filter((unitNo) => line.checkedUnits.includes(unitNo));
  if (done.length) {
    return {
      code: 'unit-checked',
      sentence: `Somebody was quicker: ${pieces(done)} ${done.length === 1 ? 'is' : 'are'} inspected already. Look again.`,
    };
  }
  const open = new Set(openUnits(line));
  const strange = unitNos.filter((unitNo) => !open.has(unitNo));
  if (strange.length) {
    return {
      code: 'unit-not-here',
      sentence: `${pieces(strange).replace(/^p/, 'P')} ${strange.length === 1 ? 'is' : 'are'} not here to be inspected.`,
    };
  }
  return null;
}

/** From so many on, numbers that follow one another are said as a run. */
const SHORTEST_RUN = 4;

/** Numbers of pieces in words, in rising order: `piece 4`, `pieces 4, 5 and 9`, `pieces 51 to 400`. */
export function pieces(unitNos: readonly number[]): string {
  const said: string[] = [];
  const numbers = [...unitNos].sort((a, b) => a - b);
  for (let from = 0; from < numbers.length; ) {
    let until = from + 1;
    while (until < numbers.length && numbers[until]! === numbers[until - 1]! + 1) until += 1;
    const run = numbers.slice(from, until);
    if (run.length >= SHORTEST_RUN) said.push(`${run[0]} to ${run.at(-1)}`);
    else said.push(...run.map(String));
    from = until;
  }
  const last = said.pop();
  if (said.length) return `pieces ${said.join(', ')} and ${last}`;
  return `${numbers.length > 1 ? 'pieces' : 'piece'} ${last}`;
}
