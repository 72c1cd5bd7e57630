import { describe, expect, it } from 'vitest';
import { CAUTIONS_CLOSING, cautionsFor } from '../../src/specs/cautions.ts';
import { materialLibrary, processLibrary } from '../../src/specs/library/library.ts';

const material = materialLibrary.find(({ id }) => id === 'brass-cw614n');
const process = processLibrary.find(({ id }) => id === 'turning');

describe('cautionsFor', () => {
  it('lists those of the material, then of the process, each once', () => {
    const cautions = cautionsFor({ material, process });
    expect(cautions[0]).toEqual({ about: material?.name, text: material?.cautions[0] });
    expect(cautions.map(({ text }) => text)).toEqual([
      ...(material?.cautions ?? []),
      ...(process?.cautions ?? []),
    ]);
    expect(cautionsFor({ material, process: material })).toHaveLength(material?.cautions.length ?? 0);
  });

  it.each([
    ['two coats of varnish', 'coating'],
    ['lamp wiring, 230 V', 'electricity'],
    ['hung from the ceiling', 'lifting and overhead parts'],
    ['gear train, first wheel', 'moving machinery'],
    ['zinc plated', 'plating and etching'],
  ])('"%s" calls for those of %s', (words, about) => {
    expect(cautionsFor({ words }).map((caution) => caution.about)).toContain(about);
  });

  it('asks for a second pair of hands from 25 kg', () => {
    expect(cautionsFor({ massKg: 25 })[0]?.text).toContain('a piece of 25 kg');
    expect(cautionsFor({ massKg: 24.9 })).toEqual([]);
  });

  it('stays silent for plain words, and always defers to local codes', () => {
    expect(cautionsFor({ words: 'plate 3 mm, template for the ring' })).toEqual([]);
    expect(CAUTIONS_CLOSING).toContain('Local codes');
    expect(CAUTIONS_CLOSING).toContain('licensed practice');
  });
});
