import { z } from 'zod';
import { choice, line, optionalNumber, words } from '../platform/http/fields.ts';

export const MATERIAL_FAMILIES = [
  'metal',
  'plastic',
  'wood',
  'rubber',
  'composite',
  'glass',
  'other',
] as const;

export const PROPERTIES = ['density', 'expansion', 'stiffness', 'swelling'] as const;
export type PropertyName = (typeof PROPERTIES)[number];

/** What a property is measured in, and the least and the most that any material has. */
export const PROPERTY_RULES = {
  density: { label: 'Density', unit: 'kg/m³', min: 1, max: 25_000 },
  expansion: { label: 'Expansion', unit: '10⁻⁶/K', min: -50, max: 500 },
  stiffness: { label: 'Stiffness', unit: 'GPa', min: 0.0001, max: 1500 },
  swelling: { label: 'Swelling from dry air to damp', unit: '%', min: 0, max: 30 },
} as const;

/** Sentences, one a line. */
const sentences = words(4000).transform((text, check) => {
  const lines = text
    .split('\n')
    .map((sentence) => sentence.trim())
    .filter(Boolean);
  if (lines.length > 20) check.addIssue(`At most 20 lines; these are ${lines.length}.`);
  const long = lines.find((sentence) => sentence.length > 300);
  if (long) check.addIssue(`At most 300 characters a line: "${long.slice(0, 30)}..." has ${long.length}.`);
  return lines;
});

function property(name: PropertyName) {
  const { min, max, unit } = PROPERTY_RULES[name];
  const figure = optionalNumber({ min, max, unit: ` ${unit}` });
  return {
    [name]: figure,
    [`${name}Low`]: figure,
    [`${name}High`]: figure,
    [`${name}Source`]: line(500),
  } as Record<PropertyName | `${PropertyName}Low` | `${PropertyName}High`, typeof figure> &
    Record<`${PropertyName}Source`, ReturnType<typeof line>>;
}

interface Range {
  low: number | null;
  typical: number | null;
  high: number | null;
}

/** What is wrong between the ends of a range and the value in it, and at which of them to say it. */
function rangeIssue({ low, typical, high }: Range): { at: 'low' | 'high'; sentence: string } | null {
  if (low !== null && high !== null && low > high) {
    return { at: 'high', sentence: `The lowest, ${low}, lies above the highest, ${high}.` };
  }
  if (typical === null) return null;
  if (low !== null && low > typical) {
    return { at: 'low', sentence: `The lowest, ${low}, lies above the usual value, ${typical}.` };
  }
  return high !== null && high < typical
    ? { at: 'high', sentence: `The highest, ${high}, lies below the usual value, ${typical}.` }
    : null;
}

const name = line(120, 'Give it a name.');

export const MaterialForm = z
  .object({
    name,
    family: choice(MATERIAL_FAMILIES, 'Choose a family.'),
    ...property('density'),
    ...property('expansion'),
    ...property('stiffness'),
    ...property('swelling'),
    water: words(500),
    waterSource: line(500),
    stock: sentences,
    stockSource: line(500),
    cautions: sentences,
    cautionsSource: line(500),
    source: words(4000),
  })
  .superRefine((form, check) => {
    for (const of of PROPERTIES) {
      const typical = form[of];
      const low = form[`${of}Low`];
      const high = form[`${of}High`];
      if (typical === null && (low !== null || high !== null)) {
        check.addIssue({ code: 'custom', path: [of], message: 'Give the usual value as well as the range.' });
        continue;
      }
      const issue = rangeIssue({ low, typical, high });
      if (issue) {
        const field = issue.at === 'low' ? `${of}Low` : `${of}High`;
        check.addIssue({ code: 'custom', path: [field], message: issue.sentence });
      }
      if (typical !== null && !form[`${of}Source`]) {
        check.addIssue({
          code: 'custom',
          path: [`${of}Source`],
          message: 'Say where the value is from: a data sheet, a standard, or from memory.',
        });
      }
    }
    for (const of of ['water', 'stock', 'cautions'] as const) {
      if (form[of].length === 0 || form[`${of}Source`] || form.source) continue;
      check.addIssue({
        code: 'custom',
        path: [`${of}Source`],
        message: 'Say where this is from: a data sheet, a dealer, or from memory.',
      });
    }
  });
export type MaterialInput = z.output<typeof MaterialForm>;

const grade = optionalNumber({ min: 1, max: 18, whole: true });
const spread = optionalNumber({ min: 0.0001, max: 100, unit: ' mm' });
const degrees = optionalNumber({ min: 0.001, max: 45, unit: ' degrees' });
const feature = optionalNumber({ min: 0.01, max: 1000, unit: ' mm' });
const extent = optionalNumber({ min: 1, max: 100_000, unit: ' mm' });

/** The figures of a process that may have a source of their own; without one, that of the whole entry is meant. */
export const PROCESS_SOURCES = [
  'grade',
  'plusMinus',
  'kerf',
  'angle',
  'smallest',
  'envelope',
  'cautions',
] as const;
export type ProcessSource = (typeof PROCESS_SOURCES)[number];

export const ProcessForm = z
  .object({
    name,
    gradeBest: grade,
    gradeUsual: grade,
    gradeCoarsest: grade,
    plusMinusLow: spread,
    plusMinus: spread,
    plusMinusHigh: spread,
    kerfLow: spread,
    kerfHigh: spread,
    angleLow: degrees,
    angleHigh: degrees,
    smallestLow: feature,
    smallestHigh: feature,
    smallestWhat: line(120),
    envelopeX: extent,
    envelopeY: extent,
    envelopeZ: extent,
    envelopeWhat: line(120),
    gradeSource: line(500),
    plusMinusSource: line(500),
    kerfSource: line(500),
    angleSource: line(500),
    smallestSource: line(500),
    envelopeSource: line(500),
    cautionsSource: line(500),
    note: words(500),
    cautions: sentences,
    source: words(4000, 'Say where the figures are from: a book, a maker, or from memory.'),
  })
  .superRefine((form, check) => {
    const { gradeBest, gradeUsual, gradeCoarsest } = form;
    const order = [
      ['gradeBest', 'best', gradeBest],
      ['gradeUsual', 'usual', gradeUsual],
      ['gradeCoarsest', 'coarsest', gradeCoarsest],
    ] as const;
    for (const [place, [, finer, low]] of order.entries()) {
      for (const [field, coarser, high] of order.slice(place + 1)) {
        if (low !== null && high !== null && low > high) {
          check.addIssue({
            code: 'custom',
            path: [field],
            message: `The ${coarser} grade, IT${high}, is finer than the ${finer}, IT${low}.`,
          });
        }
      }
    }
    const ranges = [
      ['plusMinus', { low: form.plusMinusLow, typical: form.plusMinus, high: form.plusMinusHigh }],
      ['kerf', { low: form.kerfLow, typical: null, high: form.kerfHigh }],
      ['angle', { low: form.angleLow, typical: null, high: form.angleHigh }],
      ['smallest', { low: form.smallestLow, typical: null, high: form.smallestHigh }],
    ] as const;
    for (const [of, range] of ranges) {
      const issue = rangeIssue(range);
      if (issue) {
        const field = issue.at === 'low' ? `${of}Low` : `${of}High`;
        check.addIssue({ code: 'custom', path: [field], message: issue.sentence });
      }
      if ((of === 'kerf' || of === 'angle') && (range.low === null) !== (range.high === null)) {
        const missing = range.low === null ? 'Low' : 'High';
        check.addIssue({ code: 'custom', path: [`${of}${missing}`], message: 'Give both ends, or neither.' });
      }
    }
    const { envelopeX: x, envelopeY: y, envelopeZ: z } = form;
    if ((x === null) !== (y === null) || (x === null && z !== null)) {
      const missing = x === null ? 'envelopeX' : 'envelopeY';
      check.addIssue({ code: 'custom', path: [missing], message: 'Give length and width, or neither.' });
    }
  });
export type ProcessInput = z.output<typeof ProcessForm>;
