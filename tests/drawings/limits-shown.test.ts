import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { limitsRow, shownLimits } from '../../src/drawings/limits-shown.ts';
import { limitsOf, parseCharacteristic } from '../../src/specs/index.ts';

function limitsOfText(text: string, generalClass: 'm' | null = null) {
  const reading = parseCharacteristic(text);
  if (!reading.ok) throw new Error(reading.message);
  const limits = limitsOf(reading.characteristic, generalClass);
  if ('refusal' in limits) throw new Error(limits.refusal);
  return limits;
}

describe('shownLimits', () => {
  it('gives millimetres as they are, and an inch size exactly in millimetres', () => {
    expect(shownLimits(limitsOfText('25 H7'), 'mm')).toEqual({
      lower: '25',
      upper: '25.021',
      lowerDeviation: '0',
      upperDeviation: '+0.021',
      unit: 'mm',
    });
    // 1.25 in = 31.75 mm and 0.005 in = 0.127 mm, exactly
    expect(shownLimits(limitsOfText('1.250 ±0.005 in'), 'mm')).toEqual({
      lower: '31.623',
      upper: '31.877',
      lowerDeviation: '−0.127',
      upperDeviation: '+0.127',
      unit: 'mm',
    });
    expect(shownLimits(limitsOfText('1.250 ±0.005 in'), 'in')).toMatchObject({
      lower: '1.245',
      upper: '1.255',
    });
  });

  it('rounds what a standard gives an inch size in its millimetres, and leaves what is written', () => {
    expect(shownLimits(limitsOfText('3/8 in', 'm'), 'in')).toEqual({
      lower: '0.36713',
      upper: '0.38287',
      lowerDeviation: '−0.00787',
      upperDeviation: '+0.00787',
      unit: 'in',
    });
    expect(shownLimits(limitsOfText('0.123456 ±0.01 in'), 'in').lower).toBe('0.113456');
  });

  it('rounds a converted size inwards, and finer where the tolerance is small', () => {
    // 25 / 25.4 = 0.984251968..., 25.021 / 25.4 = 0.985078740...
    expect(shownLimits(limitsOfText('25 H7'), 'in')).toMatchObject({ lower: '0.98426', upper: '0.98507' });
    const fine = shownLimits(limitsOfText('25 ±0.0005'), 'in');
    expect(fine.lower.length).toBeGreaterThan('0.98426'.length);
  });

  it('leaves a limit of five places as it is, whatever the size', () => {
    // a 32nd of an inch is 0.79375 mm, and 0.01 in is 0.254 mm
    for (let part = 32; part <= 4800; part += 1) {
      const hundredThousandths = part * 79_375;
      const shown = shownLimits(limitsOfText(`${part / 32} ±0.01 in`), 'mm');
      expect([shown.lower, shown.upper].map(Number), `${part}/32 in`).toEqual([
        (hundredThousandths - 25_400) / 1e5,
        (hundredThousandths + 25_400) / 1e5,
      ]);
    }
  });

  it('gives the general tolerance of an inch size in millimetres without dust', () => {
    // 1.25 in = 31.75 mm, 12 in = 304.8 mm: ISO 2768-m allows 0.3 and 0.5 mm
    expect(shownLimits(limitsOfText('1 1/4 in', 'm'), 'mm')).toMatchObject({
      lower: '31.45',
      upper: '32.05',
    });
    expect(shownLimits(limitsOfText('12 in', 'm'), 'mm')).toMatchObject({ lower: '304.3', upper: '305.3' });
    // 0.375 in = 9.525 mm; ISO 2768-m allows 0.2 mm above 6 up to 30 mm
    expect(shownLimits(limitsOfText('3/8 in', 'm'), 'mm')).toMatchObject({
      lower: '9.325',
      upper: '9.725',
      lowerDeviation: '−0.2',
      upperDeviation: '+0.2',
    });
  });

  it('leaves angles in degrees', () => {
    expect(shownLimits(limitsOfText("45° ±30'"), 'in')).toMatchObject({
      lower: '44.5',
      upper: '45.5',
      unit: '°',
    });
  });

  it('never shows limits wider than the true ones, nor takes more than a twentieth of them', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1000, max: 5_000_000 }),
        fc.integer({ min: 1, max: 2000 }),
        fc.integer({ min: 1, max: 2000 }),
        (nominal, above, below) => {
          const limits = {
            lowerLimit: (nominal - below / 2) / 1000,
            upperLimit: (nominal + above / 2) / 1000,
            lowerDeviation: -below / 2000,
            upperDeviation: above / 2000,
            unit: 'mm' as const,
            source: '',
          };
          const shown = shownLimits(limits, 'in');
          const [lower, upper] = [Number(shown.lower) * 25.4, Number(shown.upper) * 25.4];
          const dust = 1e-9;
          expect(lower).toBeGreaterThanOrEqual(limits.lowerLimit - dust);
          expect(upper).toBeLessThanOrEqual(limits.upperLimit + dust);
          expect(upper - lower).toBeGreaterThanOrEqual((limits.upperLimit - limits.lowerLimit) * 0.95 - dust);
        },
      ),
    );
  });
});

describe('limitsRow', () => {
  const kept = { id: 1, position: 1, label: '', isKey: false };

  it('says why a size has no limits, and leaves a requirement to the eye', () => {
    expect(limitsRow({ ...kept, text: '40' }, null, 'mm')).toMatchObject({
      kind: 'size',
      lower: '',
      missing: expect.stringContaining('the revision names no general tolerance') as string,
    });
    expect(limitsRow({ ...kept, text: 'deburr all edges' }, null, 'mm')).toMatchObject({
      kind: 'requirement',
      lower: '',
      missing: '',
    });
  });

  it('tells the limits of the drawing beside converted ones', () => {
    expect(limitsRow({ ...kept, text: '40' }, 'm', 'in')).toMatchObject({
      unit: 'in',
      drawn: '39.7 to 40.3 mm',
    });
    expect(limitsRow({ ...kept, text: '40' }, 'm', 'mm').drawn).toBe('');
  });
});
