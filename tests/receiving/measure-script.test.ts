import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type Gauged,
  gauged,
  readMeasured,
  suspicionOf,
  verdictOf,
  verdictWords,
} from '../../src/receiving/measure.ts';

interface Standing {
  words: string;
  wrong: boolean;
  question: string;
}

type Asked = Pick<Gauged, 'unit' | 'nominal'> & {
  shown: 'mm' | 'in';
  lower: number | null;
  upper: number | null;
};

const script = new URL('../../src/platform/static/measure.js', import.meta.url).href;
const { standing } = (await import(script)) as { standing(text: string, dimension: Asked): Standing };

const drawn = ['25 H7', '40 ±0.1', '3/8 in ±0.002', '45° ±1°', '12 +0.1 -0', '8'].map((text, id) => {
  const dimension = gauged({ id, label: '', text, isKey: false }, text === '8' ? null : 'm');
  if (!dimension) throw new Error(text);
  return dimension;
});

/** What the server says of a typed value, put together as the script shows it. */
function served(text: string, dimension: Gauged, shown: 'mm' | 'in'): Standing {
  if (text.trim() === '') return { words: '', wrong: false, question: '' };
  const read = readMeasured(text, dimension.unit, shown);
  if ('sentence' in read) return { words: read.sentence, wrong: true, question: '' };
  const verdict = verdictOf(read.value, dimension.limits);
  return {
    words: verdictWords(verdict, dimension.unit, shown),
    wrong: 'by' in verdict,
    question: suspicionOf(read.value, dimension) ?? '',
  };
}

const scripted = (text: string, { unit, nominal, limits }: Gauged, shown: 'mm' | 'in') =>
  standing(text, {
    unit,
    nominal,
    shown,
    lower: limits?.lowerLimit ?? null,
    upper: limits?.upperLimit ?? null,
  });

describe('static/measure.js', () => {
  it('says the amount outside at once, in the drawing’s unit', () => {
    const [bore] = drawn as [Gauged];
    expect(scripted('25,033', bore, 'mm')).toEqual({
      words: '0.012 mm above the upper limit',
      wrong: true,
      question: '',
    });
    expect(scripted('0.985', bore, 'in').words).toBe('inside the limits');
    expect(scripted('2.501', bore, 'mm').question).toBe(
      'Ten times off what the drawing says: is the point in its place?',
    );
  });

  it('says of every value what the server says', () => {
    const figure = fc.oneof(
      fc.integer({ min: -50_000, max: 50_000 }).map((thousandths) => String(thousandths / 1000)),
      fc
        .tuple(
          fc.constantFrom(25, 40, 9.525, 45, 12, 8),
          fc.constantFrom(1, 10, 0.1, 25.4, 1 / 25.4),
          fc.integer({ min: -40, max: 40 }),
        )
        .map(([nominal, factor, thousandths]) =>
          String(Number(((nominal + thousandths / 1000) * factor).toFixed(6))),
        ),
      fc.constantFrom(
        '',
        ' ',
        'abc',
        '1e3',
        '25 mm',
        '1.002 in',
        '45°',
        '9999999',
        '1.0123456789',
        '25,',
        ',5',
      ),
    );
    fc.assert(
      fc.property(
        figure,
        fc.constantFrom(...drawn),
        fc.constantFrom('mm' as const, 'in' as const),
        fc.boolean(),
        (typed, dimension, shown, comma) => {
          const text = comma ? typed.replace('.', ',') : typed;
          expect(scripted(text, dimension, shown)).toEqual(served(text, dimension, shown));
        },
      ),
      { numRuns: 3000, seed: 20261125 },
    );
  });
});
