import { describe, expect, it } from 'vitest';
import { listed, type ThanksChange, thanksOfWeek } from '../../src/bulletin/thanks.ts';
import { actKinds } from '../../src/log/sentence.ts';
import { row } from './rows.ts';

const people = new Map(
  [1, 2, 3, 4, 5, 6].map((id) => [id, { id, role: id === 1 ? 'lead' : id === 2 ? 'crew' : 'maker' }]),
);
const of = (
  rows: ReturnType<typeof row>[],
  changes: ThanksChange[] = [],
  came: { person: number; title: string }[] = [],
) => thanksOfWeek(rows, came, people, changes);

describe('thanksOfWeek', () => {
  it('thanks everyone who helped once, for all they did, and the maker whose work was written down', () => {
    const { thanks, notThanked } = of([
      row('report-work', { personId: 1, aboutId: 3 }),
      row('claim-job', { personId: 4 }),
      row('report-work', { personId: 4 }),
      row('report-work', { personId: 4 }),
      row('post-parcel', { personId: 4 }),
      row('answer-query', { personId: 2, aboutId: 6 }),
      row('set-password', { personId: 5 }),
    ]);
    expect(thanks).toEqual([
      { person: 3, for: 'making' },
      { person: 4, for: 'taking work on, making and posting' },
      { person: 2, for: 'answering' },
      { person: 6, for: 'asking' },
    ]);
    expect(notThanked).toEqual([
      { person: 1, why: 'is the lead, who says the thanks', byLead: false },
      { person: 5, why: 'did nothing but their own affairs', byLead: false },
    ]);
  });

  it('thanks who came to a gathering that was held', () => {
    expect(of([], [], [{ person: 5, title: 'Spring' }]).thanks).toEqual([
      { person: 5, for: 'coming to Spring' },
    ]);
  });

  it('says why somebody whom others’ acts concern is not thanked', () => {
    expect(of([row('inspect-units', { personId: 2, aboutId: 3 })])).toEqual({
      thanks: [{ person: 2, for: 'inspecting' }],
      notThanked: [{ person: 3, why: 'only stands in what others did', byLead: false }],
    });
  });

  it('follows the lead: taken off with a reason, thanked by hand in other words, nobody unknown', () => {
    const rows = [row('report-work'), row('claim-job', { personId: 4 })];
    const { thanks, notThanked } = of(rows, [
      { person: 3, why: 'asked me not to' },
      { person: 4, for: 'the bread' },
      { person: 6, for: 'the van' },
      { person: 99, for: 'nothing' },
    ]);
    expect(thanks).toEqual([
      { person: 4, for: 'the bread' },
      { person: 6, for: 'the van' },
    ]);
    expect(notThanked).toEqual([{ person: 3, why: 'asked me not to', byLead: true }]);
  });

  it('forgets nobody, whatever the week holds: each is thanked or stands among those who are not, never both', () => {
    let seed = 7;
    const random = (below: number) => {
      seed = (seed * 1103515245 + 12345) % 2147483648;
      return Math.floor((seed / 2147483648) * below);
    };
    const who = () => (random(5) === 0 ? null : 1 + random(6));
    for (let round = 0; round < 200; round += 1) {
      const rows = Array.from({ length: random(12) }, () =>
        row(actKinds[random(actKinds.length)]!, { personId: who(), aboutId: who() }),
      );
      const changes = random(2)
        ? [{ person: 1 + random(6), why: 'x' }]
        : [{ person: 1 + random(6), for: 'y' }];
      const { thanks, notThanked } = of(rows, changes);
      const there = new Set(rows.flatMap(({ personId, aboutId }) => [personId, aboutId]));
      there.delete(null);
      const found = [...thanks, ...notThanked].map(({ person }) => person);
      expect(new Set(found).size).toBe(found.length);
      expect([...there].filter((person) => !found.includes(person!))).toEqual([]);
      expect(thanks.every((one) => one.for !== '')).toBe(true);
    }
  });
});

describe('listed', () => {
  it('puts an "and" before the last', () => {
    expect([[], ['a'], ['a', 'b'], ['a', 'b', 'c']].map(listed)).toEqual(['', 'a', 'a and b', 'a, b and c']);
  });
});
