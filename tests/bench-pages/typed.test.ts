import { describe, expect, it } from 'vitest';
import { predecessorsTyped } from '../../src/bench/activity-table.ts';
import { bandDrawing } from '../../src/bench/band-drawing.ts';
import { figure, figures, percent, signed } from '../../src/bench/figures.ts';
import { jsonText } from '../../src/bench/json-text.ts';
import { threadPage } from '../../src/bench/pages/thread.ts';
import { pathText } from '../../src/bench/problem.ts';
import { rangeDrawing } from '../../src/bench/range-drawing.ts';
import { Typed, typedNumber } from '../../src/bench/typed.ts';
import { thread } from '../../src/specs/index.ts';

describe('what is typed', () => {
  it.each([
    ['12', 12],
    [' 12,5 ', 12.5],
    ['.5', 0.5],
    ['-0.02', -0.02],
    ['−3', -3],
    ['+4.', 4],
    ['1.2e-3', 0.0012],
  ])('typedNumber(%j) is %d', (text, value) => {
    expect(typedNumber(text)).toBe(value);
  });

  it.each(['', 'abc', '1,2,3', '1 2', '1e999', 'NaN', 'Infinity', '0x10', '1_000', '--1', '1/2'])(
    'typedNumber(%j) is none',
    (text) => {
      expect(typedNumber(text)).toBeNaN();
    },
  );

  it('numbers come apart at blanks, line breaks and semicolons, with decimal commas or points', () => {
    const typed = new Typed({ values: '81,2; 80.4\r\n82\t81,7, 80,9,' });
    expect(typed.numbers('values', 10)).toEqual([81.2, 80.4, 82, 81.7, 80.9]);
    expect(typed.errors).toEqual({});
    const wrong = new Typed({ values: '1,2,3 4 x', many: '1 2 3' });
    wrong.numbers('values', 10);
    wrong.numbers('many', 2);
    expect(wrong.errors.values).toContain('Value 1, "1,2,3", is not a number');
    expect(wrong.errors.many).toContain('At most 2 values; this has 3.');
  });

  it('lines come apart at tabs or else at semicolons, and keep their numbers', () => {
    const typed = new Typed({ table: 'a; 1 ;b\n\n  \nc\t2\td; e' });
    expect(typed.lines('table', 10)).toEqual([
      { line: 1, cells: ['a', '1', 'b'] },
      { line: 4, cells: ['c', '2', 'd; e'] },
    ]);
  });

  it('predecessors have a type and a lag when they are given', () => {
    expect(predecessorsTyped('A, B 2 SS+2,5, C ff - 1,D SF')).toEqual([
      { id: 'A' },
      { id: 'B 2', type: 'SS', lag: 2.5 },
      { id: 'C', type: 'FF', lag: -1 },
      { id: 'D', type: 'SF' },
    ]);
    expect(predecessorsTyped('A,B,7')).toEqual([{ id: 'A' }, { id: 'B' }, { id: '7' }]);
    expect(predecessorsTyped('A FS+2, 7')).toEqual([{ id: 'A', type: 'FS', lag: 2 }, { id: '7' }]);
    expect(predecessorsTyped(' , ')).toEqual([]);
  });
});

describe('what is written', () => {
  it('figures have a true minus and no idle zeros, deviations their sign', () => {
    expect([figure(25.021), figure(-0.5), figure(0), figure(-1e-9), figure(1e21)]).toEqual([
      '25.021',
      '−0.5',
      '0',
      '0',
      '1.000e+21',
    ]);
    expect([signed(0.021), signed(0), signed(-0.007), signed(1e-9)]).toEqual(['+0.021', '0', '−0.007', '0']);
    expect(figures([25.021, 25.0105, 25])).toEqual(['25.0210', '25.0105', '25.0000']);
    expect(figures([-0.00001])).toEqual(['0.000']);
    expect([percent(0), percent(1e-6), percent(0.043), percent(0.9999999), percent(1)]).toEqual([
      '0 %',
      'under 0.01 %',
      '4.3 %',
      'over 99.99 %',
      '100 %',
    ]);
  });

  it('a path is written as in JavaScript', () => {
    expect(pathText(['activities', 3, 'predecessors', 0, 'id'])).toBe('activities[3].predecessors[0].id');
    expect(pathText(['demands', 'two "words"'])).toBe('demands["two \\"words\\""]');
    expect(pathText([])).toBe('');
  });

  it('JSON to read is whole where it is short and counted where it is long', () => {
    expect(jsonText({ nominal: 25, hole: 'H7', t: { celsius: 60 }, none: [] })).toBe(
      '{ "nominal": 25, "hole": "H7", "t": { "celsius": 60 }, "none": [] }',
    );
    const long = { values: Array.from({ length: 12 }, (_, at) => at), name: 'x'.repeat(60) };
    expect(jsonText(long, 2)).toBe(
      `{\n  "values": [\n    0,\n    1,\n    … and 10 more\n  ],\n  "name": "${'x'.repeat(60)}"\n}`,
    );
    const whole = {
      a: [
        { id: 'frame', duration: 1 },
        { id: 'paint', duration: 2, of: 'x'.repeat(50) },
      ],
      b: null,
    };
    expect(JSON.parse(jsonText(whole))).toEqual(whole);
  });
});

describe('what is drawn', () => {
  it('bands stand to one scale over the zero line, with words that nothing strikes through', () => {
    const { zero, bands, words } = bandDrawing(
      [
        { name: 'hole H7', upper: 0.021, lower: 0, fill: 'hatch' },
        { name: 'shaft g6', upper: -0.007, lower: -0.02, fill: 'cross' },
      ],
      'mm',
      '25 mm',
    );
    const [hole, shaft] = bands;
    expect(hole!.y + hole!.height).toBeCloseTo(zero, 1);
    expect(shaft!.y).toBeGreaterThan(zero);
    expect(hole!.height / shaft!.height).toBeCloseTo(21 / 13, 1);
    expect(words).toContain('shaft g6 from −0.02 to −0.007 mm');
    for (const { y } of bands.flatMap(({ labels }) => labels))
      expect(y > zero + 10 || y < zero - 1).toBe(true);
    const point = bandDrawing([{ name: 'p', upper: 0, lower: 0, fill: 'hatch' }], 'mm', '1 mm');
    expect(point.bands[0]!.height).toBeGreaterThan(0);
    for (const number of [point.zero, point.bands[0]!.y]) expect(Number.isFinite(number)).toBe(true);
  });

  it('ranges share a scale and stay on the sheet', () => {
    const { bars, width, zero, axis } = rangeDrawing(
      [
        { name: 'a', min: 1, max: 3, line: 'thin' },
        { name: 'b', min: 2, max: 2, line: 'thick', mark: 2 },
      ],
      'mm',
    );
    expect(zero).toBe(axis.from);
    expect([axis.left, axis.right]).toEqual(['0', '3 mm']);
    for (const { x1, x2 } of bars) {
      expect(x1).toBeGreaterThanOrEqual(0);
      expect(x2).toBeGreaterThan(x1);
      expect(x2).toBeLessThanOrEqual(width);
    }
    expect(rangeDrawing([{ name: 'far', min: 1000, max: 1001, line: 'thin' }], 'mm').zero).toBeNull();
  });
});

describe('what is offered', () => {
  it('every thread of the select has an answer, for every series', () => {
    const { threads, series } = threadPage.form!({}, { materials: [] }) as Record<
      string,
      { value: string }[]
    >;
    expect(threads!.length).toBeGreaterThan(60);
    for (const { value } of threads!) {
      for (const { value: hole } of series!) {
        const { clearanceHole, tapDrill } = thread({ thread: value, series: hole as 'fine' });
        expect(clearanceHole, value).toBeGreaterThan(tapDrill);
      }
    }
  });
});
