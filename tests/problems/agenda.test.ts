import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addDays } from '../../src/platform/day.ts';
import {
  type AgendaItem,
  type AgendaPerson,
  type AgendaQuestion,
  agendaOf,
  endOf,
  skillsFit,
} from '../../src/problems/agenda.ts';
import { allNeeds, lateCase } from '../../src/problems/agenda-late.ts';
import { SURE, withDoubtLater } from '../../src/problems/agenda-later.ts';
import { agendaQuestion } from '../../src/problems/agenda-question.ts';
import { gatheringWork } from '../../src/schedule/index.ts';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import { anyBuild } from '../schedule/levelled-any.ts';
import { faultsOf } from './agenda-checker.ts';

const person = (id: number, over: Partial<AgendaPerson> = {}): AgendaPerson => ({
  id,
  name: `P${id}`,
  isShop: true,
  isLead: id === 1,
  skills: '',
  firstDay: 0,
  lastDay: 1,
  minutes: 480,
  ...over,
});
const item = (key: string, over: Partial<AgendaItem> = {}): AgendaItem => ({
  key,
  title: key,
  kind: 'other',
  minutes: 120,
  personId: null,
  shopOnly: false,
  spot: null,
  isKept: true,
  pressing: 0,
  after: [],
  readyDay: 0,
  ...over,
});
const waits = (...keys: string[]) => keys.map((key) => ({ key, lagDays: 0, fromStart: false }));
const ask = (over: Partial<AgendaQuestion>): AgendaQuestion => ({
  days: ['2026-03-14', '2026-03-15'],
  beginsAt: 540,
  people: [person(1), person(2)],
  items: [],
  ...over,
});
const times = (question: AgendaQuestion) =>
  agendaOf(question).placed.map(({ key, personId, pieces }) => [
    key,
    personId,
    ...pieces.map(({ day, from, until }) => `${day}:${from}-${until}`),
  ]);

describe('agendaOf', () => {
  it('lets two people work side by side, and a fit-up wait for what goes into it', () => {
    const items = [item('top', { after: waits('a', 'b') }), item('a'), item('b', { minutes: 180 })];
    expect(times(ask({ items }))).toEqual([
      ['a', 2, '0:540-660'],
      ['b', 1, '0:540-720'],
      ['top', 2, '0:720-840'],
    ]);
  });

  it('puts one thing at a time in a spot, whoever does it', () => {
    const items = [item('a', { spot: 'Inside' }), item('b', { spot: ' inside' })];
    const agenda = agendaOf(ask({ items }));
    expect(times(ask({ items }))).toEqual([
      ['a', 1, '0:540-660'],
      ['b', expect.any(Number), '0:660-780'],
    ]);
    expect(agenda.placed[1]).toMatchObject({ because: 'spot', behind: 'a' });
  });

  it('does not split what fits into a day, and goes on in the morning with what does not', () => {
    const one = [person(1)];
    const short = [item('a', { minutes: 300, pressing: 0 }), item('b', { minutes: 300, pressing: 1 })];
    expect(times(ask({ people: one, items: short }))).toEqual([
      ['a', 1, '0:540-840'],
      ['b', 1, '1:540-840'],
    ]);
    expect(times(ask({ people: one, items: [item('long', { minutes: 600 })] }))).toEqual([
      ['long', 1, '0:540-1020', '1:540-660'],
    ]);
  });

  it('keeps to the days and the hours of each', () => {
    const people = [person(1, { firstDay: 1, minutes: 60 }), person(2, { lastDay: 0, minutes: 120 })];
    expect(times(ask({ people, items: [item('a', { personId: 1, minutes: 60 }), item('b')] }))).toEqual([
      ['b', 2, '0:540-660'],
      ['a', 1, '1:540-600'],
    ]);
  });

  it('waits for the day on which parts are expected, and leaves over what they come too late for', () => {
    const agenda = agendaOf(
      ask({
        items: [item('a', { readyDay: 1 }), item('b', { readyDay: null }), item('c', { after: waits('b') })],
      }),
    );
    expect(agenda.placed).toMatchObject([{ key: 'a', because: 'parts', pieces: [{ day: 1, from: 540 }] }]);
    expect(agenda.leftOver).toEqual([
      { key: 'b', reason: 'parts', behind: null },
      { key: 'c', reason: 'waits', behind: 'b' },
    ]);
  });

  it('says why something has no time: too long, no hours left, its person or the shop not there', () => {
    const people = [person(3, { isShop: false, lastDay: 0 })];
    const items = [
      item('fits', { minutes: 480, pressing: -1 }),
      item('no time', { minutes: 30 }),
      item('too long', { minutes: 500 }),
      item('hers', { personId: 9 }),
      item('inspect', { shopOnly: true }),
    ];
    expect(agendaOf(ask({ people, items })).leftOver.map(({ key, reason }) => [key, reason])).toEqual([
      ['no time', 'time'],
      ['too long', 'too long'],
      ['hers', 'not coming'],
      ['inspect', 'no shop'],
    ]);
    expect(agendaOf(ask({ people: [], items: [item('a')] })).leftOver[0]!.reason).toBe('not coming');
    expect(agendaOf(ask({}))).toEqual({ placed: [], leftOver: [], rule: 0, later: new Map() });
  });

  it('does first what can only be done there, and what that waits for', () => {
    const people = [person(1, { lastDay: 0, minutes: 240 })];
    const items = [
      item('elsewhere', { isKept: false, pressing: -9 }),
      item('kept', { after: waits('before'), pressing: 9 }),
      item('before', { isKept: false, pressing: 5 }),
    ];
    expect(agendaOf(ask({ people, items })).placed.map(({ key }) => key)).toEqual(['before', 'kept']);
  });

  it('asks whoever says they can, where several could', () => {
    const people = [person(1), person(2, { skills: 'soldering, wiring' })];
    expect(times(ask({ people, items: [item('a', { title: 'Wire the lamp' })] }))[0]![1]).toBe(2);
    expect(skillsFit('wood, and a van', 'Wire the lamp')).toBe(0);
  });

  it('keeps to a lag in days, to a link from a start, and stands links that go in a circle', () => {
    const people = [person(1), person(2)];
    const lag = [item('dries'), item('next', { after: [{ key: 'dries', lagDays: 1, fromStart: false }] })];
    expect(agendaOf(ask({ people, items: lag })).placed[1]!.pieces[0]).toMatchObject({ day: 1, from: 660 });
    const start = [
      item('a', { minutes: 480 }),
      item('b', { after: [{ key: 'a', lagDays: 0, fromStart: true }] }),
    ];
    expect(times(ask({ people, items: start }))[1]).toEqual(['b', 2, '0:540-660']);
    const circle = [item('a', { after: waits('b') }), item('b', { after: waits('a') })];
    expect(agendaOf(ask({ people, items: circle })).leftOver).toHaveLength(2);
  });
});

const anyQuestion: fc.Arbitrary<AgendaQuestion> = fc
  .record({
    days: fc.integer({ min: 1, max: 4 }),
    people: fc.array(
      fc.record({
        firstDay: fc.nat(3),
        more: fc.nat(3),
        minutes: fc.constantFrom(60, 240, 480, 600),
        isShop: fc.boolean(),
      }),
      { maxLength: 5 },
    ),
    items: fc.array(
      fc.record({
        minutes: fc.constantFrom(15, 30, 60, 120, 240, 480, 720, 2000),
        personId: fc.option(fc.integer({ min: 1, max: 6 }), { freq: 2 }),
        shopOnly: fc.boolean(),
        spot: fc.option(fc.constantFrom('a', 'B ', 'b')),
        isKept: fc.boolean(),
        pressing: fc.integer({ min: -5, max: 40 }),
        readyDay: fc.option(fc.nat(4), { freq: 8 }),
        after: fc.array(
          fc.record({ to: fc.nat(20), lagDays: fc.constantFrom(0, 0, 0, 1), fromStart: fc.boolean() }),
          { maxLength: 3 },
        ),
      }),
      { maxLength: 14 },
    ),
  })
  .map(({ days, people, items }) =>
    ask({
      days: Array.from({ length: days }, (_, n) => addDays('2026-03-14', n)),
      people: people.map(({ more, ...one }, n) => person(n + 1, { ...one, lastDay: one.firstDay + more })),
      items: items.map((one, n) =>
        item(`i${n}`, {
          ...one,
          after: one.after.filter(({ to }) => to < n).map(({ to, ...link }) => ({ key: `i${to}`, ...link })),
        }),
      ),
    }),
  );

describe('any agenda', () => {
  it('overlaps for no person and no spot, obeys its links, and keeps to days and hours', () => {
    fc.assert(
      fc.property(anyQuestion, (question) => {
        expect(faultsOf(question, agendaOf(question))).toEqual([]);
      }),
      { numRuns: 400 },
    );
  });

  it('is the same for the same question, in whatever order its people stand', () => {
    fc.assert(
      fc.property(anyQuestion, (question) => {
        const agenda = agendaOf(question);
        expect(agendaOf(structuredClone(question))).toEqual(agenda);
        expect(agendaOf({ ...question, people: [...question.people].reverse() })).toEqual(agenda);
      }),
    );
  });

  it('leaves over for want of time only what would not fit after all that is on it', () => {
    fc.assert(
      fc.property(anyQuestion, (question) => {
        const agenda = agendaOf(question);
        for (const { key, reason } of agenda.leftOver) {
          if (reason !== 'too long') continue;
          const { minutes, personId } = question.items.find((one) => one.key === key)!;
          for (const one of question.people) {
            const there = Math.max(0, Math.min(one.lastDay, question.days.length - 1) - one.firstDay + 1);
            if (personId === null || personId === one.id)
              expect(there * one.minutes).toBeLessThan(
                question.items.find((other) => other.key === key)!.shopOnly && !one.isShop
                  ? Infinity
                  : minutes,
              );
          }
        }
      }),
    );
  });

  it('of a late supply drops all that needs it, and nothing else is in its way', () => {
    fc.assert(
      fc.property(anyQuestion, fc.array(fc.nat(13), { minLength: 1, maxLength: 4 }), (question, needing) => {
        const needs = allNeeds(question.items, new Map(needing.map((n) => [`i${n}`, [77]])));
        const agenda = agendaOf(question);
        const late = lateCase(question, agenda, needs, { supply: 77, chance: 0.5 });
        for (const { key } of question.items) {
          const before = question.items.find((one) => one.key === key)!.after.map((link) => link.key);
          expect(needs.get(key)!.has(77)).toBe(
            needing.some((n) => `i${n}` === key) || before.some((one) => needs.get(one)!.has(77)),
          );
        }
        expect(late.falls).toEqual(
          agenda.placed.filter(({ key }) => needs.get(key)!.has(77)).map(({ key }) => key),
        );
        for (const key of late.instead) {
          expect(needs.get(key)!.has(77)).toBe(false);
          expect(agenda.leftOver.some((left) => left.key === key)).toBe(true);
        }
      }),
    );
  });
});

describe('doubtful work', () => {
  const chanceOn = (rising: Record<string, number[]>) => (key: string, day: number) =>
    rising[key]?.[day] ?? 1;

  it('goes on the first day on which it is sure, where there is room, with what waits for it', () => {
    const days = ['2026-03-14', '2026-03-15', '2026-03-16'];
    const people = [person(1, { lastDay: 2 }), person(2, { lastDay: 2 })];
    const items = [
      item('doubtful'),
      item('sure', { pressing: 5 }),
      item('next', { after: waits('held') }),
      item('held'),
    ];
    const question = ask({ days, people, items });
    const agenda = agendaOf(question);
    const moved = withDoubtLater(question, agenda, chanceOn({ doubtful: [0.5, 0.97, 1], held: [0.5, 1, 1] }));
    const dayOf = (key: string) => moved.placed.find((one) => one.key === key)!.pieces[0]!.day;
    expect(agenda.placed.every(({ pieces }) => pieces[0]!.day === 0)).toBe(true);
    expect(dayOf('doubtful')).toBe(1);
    expect(moved.placed.find(({ key }) => key === 'doubtful')!.because).toBe('doubt');
    expect([dayOf('held'), dayOf('next')]).toEqual([1, 1]);
    // no time then for what waits for it, no more likely on another day, nobody there on one
    const tight = ask({
      people: [person(1)],
      items: [item('first', { minutes: 240 }), item('then', { minutes: 480, after: waits('first') })],
    });
    expect(withDoubtLater(tight, agendaOf(tight), chanceOn({ first: [0.1, 1] })).later.size).toBe(0);
    expect(withDoubtLater(question, agenda, chanceOn({ doubtful: [0.5, 0.52, 0.54] }))).toBe(agenda);
    const short = ask({ people: [person(1, { lastDay: 0 })], items: [item('doubtful')] });
    expect(withDoubtLater(short, agendaOf(short), chanceOn({ doubtful: [0.1, 1] })).placed).toHaveLength(1);
  });

  it('moves nothing else later, leaves nothing over, and is no less likely than before', () => {
    let moves = 0;
    fc.assert(
      fc.property(
        anyQuestion,
        fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 14, maxLength: 14 }),
        (question, bases) => {
          const chance = (key: string, day: number) => 1 - (1 - bases[Number(key.slice(1))]!) / (1 + day);
          const isMoved = (key: string, later: ReadonlyMap<string, number>): boolean =>
            later.has(key) ||
            question.items.find((one) => one.key === key)!.after.some((link) => isMoved(link.key, later));
          const before = agendaOf(question);
          const after = withDoubtLater(question, before, chance);
          expect(faultsOf(question, after)).toEqual([]);
          expect(after.leftOver.map(({ key }) => key)).toEqual(before.leftOver.map(({ key }) => key));
          for (const one of after.placed) {
            const was = before.placed.find(({ key }) => key === one.key)!;
            const [day, wasOn] = [one, was].map(({ pieces }) => pieces[0]!.day) as [number, number];
            expect(chance(one.key, day)).toBeGreaterThanOrEqual(Math.min(SURE, chance(one.key, wasOn)));
            if (after.later.has(one.key) && day > wasOn) moves++;
            if (!isMoved(one.key, after.later)) expect(endOf(one)).toBeLessThanOrEqual(endOf(was));
          }
        },
      ),
      { numRuns: 400 },
    );
    expect(moves).toBeGreaterThan(10);
  });
});

describe('the agenda of any build', () => {
  it('obeys the network: no fit-up before its children, no work before its parts', () => {
    let placed = 0;
    fc.assert(
      fc.property(anyBuild, fc.constantFrom(1, 2, 3), (build, id) => {
        const schedule = scheduleOf(build);
        const work = gatheringWork(schedule, id, 8);
        const gathering = build.gatherings.get(id)!;
        if (gathering.untilOn < build.today) {
          expect(work).toBeNull();
          return;
        }
        const comers = [1, 2, 4].map((who) => ({
          id: who,
          name: build.people.get(who)!.name,
          role: build.people.get(who)!.role,
          skills: '',
          fromOn: null,
          untilOn: null,
          hours: null,
        }));
        const { fromOn, untilOn } = gathering;
        const decisions = build.jobs.slice(0, 2).map((job) => ({
          id: job.id,
          question: 'Which?',
          jobId: job.id,
          partId: null,
          deciderId: null,
        }));
        const question = agendaQuestion(
          work,
          { fromOn, untilOn, beginsAt: 540, dayHours: 8 },
          build.today,
          comers,
          decisions,
        );
        const agenda = agendaOf(question);
        placed += agenda.placed.length;
        expect(faultsOf(question, agenda)).toEqual([]);
        // every kept job that is open is on it, left over, or made elsewhere
        const told = new Set(work!.tasks.filter(({ isKept }) => isKept).map(({ jobId }) => jobId));
        for (const job of schedule.network.openJobs) {
          if (job.gatheringId === id) {
            expect(told.has(job.id) || work!.elsewhere.some(({ jobId }) => jobId === job.id)).toBe(true);
          }
        }
        // the network's own way between two tasks is obeyed
        const at = new Map(agenda.placed.map((one) => [one.key, one]));
        const reach = reachOf(schedule.network.nodes.length, schedule.network.links);
        for (const one of work!.tasks) {
          for (const other of work!.tasks) {
            const [a, b] = [one, other].map(({ step }) => at.get(schedule.network.nodes[step]!.key));
            if (a && b && one !== other && reach(one.step, other.step)) {
              expect(a.pieces[0]!.day * 1440 + a.pieces[0]!.from).toBeLessThanOrEqual(
                b.pieces[0]!.day * 1440 + b.pieces[0]!.from,
              );
            }
          }
        }
      }),
      { numRuns: 150 },
    );
    expect(placed).toBeGreaterThan(100);
  });
});

/** Whether one step leads to another by links of any kind but those that only hold an end. */
function reachOf(count: number, links: readonly { from: number; to: number; type: string }[]) {
  const out: number[][] = Array.from({ length: count }, () => []);
  for (const { from, to, type } of links) if (type === 'FS') out[from]!.push(to);
  return (from: number, to: number) => {
    const seen = new Set([from]);
    for (const one of seen) for (const next of out[one]!) seen.add(next);
    return seen.has(to);
  };
}
