import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { seededChance } from '../../src/specs/comparison-bootstrap.ts';
import { signalAboveNoise, signalComparison } from '../../src/specs/signal.ts';

fc.configureGlobal({ seed: 1996 });

describe('signalAboveNoise', () => {
  // the usual table of what is taken off for background noise, by decibels above it; in ISO 3744 and ISO 3746, and in
  // most handbooks of acoustics (from memory)
  it.each([
    [3, 3.0],
    [4, 2.2],
    [5, 1.7],
    [6, 1.3],
    [7, 1.0],
    [8, 0.7],
    [9, 0.6],
    [10, 0.5],
    [15, 0.1],
  ])('%d dB above: less by %d dB', (above, less) => {
    const { corrected } = signalAboveNoise(60 + above, 60);
    expect(60 + above - (corrected ?? 0)).toBeCloseTo(less, 1);
  });

  it('says how far it can be believed', () => {
    const trust = (measured: number) => signalAboveNoise(measured, 60).trust;
    expect([59, 60, 60.1, 63, 63.1, 69.9, 70].map(trust)).toEqual([
      'lost',
      'lost',
      'bound',
      'bound',
      'corrected',
      'corrected',
      'clear',
    ]);
    expect(signalAboveNoise(60, 60)).toMatchObject({ corrected: null, ratio: null });
  });

  it('gives back what was added', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -50, max: 150, noNaN: true }),
        fc.double({ min: -40, max: 60, noNaN: true }),
        (noise, ratio) => {
          const measured = 10 * Math.log10(10 ** (noise / 10) + 10 ** ((noise + ratio) / 10));
          fc.pre(measured > noise);
          const answer = signalAboveNoise(measured, noise);
          expect(answer.ratio).toBeCloseTo(ratio, ratio < -30 ? 3 : 6);
          expect(answer.corrected).toBeCloseTo(noise + ratio, ratio < -30 ? 3 : 6);
        },
      ),
    );
    expect(signalAboveNoise(5000, 0)).toMatchObject({ corrected: 5000, ratio: 5000 });
  });
});

describe('signalComparison', () => {
  const question = {
    before: [60, 61, 60.5, 60.8, 59.9],
    noiseBefore: [54, 55, 54.5, 54.2],
    after: [63, 64, 63.4, 63.9],
    noiseAfter: [50, 51, 51.2, 50.4],
  };

  it('has the change of the ratio with its limits, the same at every call and at every reference', () => {
    const answer = signalComparison(question);
    expect(signalComparison(question)).toEqual(answer);
    expect(answer.change).toBeCloseTo((answer.after.ratio ?? 0) - (answer.before.ratio ?? 0), 12);
    expect(answer.interval95?.low).toBeLessThan(answer.change ?? 0);
    expect(answer.interval95?.high).toBeGreaterThan(answer.change ?? 0);
    expect(answer.pValue).toBeLessThan(0.001);
    const louder = (levels: number[]) => levels.map((level) => level + 300);
    const other = signalComparison({
      before: louder(question.before),
      noiseBefore: louder(question.noiseBefore),
      after: louder(question.after),
      noiseAfter: louder(question.noiseAfter),
    });
    expect(other.change).toBeCloseTo(answer.change ?? 0, 9);
    expect(other.interval95?.low).toBeCloseTo(answer.interval95?.low ?? 0, 8);
    expect(other.pValue).toBeCloseTo(answer.pValue ?? 0, 9);
  });

  it('turns over when before and after change places', () => {
    const back = signalComparison({
      before: question.after,
      noiseBefore: question.noiseAfter,
      after: question.before,
      noiseAfter: question.noiseBefore,
    });
    const there = signalComparison(question);
    expect(back.change).toBeCloseTo(-(there.change ?? 0), 9);
    expect(back.pValue).toBeCloseTo(there.pValue ?? 0, 9);
  });

  it('finds a change by chance alone about as often as it says', () => {
    const chance = seededChance(3);
    const levels = (middle: number) => Array.from({ length: 15 }, () => middle + chance() + chance() - 1);
    let found = 0;
    for (let run = 0; run < 150; run += 1) {
      const { pValue } = signalComparison({
        before: levels(60),
        noiseBefore: levels(52),
        after: levels(60),
        noiseAfter: levels(52),
      });
      if ((pValue ?? 1) < 0.05) found += 1;
    }
    expect(found).toBeGreaterThan(1);
    expect(found).toBeLessThan(18);
  }, 60_000);

  it('gives no change where the noise is as loud, and no limits from single values', () => {
    const lost = signalComparison({ ...question, before: [54, 54] });
    expect(lost).toMatchObject({ change: null, interval95: null, pValue: null });
    const single = signalComparison({ before: [60], noiseBefore: [50], after: [62], noiseAfter: [50] });
    expect(single.change).toBeCloseTo(10 * Math.log10((10 ** 1.2 - 1) / 9), 12);
    expect(single).toMatchObject({ interval95: null, pValue: null });
    const same = signalComparison({
      before: [60, 60],
      noiseBefore: [50, 50],
      after: [61, 61],
      noiseAfter: [50, 50],
    });
    expect(same.pValue).toBeNull();
    expect(() => signalComparison({ ...question, noiseAfter: [] })).toThrow('noise after: no value');
    // a signal that the noise swallows in many draws has no limit on that side
    const near = signalComparison({ ...question, before: [54.9, 53, 57], noiseBefore: [54, 55, 56, 50] });
    expect(near.interval95?.high ?? null).toBeNull();
  });
});
