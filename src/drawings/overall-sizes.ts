import { type GeneralClass, limitsOf, parseCharacteristic, toMm } from '../specs/index.ts';

/** A length of a drawing, in mm. */
export interface NamedSize {
  position: number;
  /** place and text, as the page names it */
  name: string;
  mm: number;
  lowerMm: number;
  upperMm: number;
  /** which way the words say it goes over the whole part; null for a size of one feature */
  overall: 'length' | 'thickness' | 'diameter' | null;
  /** a length that can't be longer than the part itself: no arc's, no distance to something beside the part */
  within: boolean;
}

const LENGTHS = new Set(['length', 'width', 'height', 'long', 'wide', 'high']);
const THICKNESSES = new Set(['thickness', 'thick']);
const DIAMETERS = new Set([
  'outside',
  'outside diameter',
  'outer diameter',
  'outside dia',
  'od',
  'o.d.',
  'diameter',
]);
/** Words that say of a length, width, ... that it is that of the whole part. */
const WHOLE =
  /^(?:overall|over all|total|whole|full|outside|outer)\s+|\s+(?:overall|over all|in all|of the part)$/;
/** Sizes that may reach beyond the part: about a far centre, between parts, along a bend or of what it is made from. */
const BEYOND =
  /\b(?:axis|axes|cent(?:re|er)|circle|pitch|pcd|arc|arcs|chord|reach|radius|radial|ring|curve|developed|unfolded|flat|blank|bar|stock|cord|wire|cable|hose|belt|strip|coil|apart|mating|assembled|fitted|path|cut)\b/i;
const MARGIN = 0.01;

/** The words beside a size without the sheet's square: "Length, B3" -> "length". */
function bare(label: string): string {
  return label
    .replace(/[,;]?\s*(?:\(?[A-H]\d{1,2}\)?|sheet \d+)\s*$/i, '')
    .trim()
    .toLowerCase();
}

/** What of the whole part the words name, the plain word for it, and whether they say that it is the whole. */
function overallOf(
  label: string,
): { kind: NonNullable<NamedSize['overall']>; plain: string; isWhole: boolean } | null {
  const words = bare(label);
  if (DIAMETERS.has(words)) return { kind: 'diameter', plain: 'diameter', isWhole: words !== 'diameter' };
  const rest = words.replace(WHOLE, '').trim();
  const isWhole = rest !== words;
  if (LENGTHS.has(rest)) return { kind: 'length', plain: rest, isWhole };
  if (THICKNESSES.has(rest)) return { kind: 'thickness', plain: 'thickness', isWhole };
  if (rest === 'diameter') return { kind: 'diameter', plain: rest, isWhole };
  return null;
}

/**
 * The lengths of a drawing, each with what its words say of the whole part. Radii, angles and requirements are none.
 *
 * Only plain words count: "length" and "overall width" are of the whole part, "thread length" and "hub width" are not.
 * Of several with the same word the greatest is that of the part; a diameter that is not called outside counts only
 * where no greater one is named.
 *
 * @param generalClass  ISO 2768-1 class of the revision; without limits a hundredth of the size either way is taken
 *
 * Source: trade words; common practice, no source.
 */
export function namedSizes(
  characteristics: readonly { position: number; label: string; text: string }[],
  generalClass: GeneralClass | null,
): NamedSize[] {
  const read = characteristics.flatMap(({ position, label, text }) => {
    const reading = parseCharacteristic(text);
    if (!reading.ok || reading.characteristic.kind !== 'size') return [];
    const { nominal, unit, symbol } = reading.characteristic;
    if (symbol === 'R' || /\bradius\b/i.test(label)) return [];
    const mm = toMm(nominal, unit);
    const limits = limitsOf(reading.characteristic, generalClass);
    const [lowerMm, upperMm] =
      'refusal' in limits
        ? [mm * (1 - MARGIN), mm * (1 + MARGIN)]
        : [toMm(limits.lowerLimit, unit), toMm(limits.upperLimit, unit)];
    return [
      {
        position,
        isRound: symbol === 'Ø' || /\bdia(?:meter)?\b/i.test(label),
        name: [label, text].filter(Boolean).join(', '),
        mm,
        lowerMm,
        upperMm,
        of: overallOf(label),
        within: !BEYOND.test(label),
      },
    ];
  });
  return read.map(({ isRound, of, within, ...size }): NamedSize => {
    const isLess = of !== null && read.some((other) => other.mm > size.mm && other.of?.plain === of.plain);
    const hasRounder = read.some((other) => other.isRound && other.mm > size.mm);
    const isOverall = of && !isLess && (of.isWhole || of.kind !== 'diameter' || !hasRounder);
    // A circle of which the part is only a piece may be larger than it.
    return {
      ...size,
      overall: isOverall ? of.kind : null,
      within: within && (!isRound || isOverall === true),
    };
  });
}
