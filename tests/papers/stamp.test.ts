import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readStamp, stampText } from '../../src/papers/stamp.ts';
import { verdictOf } from '../../src/papers/stamp-page.ts';

const SECRET = 'a secret of this data folder';
const day = fc
  .tuple(
    fc.integer({ min: 2020, max: 2080 }),
    fc.integer({ min: 1, max: 12 }),
    fc.integer({ min: 1, max: 28 }),
  )
  .map(([year, month, date]) => `${year}-${String(month).padStart(2, '0')}-${String(date).padStart(2, '0')}`);
const stamp = fc.record({
  jobId: fc.integer({ min: 1, max: 999_999_999 }),
  revisionId: fc.integer({ min: 1, max: 999_999_999 }),
  on: day,
});

describe('the stamp of a pack', () => {
  it('is read as it was written', () => {
    fc.assert(
      fc.property(stamp, (one) => {
        expect(readStamp(stampText(one, SECRET), SECRET)).toEqual(one);
      }),
    );
  });

  it('is not believed when a letter of it is another', () => {
    fc.assert(
      fc.property(stamp, fc.nat(), fc.constantFrom(...'0123456789abcdef-'), (one, at, letter) => {
        const text = stampText(one, SECRET);
        const place = at % text.length;
        fc.pre(text[place] !== letter);
        expect(readStamp(text.slice(0, place) + letter + text.slice(place + 1), SECRET)).toBeNull();
      }),
    );
  });

  it('is not believed when it was printed elsewhere, or is no stamp at all', () => {
    const text = stampText({ jobId: 114, revisionId: 37, on: '2026-11-25' }, SECRET);
    expect(readStamp(text, 'another secret')).toBeNull();
    fc.assert(
      fc.property(fc.string(), (other) => {
        expect(readStamp(other, SECRET)).toBeNull();
      }),
    );
  });
});

describe('what is said of a paper', () => {
  const facts = {
    letter: 'B',
    state: 'released',
    newest: 'B',
    endedOn: null,
    dropped: false,
    held: false,
    finishesOld: false,
  };

  it('is that it holds, for the current revision', () => {
    expect(verdictOf(facts)).toEqual({
      isCurrent: true,
      verdict: 'Revision B is the current one: this paper is still true.',
    });
  });

  it('is that another stands in its place', () => {
    const { isCurrent, verdict } = verdictOf({
      ...facts,
      state: 'superseded',
      newest: 'C',
      endedOn: '3 Nov 2026',
    });
    expect(isCurrent).toBe(false);
    expect(verdict).toContain('Revision B is superseded since 3 Nov 2026');
    expect(verdict).toContain('Revision C stands in its place');
  });

  it('is that it is withdrawn, where nothing stands in its place', () => {
    const { isCurrent, verdict } = verdictOf({ ...facts, state: 'withdrawn', newest: null });
    expect(isCurrent).toBe(false);
    expect(verdict).toBe('Revision B is withdrawn. Do not make to this paper.');
  });

  it('is that the old one is to be finished, to who was told so', () => {
    expect(verdictOf({ ...facts, state: 'superseded', newest: 'C', finishesOld: true }).isCurrent).toBe(true);
  });

  it('is first of all that nothing more is to be made', () => {
    expect(verdictOf({ ...facts, held: true })).toMatchObject({ isCurrent: false });
    expect(verdictOf({ ...facts, dropped: true, held: true }).verdict).toContain('dropped');
  });
});
