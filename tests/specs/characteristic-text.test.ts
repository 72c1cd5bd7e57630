import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseCharacteristic } from '../../src/specs/characteristic-text.ts';
import { type Characteristic, characteristicText } from '../../src/specs/characteristic-text-written.ts';
import { limitsOf } from '../../src/specs/limits-of-characteristic.ts';

fc.configureGlobal({ seed: 129 });

/** The characteristic a text stands for; fails the test with the sentence where there is one. */
function read(text: string): Characteristic {
  const parsed = parseCharacteristic(text);
  if (!parsed.ok) throw new Error(parsed.message);
  return parsed.characteristic;
}

function refusal(text: string): string {
  const parsed = parseCharacteristic(text);
  return parsed.ok ? `read as ${parsed.text}` : parsed.message;
}

describe('parseCharacteristic reads what a person types', () => {
  it.each([
    ['25 H7', '25 H7'],
    ['Ø8 h6', 'Ø8 h6'],
    ['ø8h6', 'Ø8 h6'],
    ['10 H 7', '10 H7'],
    ['12.5 +0.1 -0', '12.5 +0.1 0'],
    ['12,5 +0,1/-0', '12.5 +0.1 0'],
    ['12.5 -0.02 -0.05', '12.5 -0.02 -0.05'],
    ['25+0.1-0.2', '25 +0.1 -0.2'],
    ['25 +.1 -.1', '25 ±0.1'],
    ['40 ±0.2', '40 ±0.2'],
    ['40 +-0.2', '40 ±0.2'],
    ['40 +/- 0,20', '40 ±0.2'],
    ['40 −0.1 −0.2', '40 -0.1 -0.2'],
    ['25', '25'],
    ['25 mm ±0.1', '25 ±0.1'],
    ['3/8 in', '0.375 in'],
    ['1 3/8"', '1.375 in'],
    ['1-3/8 in +0.01 -0.02', '1.375 +0.01 -0.02 in'],
    ['1.250 ±0.005 in', '1.25 ±0.005 in'],
    ['1 inch H7', '1 in H7'],
    ['R3', 'R3'],
    ['r 3 +0.2 -0.1', 'R3 +0.2 -0.1'],
    ['90°', '90°'],
    ['90 deg', '90°'],
    ['90° side 40 mm', '90° side 40'],
    ["45°30' ±30'", '45.5° ±0.5°'],
    ['10° +1° -0°', '10° +1° 0°'],
    ['M6', 'M6'],
    ['M8x1 - 6H, 12 deep', 'M8x1 - 6H, 12 deep'],
    ['4x M6', '4x M6'],
    ['2 × 45°', '2 × 45°'],
    ['  deburr   all edges ', 'deburr all edges'],
    ['2 holes deburred', '2 holes deburred'],
    ['Ra 1.6', 'Ra 1.6'],
  ])('%s is kept as %s', (typed, kept) => {
    const parsed = parseCharacteristic(typed);
    expect(parsed).toMatchObject({ ok: true, text: kept });
    // what is kept reads back as the same thing
    expect(read(kept)).toEqual(read(typed));
  });

  it('gives the parts of a size', () => {
    expect(read('12,5 +0,1/-0')).toEqual({
      kind: 'size',
      nominal: 12.5,
      unit: 'mm',
      tolerance: { by: 'deviation', upper: 0.1, lower: 0 },
    });
    expect(read('Ø3/8 in')).toEqual({
      kind: 'size',
      nominal: 0.375,
      unit: 'in',
      tolerance: { by: 'general' },
      symbol: 'Ø',
    });
    expect(read('M6')).toEqual({ kind: 'requirement', text: 'M6' });
  });
});

describe('parseCharacteristic says what is wrong', () => {
  it.each([
    ['', 'write a size'],
    ['???', 'write a size'],
    ['x'.repeat(201), 'up to 200 characters'],
    ['12.5 -0.1 +0.2', 'the wrong way round'],
    ['12.5 -0.05 -0.02', 'the wrong way round'],
    ['12.5 +0.1 +0.1', 'are both 0.1'],
    ['40 ±0', 'leaves no room'],
    ['25 +0.10', 'write both deviations'],
    ['25 0.1 0.2', 'after the size stands'],
    ['25 +0.1 0.2', 'write + or - before each deviation'],
    ['0', 'over 0'],
    ['0 H7', 'over 0'],
    ['-5', 'begin with the size'],
    ['5000', '5000 mm is above 4000 mm'],
    ['4000.1', 'above 4000 mm'],
    ['5 m', 'not in m'],
    ['200 in', '5080 mm is above 4000 mm'],
    ['0.1 ±0.2', 'not above zero'],
    ['25 Q7', 'no letter Q'],
    ['25 Js7', 'write JS7 for a hole or js7 for a shaft'],
    ['25 hH7', 'no letter hH'],
    ['25 H19', 'not 19'],
    ['25 K9', 'ISO 286 has no value'],
    ['4000 H7', 'up to 3150 mm'],
    ['25 H', 'after the size stands'],
    ['25 H7/g6', 'is a fit'],
    ['H7', 'write the size before the zone'],
    ['C2', 'a chamfer is 2 × 45°'],
    ['25 mm ±0.01 in', 'two units in one size'],
    ['1 in ±0.1 mm', 'two units in one size'],
    ['2.5 cm', 'not in cm'],
    ["6' 2", "not in '"],
    ['3/8', 'write 3/8 in'],
    ['3/7 in', 'go by 2, 4, 8'],
    ['1,250.5', 'after the size stands'],
    ['25 H7 reamed', 'a note is a line of its own'],
    ['25 deep', 'write 25 alone'],
    ['4x Ø6.6', 'one line is one size'],
    ['R3 H7', 'a radius has no zone'],
    ['90° H7', 'an angle has no zone'],
    ['Ø90°', 'not before an angle'],
    ['0°', 'over 0° and up to 360°'],
    ['400°', 'over 0° and up to 360°'],
    ['25 side 40', 'belongs to an angle'],
    ['0.1234567891', 'nine digits'],
  ])('%s', (typed, sentence) => {
    expect(refusal(typed)).toContain(sentence);
  });
});

describe('characteristicText and parseCharacteristic are inverse', () => {
  const thousandths = (least: number, most: number) =>
    fc.integer({ min: least, max: most }).map((value) => value / 1000);
  const deviation = fc
    .uniqueArray(thousandths(-900, 900), { minLength: 2, maxLength: 2 })
    .map(([a = 0, b = 0]) => ({ by: 'deviation' as const, upper: Math.max(a, b), lower: Math.min(a, b) }));
  const general = fc.constant({ by: 'general' as const });
  const zone = fc
    .constantFrom('H7', 'g6', 'JS11', 'k6', 'P9')
    .map((name) => ({ by: 'zone' as const, zone: name }));

  it('for sizes in mm and inches', () => {
    const size = fc.record(
      {
        kind: fc.constant('size' as const),
        nominal: thousandths(1000, 100_000),
        unit: fc.constantFrom('mm' as const, 'in' as const),
        tolerance: fc.oneof(deviation, general, zone),
        symbol: fc.constant('Ø' as const),
      },
      { requiredKeys: ['kind', 'nominal', 'unit', 'tolerance'] },
    );
    fc.assert(
      fc.property(size, (made) => {
        expect(read(characteristicText(made))).toEqual(made);
      }),
    );
  });

  it('for angles', () => {
    const angle = fc.oneof(
      fc.record({
        kind: fc.constant('angle' as const),
        nominal: thousandths(1000, 360_000),
        unit: fc.constant('deg' as const),
        tolerance: deviation,
      }),
      fc.record(
        {
          kind: fc.constant('angle' as const),
          nominal: thousandths(1000, 360_000),
          unit: fc.constant('deg' as const),
          tolerance: general,
          shorterSide: thousandths(1, 900_000),
        },
        { requiredKeys: ['kind', 'nominal', 'unit', 'tolerance'] },
      ),
    );
    fc.assert(
      fc.property(angle, (made) => {
        expect(read(characteristicText(made))).toEqual(made);
      }),
    );
  });

  it('for whatever is typed: a text that is read is kept in a form that reads the same', () => {
    const typed = fc.string({ unit: fc.constantFrom(...'0123456789.,+-±/ °\'"HhgRØinmMx') });
    fc.assert(
      fc.property(typed, (text) => {
        const parsed = parseCharacteristic(text);
        if (parsed.ok) expect(read(parsed.text)).toEqual(parsed.characteristic);
        else expect(parsed.message.length).toBeGreaterThan(10);
      }),
      { numRuns: 3000 },
    );
  });
});

describe('limitsOf', () => {
  it.each([
    ['25 H7', 25.021, 25, 'mm', 'ISO 286-1:2010, H7'],
    ['Ø8 h6', 8, 7.991, 'mm', 'ISO 286-1:2010, h6'],
    ['25', 25.2, 24.8, 'mm', 'ISO 2768-1:1989, class m, linear'],
    ['R3', 3.2, 2.8, 'mm', 'ISO 2768-1:1989, class m, radius'],
    ['R5', 5.5, 4.5, 'mm', 'ISO 2768-1:1989, class m, radius'],
    ['90° side 40', 90.5, 89.5, 'deg', 'ISO 2768-1:1989, class m, angle'],
    ['12.5 +0.1 0', 12.6, 12.5, 'mm', 'as written on the drawing'],
    ['1.25 ±0.005 in', 1.255, 1.245, 'in', 'as written on the drawing'],
  ])('%s', (text, upperLimit, lowerLimit, unit, source) => {
    expect(limitsOf(read(text), 'm')).toMatchObject({ upperLimit, lowerLimit, unit, source });
  });

  it('goes by the millimetres of an inch size, and answers in inches', () => {
    const limits = limitsOf(read('1 in H7'), null);
    if ('refusal' in limits) throw new Error(limits.refusal);
    expect(limits.unit).toBe('in');
    expect(limits.upperDeviation * 25.4).toBeCloseTo(0.021, 10);
    expect(limits.lowerLimit).toBe(1);
  });

  it.each([
    ['deburr all edges', 'it holds or it does not'],
    ['90°', 'shorter side'],
    ['0.3', 'no value under 0.5 mm'],
  ])('%s has none', (text, sentence) => {
    expect(limitsOf(read(text), 'm')).toEqual({ refusal: expect.stringContaining(sentence) });
  });

  it('needs a class for a size without limits of its own', () => {
    expect(limitsOf(read('25'), null)).toEqual({
      refusal: expect.stringContaining('names no general tolerance'),
    });
  });
});
