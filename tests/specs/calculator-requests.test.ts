import { describe, expect, it } from 'vitest';
import type { z } from 'zod';
import {
  ChainRequest,
  ComparisonRequest,
  FitRequest,
  LimitsRequest,
  ThreadRequest,
} from '../../src/specs/calculator-requests.ts';

/** What is said against a request, as "path: message". */
function faults(request: z.ZodType, body: unknown): string[] {
  const read = request.safeParse(body);
  return read.success ? [] : read.error.issues.map(({ path, message }) => `${path.join('.')}: ${message}`);
}

const contributor = { label: 'rod', nominal: 10, plus: 0.1, minus: 0, direction: 1 };

describe('what the calculators take', () => {
  it.each([
    [LimitsRequest, { nominal: 25, zone: 'H7' }],
    [LimitsRequest, { nominal: 1, unit: 'in', zone: 'I7' }],
    [LimitsRequest, { nominal: 25, generalClass: 'm', kind: 'radius' }],
    [FitRequest, { nominal: 25, hole: 'H7', shaft: { upperDeviation: 0, lowerDeviation: -0.1 } }],
    [
      FitRequest,
      {
        nominal: 25,
        hole: 'H7',
        shaft: 'g6',
        temperature: { celsius: 60, holeExpansion: 23, shaftExpansion: 11.5 },
      },
    ],
    [ChainRequest, { contributors: [contributor], wanted: { min: 0, max: 1 } }],
    [ThreadRequest, { thread: 'M6', series: 'fine' }],
    [ComparisonRequest, { before: [1, 2], after: [3], levels: true }],
  ] as const)('%#: %j fits and comes through unchanged', (_request, body) => {
    expect(faults(_request, body)).toEqual([]);
    expect(_request.parse(body)).toEqual(body);
  });
});

describe('what the calculators refuse, with the field and a sentence', () => {
  it.each([
    [
      LimitsRequest,
      { nominal: 25 },
      'zone: name a zone such as "H7", or a generalClass of "f", "m", "c" or "v"',
    ],
    [
      LimitsRequest,
      { nominal: 25, zone: 'H7', generalClass: 'm' },
      'generalClass: a size has a zone or a generalClass, not both',
    ],
    [
      LimitsRequest,
      { nominal: 25, zone: 'H7', kind: 'linear' },
      'kind: kind goes with generalClass, not with a zone',
    ],
    [LimitsRequest, { nominal: 25, zone: 'H7', grade: 7 }, ': a limits request has no field "grade"'],
    [LimitsRequest, { nominal: '25', zone: 'H7' }, 'nominal: nominal must be a finite number'],
    [
      LimitsRequest,
      { nominal: Number.POSITIVE_INFINITY, zone: 'H7' },
      'nominal: nominal must be a finite number',
    ],
    [LimitsRequest, { nominal: 25, unit: 'cm', zone: 'H7' }, 'unit: unit is "mm" or "in"'],
    [LimitsRequest, { nominal: 25, generalClass: 'x' }, 'generalClass: generalClass is "f", "m", "c" or "v"'],
    [LimitsRequest, { nominal: 25, zone: 7 }, 'zone: zone must be a text such as "H7"'],
    [LimitsRequest, [], ': a limits request must be an object'],
    [
      FitRequest,
      { nominal: 25, hole: 7, shaft: 'g6' },
      'hole: hole is a zone such as "H7", or { upperDeviation, lowerDeviation } in mm',
    ],
    [
      FitRequest,
      { nominal: 25, hole: 'H7' },
      'shaft: shaft is a zone such as "g6", or { upperDeviation, lowerDeviation } in mm',
    ],
    [
      FitRequest,
      { nominal: 25, hole: { upperDeviation: 1 }, shaft: 'g6' },
      'hole.lowerDeviation: lowerDeviation must be a finite number',
    ],
    [
      FitRequest,
      { nominal: 25, hole: { upperDeviation: 1, lowerDeviation: 0, zone: 'H7' }, shaft: 'g6' },
      'hole: deviations has no field "zone"',
    ],
    [FitRequest, { nominal: 25, hole: 'H7', shaft: 'g6', unit: 'in' }, ': a fit has no field "unit"'],
    [
      FitRequest,
      { nominal: 25, hole: 'H7', shaft: 'g6', temperature: { celsius: 20, holeExpansion: 12 } },
      'temperature.shaftExpansion: shaftExpansion must be a finite number',
    ],
    [ChainRequest, { contributors: [] }, 'contributors: a chain has at least one contributor'],
    [
      ChainRequest,
      { contributors: [{ ...contributor, plus: -0.1 }] },
      'contributors.0.plus: plus is a size, 0 or more',
    ],
    [
      ChainRequest,
      { contributors: [{ ...contributor, direction: 2 }] },
      'contributors.0.direction: direction is 1 or -1',
    ],
    [
      ChainRequest,
      { contributors: [{ ...contributor, colour: 1 }] },
      'contributors.0: a contributor has no field "colour"',
    ],
    [ThreadRequest, { thread: 'M6', series: 'close' }, 'series: series is "fine", "medium" or "coarse"'],
    [ThreadRequest, {}, 'thread: thread must be a text such as "M6"'],
    [ComparisonRequest, { before: [1, 'x'], after: [1, 2] }, 'before.1: a value must be a finite number'],
    [ComparisonRequest, { before: [], after: [1, 2] }, 'before: before must not be empty'],
    [ComparisonRequest, { before: [1, 2], after: [1, 2], levels: 1 }, 'levels: levels is true or false'],
  ] as const)('%#', (request, body, fault) => {
    expect(faults(request, body)).toEqual([fault]);
  });
});
