import { describe, expect, it } from 'vitest';
import { limits } from '../../src/specs/limits.ts';

describe('limits', () => {
  it('gives deviations and limits in mm without the dust of binary fractions', () => {
    expect(limits({ nominal: 25, zone: 'g6' })).toEqual({
      upperDeviation: -0.007,
      lowerDeviation: -0.02,
      upperLimit: 24.993,
      lowerLimit: 24.98,
      source: 'ISO 286-1:2010',
    });
    expect(limits({ nominal: 20, zone: 'js6' })).toMatchObject({ upperLimit: 20.0065, lowerLimit: 19.9935 });
  });

  it('looks an inch size up by its millimetres and answers in inches', () => {
    // 2 in is 50.8 mm, in the range over 50 to 80 mm where H7 is 30 micrometres
    const inch = limits({ nominal: 2, unit: 'in', zone: 'H7' });
    expect(inch.upperDeviation * 25.4).toBeCloseTo(0.03, 10);
    expect((inch.upperLimit ?? 0) * 25.4).toBeCloseTo(50.83, 10);
    expect(inch.lowerLimit).toBe(2);
  });

  it('puts an inch size that is a range end in mm into the right range', () => {
    const half = limits({ nominal: 50 / 25.4, unit: 'in', zone: 'H7' });
    expect(half.upperDeviation * 25.4).toBeCloseTo(0.025, 10);
  });

  it('gives general tolerances either way, and only degrees for an angle', () => {
    expect(limits({ nominal: 30, generalClass: 'm' })).toMatchObject({ upperLimit: 30.2, lowerLimit: 29.8 });
    expect(limits({ nominal: 5, generalClass: 'c', kind: 'radius' })).toMatchObject({
      upperDeviation: 1,
      lowerDeviation: -1,
    });
    expect(limits({ nominal: 40, generalClass: 'v', kind: 'angle' })).toEqual({
      upperDeviation: 2,
      lowerDeviation: -2,
      upperLimit: null,
      lowerLimit: null,
      source: 'ISO 2768-1:1989, class v, angle',
    });
  });

  it('refuses what the standards have no value for', () => {
    expect(() => limits({ nominal: 25, zone: 'K9' })).toThrow('K9 at 25 mm: ISO 286 has no value');
    expect(() => limits({ nominal: 0, zone: 'H7' })).toThrow('nominal 0 mm');
    expect(() => limits({ nominal: 200, unit: 'in', zone: 'H7' })).toThrow('nominal 5080 mm');
    expect(() => limits({ nominal: 4001, generalClass: 'm' })).toThrow('class m has no value');
  });
});
