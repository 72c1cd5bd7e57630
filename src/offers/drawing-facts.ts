import { type GeneralClass, gradeOfLimits, limitsOf, parseCharacteristic, toMm } from '../specs/index.ts';

/** What the dimensions of a drawing tell of the tools it takes. */
export interface DrawingFacts {
  /** the greatest length named: the part is at least that long, and may be longer; null where no length is named */
  greatest: { mm: number; text: string } | null;
  /** the dimension that asks for the finest grade; null where none has limits that a grade goes with */
  tightest: { grade: number; text: string } | null;
}

/**
 * The greatest length on a drawing, and its tightest tolerance by ISO 286 grade.
 *
 * A radius is no length of the part: that of a shallow arc is longer than what it is on. Angles and requirements tell
 * neither.
 *
 * @param characteristics  as they are kept
 * @param generalClass     ISO 2768-1 class of the revision, null where it names none
 */
export function drawingFacts(
  characteristics: readonly { label: string; text: string }[],
  generalClass: GeneralClass | null,
): DrawingFacts {
  let { greatest, tightest }: DrawingFacts = { greatest: null, tightest: null };
  for (const { label, text } of characteristics) {
    const reading = parseCharacteristic(text);
    if (!reading.ok || reading.characteristic.kind !== 'size') continue;
    const { nominal, unit, symbol } = reading.characteristic;
    const name = [label, text].filter(Boolean).join(', ');
    const mm = toMm(nominal, unit);
    if (symbol !== 'R' && mm > (greatest?.mm ?? 0)) greatest = { mm, text: name };
    const limits = limitsOf(reading.characteristic, generalClass);
    const grade = 'refusal' in limits ? null : gradeOfLimits(nominal, limits);
    if (grade !== null && grade < (tightest?.grade ?? Number.POSITIVE_INFINITY))
      tightest = { grade, text: name };
  }
  return { greatest, tightest };
}
