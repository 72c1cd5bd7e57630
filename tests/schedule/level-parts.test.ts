import fc from 'fast-check';
import { expect, it } from 'vitest';
import { finishBound, headsAndTails } from '../../src/schedule/level-bounds.ts';
import { listWork } from '../../src/schedule/level-lists.ts';
import { serialPass } from '../../src/schedule/level-pass.ts';
import { type LevelProject, levelProject } from '../../src/schedule/level-project.ts';
import type { LevelRequest } from '../../src/schedule/level-request.ts';
import { anyProject } from './level-any.ts';
import { finishInOrder, leastFinish } from './level-checker.ts';

/** Numbers 0 .. below - 1 at each call, the same ones for the same state. */
function numbers(state: number) {
  return (below: number) => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
}

/** Whether every activity is in the list once, after all it waits for. */
function isOrder({ count, before }: LevelProject, list: Int32Array): boolean {
  const placed = new Set<number>();
  for (const i of list) {
    for (let link = before.first[i]!; link < before.first[i + 1]!; link++) {
      if (!placed.has(before.ids[link]!)) return false;
    }
    placed.add(i);
  }
  return placed.size === count && list.length === count;
}

/** The same with time turned round. */
const turned = ({ resources, activities }: LevelRequest): LevelRequest => ({
  resources,
  activities: activities.map((activity) => ({
    ...activity,
    predecessors: activities
      .filter(({ predecessors = [] }) => predecessors.includes(activity.id))
      .map(({ id }) => id),
  })),
});

it('serialPass gives the finish of the plain way, forwards and backwards, on one packed number or many', () => {
  fc.assert(
    fc.property(anyProject({ activities: 12, resources: 6, days: 6 }), fc.nat(), (request, state) => {
      const project = levelProject(request);
      const pass = serialPass(project);
      const list = new Int32Array(project.count);
      const finishes = new Int32Array(project.count);
      const names = () => Array.from(list, (i) => request.activities[project.listed[i]!]!.id);
      const { sample } = listWork(project, headsAndTails(project).tails, numbers(state));
      for (let round = 0; round < 3; round++) {
        sample(list, round);
        expect(pass(list, project.before, finishes)).toBe(finishInOrder(request, names()));
        list.reverse();
        expect(pass(list, project.after, finishes)).toBe(finishInOrder(turned(request), names()));
      }
    }),
    { numRuns: 120 },
  );
});

it('every way to change a list keeps each activity in it once, after what it waits for', () => {
  fc.assert(
    fc.property(anyProject({ activities: 16, resources: 0, days: 5 }), fc.nat(), (request, state) => {
      const project = levelProject(request);
      const { count } = project;
      const chance = numbers(state);
      const lists = listWork(project, headsAndTails(project).tails, chance);
      const [mother, father, child] = [1, 2, 3].map(() => new Int32Array(count)) as [
        Int32Array,
        Int32Array,
        Int32Array,
      ];
      lists.byLatestFinish(mother);
      expect(isOrder(project, mother)).toBe(true);
      for (let round = 0; round < 6; round++) {
        lists.sample(father, round % 3);
        expect(isOrder(project, father)).toBe(true);
        const length = chance(count + 1);
        lists.cross(mother, father, chance(count - length + 1), length, child);
        expect(isOrder(project, child)).toBe(true);
        lists.swapNeighbours(child, 1 + chance(3));
        expect(isOrder(project, child)).toBe(true);
        lists.shuffleStretch(child, 1 + chance(20));
        expect(isOrder(project, child)).toBe(true);
        mother.set(child);
      }
    }),
    { numRuns: 150 },
  );
});

it('cross takes one stretch from the father and the rest from the mother', () => {
  const request = {
    resources: [],
    activities: ['a', 'b', 'c', 'd', 'e', 'f'].map((id) => ({ id, duration: 1 })),
  };
  const project = levelProject(request);
  const child = new Int32Array(6);
  const { cross } = listWork(project, new Int32Array(6), numbers(1));
  cross(Int32Array.of(0, 1, 2, 3, 4, 5), Int32Array.of(5, 1, 4, 0, 3, 2), 2, 2, child);
  expect(Array.from(child)).toEqual([0, 1, 5, 4, 2, 3]);
});

it('finishBound is never above the least finish, and meets it for one resource of one unit', () => {
  const bounded = (request: LevelRequest) => {
    const project = levelProject(request);
    return finishBound(project, headsAndTails(project));
  };
  fc.assert(
    fc.property(anyProject({ activities: 6, resources: 2, days: 5 }), (request) => {
      expect(bounded(request)).toBeLessThanOrEqual(leastFinish(request));
    }),
    { numRuns: 100 },
  );
  // 2 days before, 3 + 4 days of work on the one lathe, 1 day after
  const lathe = { lathe: 1 };
  const request = {
    resources: [{ id: 'lathe', capacity: 1 }],
    activities: [
      { id: 'cast', duration: 2 },
      { id: 'bore', duration: 3, demands: lathe, predecessors: ['cast'] },
      { id: 'turn', duration: 4, demands: lathe, predecessors: ['cast'] },
      { id: 'join', duration: 1, predecessors: ['bore', 'turn'] },
    ],
  };
  expect([bounded(request), leastFinish(request)]).toEqual([10, 10]);
});
