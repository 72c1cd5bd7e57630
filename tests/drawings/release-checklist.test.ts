import { describe, expect, it } from 'vitest';
import {
  missingSentence,
  type ReleaseFacts,
  releaseChecklist,
} from '../../src/drawings/release-checklist.ts';

const facts: ReleaseFacts = {
  revisionId: 7,
  letter: 'A',
  part: { number: 'TB-0004', kind: 'made' },
  material: 'oak',
  process: 'milling',
  generalTolerance: null,
  characteristics: [
    { position: 1, label: '', text: '25 H7' },
    { position: 2, label: '', text: 'deburr all edges' },
  ],
  documents: [{ kind: 'model' }],
  parents: ['TB-0001'],
  needed: '4 pieces needed',
  isTop: false,
};

const missing = (changed: Partial<ReleaseFacts>) =>
  releaseChecklist({ ...facts, ...changed })
    .filter(({ holds }) => !holds)
    .map(({ code }) => code);

describe('releaseChecklist', () => {
  it('holds when each item is there, and says what is', () => {
    const items = releaseChecklist(facts);
    expect(items.map(({ code, holds, note }) => [code, holds, note])).toEqual([
      ['material', true, 'oak'],
      ['process', true, 'milling'],
      ['limits', true, 'limits on each of 2'],
      ['document', true, '1 there'],
      ['quantity', true, '4 pieces needed; goes into TB-0001'],
    ]);
    expect(missingSentence('A', items)).toBeNull();
  });

  it('misses each item by itself', () => {
    expect(missing({ material: null })).toEqual(['material']);
    expect(missing({ process: null })).toEqual(['process']);
    expect(missing({ characteristics: [{ position: 1, label: '', text: '25' }] })).toEqual(['limits']);
    expect(
      missing({ characteristics: [{ position: 1, label: '', text: '25' }], generalTolerance: 'm' }),
    ).toEqual([]);
    expect(missing({ characteristics: [] })).toEqual(['limits']);
    expect(missing({ documents: [{ kind: 'photo' }, { kind: 'note' }, { kind: 'flat pattern' }] })).toEqual([
      'document',
    ]);
    expect(missing({ parents: [], needed: null })).toEqual(['quantity']);
    expect(missing({ parents: [], needed: null, isTop: true })).toEqual([]);
  });

  it('asks neither material nor process of an assembly, nor of what is bought', () => {
    const bare = { material: null, process: null, characteristics: [] };
    expect(missing({ ...bare, part: { number: 'TB-0001', kind: 'assembly' } })).toEqual([]);
    expect(missing({ ...bare, part: { number: 'TB-0009', kind: 'bought' } })).toEqual([]);
  });

  it('leads to where each thing is put right', () => {
    const items = releaseChecklist({ ...facts, material: null, documents: [] });
    expect(items.map(({ fix }) => fix.href)).toEqual([
      '/revisions/7/change',
      '/revisions/7/change',
      '/revisions/7/change',
      '/revisions/7#documents',
      '/parts/TB-0004',
    ]);
  });
});
