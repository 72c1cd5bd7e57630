import { z } from 'zod';
import { GENERAL_CLASSES } from './iso2768.ts';
import type { LimitsQuestion } from './limits.ts';

const mostContributors = 10_000;
const mostValues = 10_000;

/** An object without unknown fields, whose refusal of one names it. */
const strict = <Shape extends z.core.$ZodShape>(what: string, shape: Shape) =>
  z.strictObject(shape, {
    error: (issue) =>
      issue.code === 'unrecognized_keys'
        ? `${what} has no field ${(issue.keys as string[]).map((key) => `"${key}"`).join(', ')}`
        : `${what} must be an object`,
  });

const number = (what: string) => z.number(`${what} must be a finite number`);

const Zone = z
  .string('zone must be a text such as "H7"')
  .min(1, 'zone must not be empty')
  .max(12, 'zone is too long');

/**
 * What `limits` takes: a nominal size with a zone of ISO 286, or with a class of ISO 2768-1.
 *
 * Both kinds are read by one object, so that a mistake is told at its field and not as "fits neither".
 */
export const LimitsRequest = strict('a limits request', {
  nominal: number('nominal'),
  unit: z.enum(['mm', 'in'], 'unit is "mm" or "in"').optional(),
  zone: Zone.optional(),
  generalClass: z.enum(GENERAL_CLASSES, 'generalClass is "f", "m", "c" or "v"').optional(),
  kind: z.enum(['linear', 'radius', 'angle'], 'kind is "linear", "radius" or "angle"').optional(),
}).transform(({ nominal, unit, zone, generalClass, kind }, context): LimitsQuestion => {
  const refuse = (path: string, message: string) => {
    context.addIssue({ code: 'custom', path: [path], message, input: undefined });
    return z.NEVER;
  };
  if (zone === undefined && generalClass === undefined) {
    return refuse('zone', 'name a zone such as "H7", or a generalClass of "f", "m", "c" or "v"');
  }
  if (zone !== undefined && generalClass !== undefined) {
    return refuse('generalClass', 'a size has a zone or a generalClass, not both');
  }
  if (zone !== undefined && kind !== undefined)
    return refuse('kind', 'kind goes with generalClass, not with a zone');
  if (generalClass !== undefined) return { nominal, unit, generalClass, kind };
  return { nominal, unit, zone: zone as string };
});

const FitDeviations = strict('deviations', {
  upperDeviation: number('upperDeviation'),
  lowerDeviation: number('lowerDeviation'),
});

/** One side of a fit; a wrong object is told by its own fields, anything else by the sentence of the side. */
const fitSide = (side: 'hole' | 'shaft') =>
  z.unknown().transform((value, context) => {
    const object = typeof value === 'object' && value !== null && !Array.isArray(value);
    if (!object && typeof value !== 'string') {
      const zone = side === 'hole' ? 'H7' : 'g6';
      context.addIssue({
        code: 'custom',
        message: `${side} is a zone such as "${zone}", or { upperDeviation, lowerDeviation } in mm`,
        input: value,
      });
      return z.NEVER;
    }
    const read: z.ZodSafeParseResult<string | z.infer<typeof FitDeviations>> = object
      ? FitDeviations.safeParse(value)
      : Zone.safeParse(value);
    if (read.success) return read.data;
    for (const { path, message } of read.error.issues) {
      context.addIssue({ code: 'custom', path: [...path], message, input: value });
    }
    return z.NEVER;
  });

/** What `fit` takes; nominal in mm. */
export const FitRequest = strict('a fit', {
  nominal: number('nominal'),
  hole: fitSide('hole'),
  shaft: fitSide('shaft'),
  temperature: strict('temperature', {
    celsius: number('celsius'),
    holeExpansion: number('holeExpansion'),
    shaftExpansion: number('shaftExpansion'),
  }).optional(),
});

/** What `chain` takes; lengths in mm. */
export const ChainRequest = strict('a chain', {
  contributors: z
    .array(
      strict('a contributor', {
        label: z.string('label must be a text').max(200, 'label has at most 200 characters').optional(),
        nominal: number('nominal'),
        plus: number('plus').min(0, 'plus is a size, 0 or more'),
        minus: number('minus').min(0, 'minus is a size, 0 or more'),
        direction: z.literal([1, -1], 'direction is 1 or -1'),
      }),
      'contributors must be a list',
    )
    .min(1, 'a chain has at least one contributor')
    .max(mostContributors, `at most ${mostContributors.toLocaleString('en')} contributors`),
  wanted: strict('wanted', { min: number('min'), max: number('max') }).optional(),
});

/** What `thread` takes. */
export const ThreadRequest = strict('a thread request', {
  thread: z
    .string('thread must be a text such as "M6"')
    .min(1, 'thread must not be empty')
    .max(40, 'thread has at most 40 characters'),
  series: z.enum(['fine', 'medium', 'coarse'], 'series is "fine", "medium" or "coarse"').optional(),
});

const measurements = (name: string) =>
  z
    .array(number('a value'), `${name} must be a list of numbers`)
    .min(1, `${name} must not be empty`)
    .max(mostValues, `at most ${mostValues.toLocaleString('en')} values in ${name}`);

/** What `comparison` takes; sound levels in dB when `levels` is true, any one unit otherwise. */
export const ComparisonRequest = strict('a comparison', {
  before: measurements('before'),
  after: measurements('after'),
  levels: z.boolean('levels is true or false').optional(),
});
