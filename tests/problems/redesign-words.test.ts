import { describe, expect, it } from 'vitest';
import { compareRevisions } from '../../src/drawings/compare-revisions.ts';
import { limitsRow } from '../../src/drawings/limits-shown.ts';
import { changeLines } from '../../src/problems/redesign-changes.ts';
import { costView, hoursWords, RedesignCosts } from '../../src/problems/redesign-cost.ts';
import { ReleaseForm } from '../../src/problems/redesign-forms.ts';
import { isEarly, mayBegin } from '../../src/problems/redesign-rules.ts';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import { claim, facts, frame, job, part } from '../schedule/derive-facts.ts';

describe('changeLines', () => {
  const revision = (sizes: [number, string, string, boolean?][], finish: string) => ({
    letter: 'A',
    head: [{ label: 'Finish', text: finish }],
    limits: sizes.map(([position, label, text, isKey = false]) =>
      limitsRow({ id: position, position, label, text, isKey }, 'm', 'mm'),
    ),
    documents: [],
  });

  it('tells sizes that changed, came and went, then the head; what is the same and the files are left out', () => {
    const before = revision(
      [
        [1, 'bore', '25 H7', true],
        [2, 'length', '40 ±0.1'],
        [3, '', '12 ±0.2'],
      ],
      'bare',
    );
    const after = revision(
      [
        [1, 'bore', '25 G7', true],
        [3, '', '12 ±0.2'],
        [4, 'dowel', '6 H7'],
      ],
      'anodised',
    );
    expect(changeLines(compareRevisions(before, after))).toEqual([
      // ISO 286-1: 25 H7 is 25 to 25.021, 25 G7 is 25.007 to 25.028.
      {
        what: '1 bore',
        was: '25 H7 (key)',
        is: '25 G7 (key)',
        change: 'lower limit +0.007 mm, upper limit +0.007 mm',
      },
      { what: '2 length', was: '40 ±0.1', is: '', change: 'gone' },
      { what: '4 dowel', was: '', is: '6 H7', change: 'new' },
      { what: 'Finish', was: 'bare', is: 'anodised', change: 'changed' },
    ]);
    expect(changeLines(compareRevisions(before, before))).toEqual([]);
  });
});

describe('what a redesign costs, in words', () => {
  const given = (accepted: boolean) =>
    facts({
      parts: [frame, part(2)],
      uses: [[1, 2, 4]],
      released: [2],
      jobs: accepted
        ? [
            job(7, {
              partId: 2,
              revisionId: 2,
              milli: 4000,
              claims: [claim(70, { milli: 4000, doneMilli: 4000, arrivedMilli: 4000, acceptedMilli: 4000 })],
            }),
          ]
        : [],
    });
  const wish = { partIds: [2], hours: null, claims: 0, lots: 1 };

  it('is worked out once for a schedule and a wish', () => {
    const costs = new RedesignCosts();
    const schedule = scheduleOf(given(true));
    expect(costs.has(schedule, wish)).toBe(false);
    const first = costs.of(schedule, wish);
    expect(costs.has(schedule, { ...wish })).toBe(true);
    expect(costs.of(schedule, { ...wish })).toBe(first);
    expect(costs.of(schedule, { ...wish, hours: 8 })).not.toBe(first);
    expect(costs.of(scheduleOf(given(true)), wish)).not.toBe(first);
  });

  it('says how many days, instead of which day, and why', () => {
    const schedule = scheduleOf(given(true));
    const view = costView(new RedesignCosts().of(schedule, wish), schedule);
    expect(view.finishOn).toBe('2 Mar');
    expect(view.best).toMatchObject({ later: '2 days', finishOn: '4 Mar', leadHours: '5.5 h' });
    expect(view.best.because).toContain('The drawings themselves are what is finished last.');
    expect(view.worst).toMatchObject({ later: '32 days', finishOn: '3 Apr', leadHours: '6.5 h' });
    expect(view.worst.because).toBe(
      'Nothing made to the old drawings can be used: 4 pieces of TB-0002 made or bought anew, by makers still to be found. The finish waits for the new pieces.',
    );
    expect(view.short).toBe('2 days to 32 days for the finish, 5.5 h to 6.5 h for the lead');
    expect(view.hours).toContainEqual({
      label: 'Inspect 1 part made anew',
      because: 'usually 0.5 h each',
      best: '0 h',
      worst: '0.5 h',
    });
    expect(view.steps[0]).toMatchObject({ from: '2 Mar', until: '3 Mar', days: '2 working days' });
    const early = scheduleOf(given(false));
    expect(costView(new RedesignCosts().of(early, wish), early).worst.because).toContain(
      'Nothing is made to the old drawings yet.',
    );
  });

  it('rounds hours to a tenth', () => {
    expect([0, 1, 5.25, 2.04].map(hoursWords)).toEqual(['0 h', '1 h', '5.3 h', '2 h']);
  });
});

describe('the rules', () => {
  it('a trial is early before the release, or before the opening where nothing is released', () => {
    const day = (n: number) => new Date(Date.UTC(2026, 2, n));
    const released = { openedAt: day(1), releasedAt: day(5) };
    expect([4, 5, 6].map((n) => isEarly(released, { doneAt: day(n) }))).toEqual([true, false, false]);
    const bare = { openedAt: day(3), releasedAt: null };
    expect([2, 3].map((n) => isEarly(bare, { doneAt: day(n) }))).toEqual([true, false]);
    expect(isEarly(released, { doneAt: null })).toBe(false);
  });

  it('names every draft that is another redesign’s', () => {
    expect(mayBegin([])).toBeNull();
    const redesign = { id: 4, title: 'Stiffer' };
    expect(
      mayBegin([
        { partNumber: 'TB-1', letter: 'B', redesign },
        { partNumber: 'TB-2', letter: 'C', redesign },
      ])?.sentence,
    ).toMatch(/^Nothing is begun\. TB-1 B is .* 4, “Stiffer”\. TB-2 C is /);
  });

  it('reads the drafts that a page showed, and nothing else', () => {
    const read = (drafts: unknown) => ReleaseForm.safeParse({ drafts });
    expect(read('12.3 40.1').data?.drafts).toEqual(
      new Map([
        [12, 3],
        [40, 1],
      ]),
    );
    // A page without drafts released none: one that is there by then was not looked at.
    expect(read('').data?.drafts).toEqual(new Map());
    expect(read(undefined).success).toBe(true);
    for (const wrong of ['12', 'a.b', '1.2;3.4', '1.2 -3.4', '1.2.3'])
      expect(read(wrong).success).toBe(false);
  });
});
