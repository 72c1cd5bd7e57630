import { describe, expect, test } from 'vitest';
import { type ImportChoice, takeFromPlan } from '../../src/parts/import-choice.ts';
import type { ImportPlan } from '../../src/parts/import-types.ts';
import { aPart, planOf } from './import-examples.ts';

const everything: ImportChoice = { unusual: 'all', despiteBad: true, leaveOut: [] };
const take = (plan: ImportPlan, choice: Partial<ImportChoice> = {}) => {
  const reading = takeFromPlan(plan, { ...everything, ...choice });
  if (!reading.ok) return reading;
  const { assemblies, parts, uses, left } = reading.taking;
  return {
    assemblies: assemblies.map(({ name }) => name),
    parts: parts.map(({ line }) => line),
    uses: uses.map(({ line, use }) => `${line.line} in ${use.assembly}`),
    left,
  };
};

describe('takeFromPlan', () => {
  const mixed = planOf(
    'number,name,qty,assembly\nA1,Gear,2,Arm\nA2,Pin,0,Arm\nA3,Bolt,4\nA4,Nut,3,"Arm, Leg"\nA5,Ring,1,Bolt',
  );

  test('refuses a list with bad rows until the good ones are wanted, naming the lines', () => {
    expect(take(mixed, { despiteBad: false })).toEqual({
      ok: false,
      code: 'has-bad-rows',
      sentence: 'One row is bad (line 3): mend the list, or say that the other rows are to be taken.',
    });
    const many = planOf(`number,name,qty\n${Array.from({ length: 12 }, (_, at) => `A${at},x,0`).join('\n')}`);
    expect(take(many, { despiteBad: false })).toMatchObject({
      sentence:
        '12 rows are bad (lines 2, 3, 4, 5, 6, 7, 8, 9, 10, 11 and more): mend the list, or say that the other rows are to be taken.',
    });
  });

  test('takes all but the bad row, and says what waits', () => {
    expect(take(mixed)).toEqual({
      assemblies: ['Arm', 'Leg'],
      parts: [2, 4, 5, 6],
      uses: ['2 in Arm', '6 in Bolt'],
      left: [
        { line: 3, reason: 'Quantity: "0" is zero: a quantity is above zero.' },
        { line: 5, reason: 'How many go into "Arm" is not said.' },
        { line: 5, reason: 'How many go into "Leg" is not said.' },
      ],
    });
  });

  test('takes unusual rows only when they are named, and leaves out uses in those not taken', () => {
    const none = take(mixed, { unusual: 'none' });
    expect(none).toMatchObject({ parts: [2, 5, 6], uses: ['2 in Arm'] });
    expect(none).toHaveProperty(
      'left',
      expect.arrayContaining([
        {
          line: 4,
          reason:
            'Not taken unless you say so: One cell is missing at the end (3 of 4): nothing for "assembly".',
        },
        { line: 6, reason: '"Bolt" is on line 4, which is not taken.' },
      ]),
    );
    expect(take(mixed, { unusual: [4] })).toMatchObject({ parts: [2, 4, 5, 6] });
    expect(take(mixed, { unusual: [5] })).toMatchObject({ parts: [2, 5, 6] });
  });

  test('leaves out rows the person does not want, and assemblies only they name', () => {
    expect(take(mixed, { leaveOut: [5] })).toMatchObject({ assemblies: ['Arm'], parts: [2, 4, 6] });
    expect(take(mixed, { leaveOut: [2, 5] })).toMatchObject({ assemblies: [], parts: [4, 6] });
  });

  test('a further use goes with the row that describes the part', () => {
    const plan = planOf(
      'number,name,qty,assembly\nB1,Screw,4,Arm\nB1,Screw,2,Leg',
      {},
      { repeatedNumbers: 'further-use' },
    );
    expect(take(plan)).toEqual({
      assemblies: ['Arm', 'Leg'],
      parts: [2],
      uses: ['2 in Arm', '3 in Leg'],
      left: [],
    });
    expect(take(plan, { leaveOut: [2] })).toEqual({
      ok: false,
      code: 'nothing-to-take',
      sentence: 'There is nothing to take: the list changes nothing.',
    });
  });

  test('a row whose part stays as it is brings its new uses alone', () => {
    const parts = [
      aPart({ id: 1, number: 'OR-0001', name: 'Pin' }),
      aPart({ id: 2, number: 'OR-0002', name: 'Arm', kind: 'assembly' }),
    ];
    const plan = planOf('number,qty,assembly\nOR-0001,2,Arm', { parts });
    expect(take(plan)).toEqual({ assemblies: [], parts: [], uses: ['2 in Arm'], left: [] });
  });

  test('says when there is nothing to take', () => {
    const parts = [aPart({ id: 1, number: 'OR-0001', name: 'Pin' })];
    expect(take(planOf('number,name\nOR-0001,Pin', { parts }))).toMatchObject({
      ok: false,
      code: 'nothing-to-take',
    });
  });
});
