/**
 * 10,000 runs of a network of 1,000 activities on two threads, the same on one thread, and a plain C++ -O3 simulation
 * on one thread of the same network (plain-risk.cpp; left out where there is no compiler). Every activity has another
 * shape of its law, the slowest case.
 */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Worker } from 'node:worker_threads';
import { risk, riskModel, riskReply } from '../../dist/src/schedule/risk.js';
import { rankCorrelations } from '../../dist/src/schedule/risk-correlation.js';
import { durationLaws } from '../../dist/src/schedule/risk-law.js';
import { blockCount, mergeBlocks, simulateBlocks } from '../../dist/src/schedule/risk-simulation.js';

const seed = 20_260_705;
const activities = 1_000;
const runs = 10_000;
const threads = 2;
const rounds = 7;

/** A number in [0, 1) at each call, the same ones for the same seed. */
function numbers(state) {
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
}

function randomRequest() {
  const next = numbers(seed);
  const types = ['FS', 'FS', 'FS', 'FS', 'SS', 'FF'];
  return {
    runs,
    targets: [600, 700],
    activities: Array.from({ length: activities }, (_, i) => {
      const optimistic = 1 + next() * 9;
      const likely = optimistic + next() * 8;
      return {
        id: `a${i}`,
        optimistic,
        likely,
        pessimistic: likely + next() * 20,
        predecessors: Array.from({ length: Math.min(i, 3) }, () => ({
          id: `a${Math.max(0, i - 1 - Math.floor(next() * 30))}`,
          type: types[Math.floor(next() * types.length)],
          lag: next() < 0.8 ? 0 : Math.floor(next() * 5) - 1,
        })),
      };
    }),
  };
}

function thread() {
  const worker = new Worker(new URL('./risk-worker.mjs', import.meta.url));
  let answer;
  worker.on('message', (message) => answer.resolve(message));
  worker.on('error', (error) => answer.reject(error));
  const ask = (task) =>
    new Promise((resolve, reject) => {
      answer = { resolve, reject };
      worker.postMessage(task);
    });
  return { ask, end: () => worker.terminate() };
}

/** Cuts 0 .. count - 1 into one run of numbers for each thread and asks them all. */
const shared = (workers, count, task) =>
  Promise.all(
    workers.map(({ ask }, at) =>
      ask(task(Math.floor((count * at) / workers.length), Math.floor((count * (at + 1)) / workers.length))),
    ),
  );

async function riskOnThreads(request, workers) {
  const model = riskModel(request);
  const parts = await shared(workers, blockCount(model), (first, end) => ({
    act: 'simulate',
    model,
    first,
    end,
  }));
  const simulated = mergeBlocks(model, parts);
  const { finishes } = simulated;
  const correlations = await shared(workers, activities, (first, end) => ({
    act: 'correlate',
    model,
    finishes,
    first,
    end,
  }));
  return riskReply(
    request,
    model,
    simulated,
    Float64Array.from(correlations.flatMap((part) => Array.from(part))),
  );
}

async function timed(act) {
  const seconds = [];
  const processor = [];
  for (let round = 0; round < rounds; round++) {
    const before = process.cpuUsage();
    const begun = performance.now();
    await act();
    seconds.push((performance.now() - begun) / 1e3);
    const { user, system } = process.cpuUsage(before);
    processor.push((user + system) / 1e6);
  }
  seconds.sort((one, other) => one - other);
  const [best, median, worst] = [0, rounds >> 1, rounds - 1].map((at) => `${seconds[at].toFixed(3)} s`);
  const least = Math.min(...processor).toFixed(3);
  return {
    best: seconds[0],
    text: `best ${best}, median ${median}, worst ${worst} (processor time at least ${least} s)`,
  };
}

const knots = 257;

/** The plain simulation in both its ways, each with its seconds and mean finish; null without a compiler. */
function compiledRuns(model, folder) {
  const program = join(folder, 'plain-risk');
  const source = fileURLToPath(new URL('./plain-risk.cpp', import.meta.url));
  try {
    execFileSync('g++', ['-O3', '-std=c++17', '-o', program, source], { stdio: 'ignore' });
  } catch {
    return null;
  }
  const { graph, optimistic, likely, pessimistic, distribution } = model;
  const lawOf = durationLaws();
  const quantiles = new Float64Array(activities * knots);
  const uniforms = Uint32Array.from({ length: knots }, (_, k) =>
    Math.min(2 ** 32 - 1, (k / (knots - 1)) * 2 ** 32),
  );
  const days = new Float64Array(knots);
  const shapes = new Float64Array(activities * 3);
  graph.order.forEach((i, place) => {
    const range = pessimistic[i] - optimistic[i];
    shapes.set([optimistic[i], range, (likely[i] - optimistic[i]) / range], place * 3);
    lawOf(distribution, optimistic[i], likely[i], pessimistic[i])(uniforms, days);
    quantiles.set(days, place * knots);
  });
  const sizes = Int32Array.of(activities, graph.linkTargets.length, knots, runs);
  const parts = [sizes, shapes, quantiles, graph.lags, graph.firstLink, graph.linkTargets, graph.linkTypes];
  const input = join(folder, 'risk.bin');
  writeFileSync(
    input,
    Buffer.concat(
      parts.map(({ buffer, byteOffset, byteLength }) => Buffer.from(buffer, byteOffset, byteLength)),
    ),
  );
  return Object.fromEntries(
    ['gamma', 'table'].map((way) => {
      const lines = execFileSync(program, [input, String(rounds), way], { encoding: 'utf8' }).trim();
      const all = lines.split('\n').map((line) => line.split(' ').map(Number));
      return [way, { best: Math.min(...all.map(([seconds]) => seconds)), mean: all[0][1] }];
    }),
  );
}

/** Lines to print. */
export async function bench() {
  const request = randomRequest();
  const workers = Array.from({ length: threads }, thread);
  const folder = mkdtempSync(join(tmpdir(), 'farwright-risk-'));
  try {
    const alone = risk(request);
    const together = await riskOnThreads(request, workers);
    if (JSON.stringify(alone) !== JSON.stringify(together))
      throw new Error('one thread and two give different replies');
    const one = await timed(() => risk(request));
    const many = await timed(() => riskOnThreads(request, workers));
    const model = riskModel(request);
    const simulation = await timed(() => simulateBlocks(model, 0, blockCount(model)));
    const { finishes } = simulateBlocks(model, 0, blockCount(model));
    const correlation = await timed(() => rankCorrelations(model, finishes, 0, activities));
    const plain = compiledRuns(model, folder);
    for (const { mean } of Object.values(plain ?? {})) {
      if (Math.abs(mean / alone.mean - 1) > 0.01)
        throw new Error(`the plain simulation has the mean finish ${mean}, ours ${alone.mean}`);
    }
    const against = ({ best }) =>
      `best ${best.toFixed(3)} s; our simulation on one thread takes ${(simulation.best / best).toFixed(2)} of it`;
    return [
      `risk: seed ${seed}, ${activities} activities, ${runs} runs, betaPert, ${rounds} rounds`,
      `  ${threads} threads: ${many.text} (to reach: under 0.7 s)`,
      `  one thread: ${one.text}; ${threads} threads take ${(many.best / one.best).toFixed(2)} of it`,
      `  of which, on one thread: simulation ${simulation.text}; rank correlations ${correlation.text}`,
      ...(plain
        ? [
            `  plain C++ -O3, one thread, days by the standard library’s gamma numbers: ${against(plain.gamma)} (to reach: under 2)`,
            `  the same with days by a straight line between 257 quantiles, off in the tails: ${against(plain.table)}`,
          ]
        : ['  plain C++: no compiler here']),
    ];
  } finally {
    rmSync(folder, { recursive: true, force: true });
    for (const worker of workers) worker.end();
  }
}
