/**
 * Levelling of published projects against the best finish known, at 1 s each on one thread, beside the plain rule of
 * latest finish and beside the same passes on a plain table of free units.
 *
 * The folder of `.sm` files and `best-known.csv` is taken from the environment variable LEVEL_PROJECTS; without it, the few
 * projects of tests/checks/psplib, whose README tells the formats. A set is the letter j and the number of activities.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { level } from '../../dist/src/schedule/level.js';
import { headsAndTails } from '../../dist/src/schedule/level-bounds.js';
import { listWork } from '../../dist/src/schedule/level-lists.js';
import { serialPass } from '../../dist/src/schedule/level-pass.js';
import { levelProject } from '../../dist/src/schedule/level-project.js';

const seed = 1;
const seconds = 1;
const passes = 2_000;
const rounds = 5;
const folder = process.env.LEVEL_PROJECTS ?? fileURLToPath(new URL('../checks/psplib/', import.meta.url));

/** A number in [0, below) at each call, the same ones for the same seed. */
function numbers(state) {
  return (below) => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
}

function readProject(text) {
  const lines = text.split(/\r?\n/);
  const rows = (heading, skipped) => {
    const from = lines.findIndex((line) => line.startsWith(heading)) + 1 + skipped;
    const to = lines.findIndex((line, at) => at >= from && line.startsWith('*'));
    return lines.slice(from, to).map((line) => line.trim().split(/\s+/).map(Number));
  };
  const activities = rows('REQUESTS/DURATIONS', 2).map(([job, , duration, ...units]) => ({
    id: String(job),
    duration,
    demands: Object.fromEntries(units.map((demand, k) => [`R${k + 1}`, demand])),
    predecessors: [],
  }));
  for (const [job, , , ...after] of rows('PRECEDENCE RELATIONS', 1)) {
    for (const later of after) activities[later - 1].predecessors.push(String(job));
  }
  const [capacities] = rows('RESOURCEAVAILABILITIES', 1);
  return { resources: capacities.map((capacity, k) => ({ id: `R${k + 1}`, capacity })), activities };
}

/** The projects of the folder by set, with the best finish known. */
function readSets() {
  const sets = new Map();
  const [, ...known] = readFileSync(join(folder, 'best-known.csv'), 'utf8').trim().split('\n');
  const files = new Set(readdirSync(folder));
  for (const line of known) {
    const [name, best, kind] = line.split(',');
    if (!files.has(`${name}.sm`)) throw new Error(`${name}.sm is not in ${folder}`);
    const set = /^j(?:30|60|90|120)/.exec(name)?.[0] ?? 'others';
    const request = readProject(readFileSync(join(folder, `${name}.sm`), 'utf8'));
    sets.set(set, [
      ...(sets.get(set) ?? []),
      { name, request, best: Number(best), optimal: kind === 'optimal' },
    ]);
  }
  return sets;
}

/** Throws when a schedule breaks a rule, or is shorter than is possible. */
function check({ name, request, best, optimal }, reply) {
  const starts = new Map(reply.starts.map(({ id, start }) => [id, start]));
  const free = new Map(request.resources.map(({ id, capacity }) => [id, Array(reply.finish).fill(capacity)]));
  for (const { id, duration, demands, predecessors } of request.activities) {
    const start = starts.get(id);
    if (!(start >= 0 && start + duration <= reply.finish)) throw new Error(`${name}: ${id} lies outside`);
    for (const before of predecessors) {
      const { duration: days } = request.activities.find((one) => one.id === before);
      if (starts.get(before) + days > start)
        throw new Error(`${name}: ${id} starts before ${before} is finished`);
    }
    for (const [resource, units] of Object.entries(demands)) {
      for (let day = start; day < start + duration; day++) {
        free.get(resource)[day] -= units;
        if (free.get(resource)[day] < 0) throw new Error(`${name}: too much ${resource} on day ${day}`);
      }
    }
  }
  if (optimal && reply.finish < best)
    throw new Error(`${name}: ${reply.finish} is below the optimum ${best}`);
}

/** The pass on a plain table of free units, resource by resource, asking every day of every candidate. */
function plainPass({ count, durations, scarce }) {
  const days = durations.reduce((sum, duration) => sum + duration, 1);
  return (list, { first, ids }, finishes) => {
    const free = scarce.map(({ capacity }) => new Int32Array(days).fill(capacity));
    let last = 0;
    for (let k = 0; k < count; k++) {
      const i = list[k];
      let start = 0;
      for (let link = first[i]; link < first[i + 1]; link++) start = Math.max(start, finishes[ids[link]]);
      const fits = () => {
        for (let r = 0; r < scarce.length; r++) {
          const units = scarce[r].demands[i];
          for (let day = start; day < start + durations[i]; day++) if (free[r][day] < units) return false;
        }
        return true;
      };
      while (!fits()) start++;
      for (let r = 0; r < scarce.length; r++) {
        for (let day = start; day < start + durations[i]; day++) free[r][day] -= scarce[r].demands[i];
      }
      finishes[i] = start + durations[i];
      last = Math.max(last, finishes[i]);
    }
    return last;
  };
}

/** Seconds for the same passes over the same lists in both ways, the best of some rounds. */
function timedPasses(projects) {
  const work = projects.map(({ request }) => {
    const project = levelProject(request);
    const { sample } = listWork(project, headsAndTails(project).tails, numbers(seed));
    const lists = Array.from({ length: 20 }, () => {
      const list = new Int32Array(project.count);
      sample(list, 2);
      return list;
    });
    return { project, lists, finishes: new Int32Array(project.count) };
  });
  const ways = [serialPass, plainPass].map((way) => work.map(({ project }) => way(project)));
  const best = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const sums = [0, 0];
  for (let round = 0; round < rounds; round++) {
    ways.forEach((passOf, way) => {
      sums[way] = 0;
      const begun = performance.now();
      work.forEach(({ project, lists, finishes }, at) => {
        for (let k = 0; k < passes; k++)
          sums[way] += passOf[at](lists[k % lists.length], project.before, finishes);
      });
      best[way] = Math.min(best[way], (performance.now() - begun) / 1e3);
    });
  }
  if (sums[0] !== sums[1]) throw new Error('the two ways to lay out give different finishes');
  return { perSecond: (passes * work.length) / best[0], ratio: best[1] / best[0] };
}

const mean = (values) => values.reduce((sum, value) => sum + value, 0) / values.length;
const percent = (share) => `${(100 * share).toFixed(2)} %`;

/** Lines to print. */
export async function bench() {
  const lines = [
    `level: ${folder} (another folder: LEVEL_PROJECTS), seed ${seed}, ${seconds} s each, one thread`,
  ];
  for (const [set, projects] of readSets()) {
    // a first look, so that the measured ones find the code compiled
    level({ ...projects[0].request, seconds: 0.3 }, { now: () => performance.now() });
    const found = projects.map((project) => {
      const begun = performance.now();
      const reply = level({ ...project.request, seconds, seed }, { now: () => performance.now() });
      const took = (performance.now() - begun) / 1e3;
      check(project, reply);
      const plain = level(project.request, { schedules: 1 });
      check(project, plain);
      const gap = (finish) => (finish - project.best) / project.best;
      return { gap: gap(reply.finish), plain: gap(plain.finish), tried: reply.schedulesTried, took };
    });
    const gaps = found.map(({ gap }) => gap);
    const plain = mean(found.map((one) => one.plain));
    const { perSecond, ratio } = timedPasses(projects);
    lines.push(
      `  ${set}: ${projects.length} projects, gap to the best known: mean ${percent(mean(gaps))}, worst ${percent(Math.max(...gaps))}`,
      `    the plain rule of latest finish: mean ${percent(plain)}; ${(mean(gaps) / plain).toFixed(2)} of it is left`,
      `    schedules tried: ${Math.round(mean(found.map(({ tried }) => tried))).toLocaleString('en')} on average, at most ${Math.max(...found.map(({ took }) => took)).toFixed(2)} s; ` +
        `a pass of its own ${(1e6 / perSecond).toFixed(1)} µs, the plain one takes ${ratio.toFixed(1)} times as long`,
    );
  }
  return lines;
}
