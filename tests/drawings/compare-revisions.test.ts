import { describe, expect, it } from 'vitest';
import { type ComparedRevision, compareRevisions } from '../../src/drawings/compare-revisions.ts';
import { limitsRow } from '../../src/drawings/limits-shown.ts';

const row = (position: number, text: string, { label = '', isKey = false } = {}) =>
  limitsRow({ id: position, position, label, text, isKey }, 'm', 'mm');
const file = (name: string, sha256: string, kind = 'model') => ({
  name,
  sha256,
  kind,
  href: `/documents/${sha256}`,
});

const A: ComparedRevision = {
  letter: 'A',
  head: [
    { label: 'Material', text: 'brass' },
    { label: 'Finish', text: '' },
  ],
  limits: [row(1, '25 H7', { isKey: true }), row(2, '40 ±0.2'), row(3, 'deburr')],
  documents: [file('arm.step', 'a'), file('arm.pdf', 'b', 'drawing'), file('photo.jpg', 'c', 'photo')],
};

describe('two revisions side by side', () => {
  it('are told to be the same where they are', () => {
    const { differs, head, characteristics, documents } = compareRevisions(A, { ...A, letter: 'B' });
    expect(differs).toBe(false);
    expect(head).toEqual([{ label: 'Material', before: 'brass', after: 'brass', change: '' }]);
    expect(characteristics.map(({ change }) => change)).toEqual(['', '', '']);
    expect(documents.map(({ change }) => change)).toEqual(['', '', '']);
  });

  it('say by how much limits moved, and what is new and gone', () => {
    const B = {
      ...A,
      letter: 'B',
      limits: [row(1, '25 H8'), row(2, '40 ±0.1', { label: 'B3' }), row(4, '12')],
    };
    const { characteristics, differs } = compareRevisions(A, B);
    expect(differs).toBe(true);
    expect(characteristics.map(({ position, change }) => [position, change])).toEqual([
      // ISO 286-2: 25 H7 is +0.021 / 0, 25 H8 +0.033 / 0.
      [1, 'upper limit +0.012 mm, no longer key'],
      [2, 'lower limit +0.1 mm, upper limit −0.1 mm, place on the drawing'],
      [3, 'gone'],
      [4, 'new'],
    ]);
  });

  it('say that a size is written otherwise where its limits stayed', () => {
    const B = { ...A, limits: [row(1, '25 +0.021 0', { isKey: true })] };
    expect(compareRevisions(A, B).characteristics[0]!.change).toBe('written otherwise');
  });

  it('say what changed in the head', () => {
    const B = {
      ...A,
      head: [
        { label: 'Material', text: 'steel' },
        { label: 'Finish', text: 'oiled' },
      ],
    };
    expect(compareRevisions(A, B).head).toEqual([
      { label: 'Material', before: 'brass', after: 'steel', change: 'changed' },
      { label: 'Finish', before: null, after: 'oiled', change: 'new' },
    ]);
  });

  it('know a file again by its content, then by its name', () => {
    const B = {
      ...A,
      documents: [file('arm.step', 'z'), file('drawing.pdf', 'b', 'drawing'), file('new.dxf', 'd')],
    };
    expect(
      compareRevisions(A, B).documents.map(({ before, after, change }) => [
        before?.name,
        after?.name,
        change,
      ]),
    ).toEqual([
      ['arm.step', 'arm.step', 'other content'],
      ['arm.pdf', 'drawing.pdf', 'renamed'],
      [undefined, 'new.dxf', 'new'],
      ['photo.jpg', undefined, 'gone'],
    ]);
  });
});
