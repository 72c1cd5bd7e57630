/**
 * The network pass over 100,000 activities and 300,000 links against a plain C++ -O3 pass over the same graph
 * (plain-network.cpp), or, where there is no compiler, against a plain pass over objects in this process.
 */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { networkDrag } from '../../dist/src/schedule/network-drag.js';
import { networkGraph } from '../../dist/src/schedule/network-graph.js';
import { networkDates, networkPass } from '../../dist/src/schedule/network-pass.js';

const seed = 20_260_704;
const activities = 100_000;
const links = 300_000;
const turns = 8;
const roundsInTurn = 8;

/** A number in [0, 1) at each call, the same ones for the same seed. */
function numbers(state) {
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
}

/** Activities numbered at random, so that no order of work is given away; three links in four are FS without lag. */
function randomNetwork() {
  const next = numbers(seed);
  const numberOf = Int32Array.from({ length: activities }, (_, i) => i);
  for (let i = activities - 1; i > 0; i--) {
    const k = Math.floor(next() * (i + 1));
    [numberOf[i], numberOf[k]] = [numberOf[k], numberOf[i]];
  }
  const list = {
    sources: new Int32Array(links),
    targets: new Int32Array(links),
    types: new Uint8Array(links),
    lags: new Float64Array(links),
  };
  for (let link = 0; link < links; link++) {
    const to = 1 + Math.floor(next() * (activities - 1));
    const from = Math.max(0, to - 1 - Math.floor(next() * 2_000));
    list.sources[link] = numberOf[from];
    list.targets[link] = numberOf[to];
    list.types[link] = next() < 0.75 ? 0 : 1 + Math.floor(next() * 3);
    list.lags[link] = next() < 0.75 ? 0 : Math.floor(next() * 9) - 3;
  }
  const durations = Float64Array.from({ length: activities }, () => Math.floor(next() * 30));
  return { list, durations };
}

/** Each of these gives a function that passes once, or a few times, and returns for each round the seconds of all of
 * it (links grouped, order, pass), of the pass alone, and a sum to compare. */
function ownPass({ list, durations }) {
  const dates = networkDates(networkGraph(activities, list));
  return () => {
    const begun = performance.now();
    const graph = networkGraph(activities, list);
    const ordered = performance.now();
    networkPass(graph, durations, {}, dates);
    const ended = performance.now();
    let check = dates.finish;
    for (let i = 0; i < activities; i++) check += dates.totalFloats[i] + dates.freeFloats[i];
    return { whole: ended - begun, pass: ended - ordered, check };
  };
}

function compiledPasses({ list, durations }, folder) {
  const program = join(folder, 'plain-network');
  const source = fileURLToPath(new URL('./plain-network.cpp', import.meta.url));
  try {
    execFileSync('g++', ['-O3', '-std=c++17', '-o', program, source], { stdio: 'ignore' });
  } catch {
    return null;
  }
  const input = join(folder, 'network.bin');
  const parts = [
    Int32Array.of(activities, links),
    durations,
    list.lags,
    list.sources,
    list.targets,
    list.types,
  ];
  writeFileSync(input, Buffer.concat(parts.map(({ buffer }) => Buffer.from(buffer))));
  return (count) => {
    const lines = execFileSync(program, [input, String(count)], { encoding: 'utf8' })
      .trim()
      .split('\n');
    return lines.map((line) => {
      const [whole, pass, check] = line.split(' ').map(Number);
      return { whole: whole * 1e3, pass: pass * 1e3, check };
    });
  };
}

/** The same over linked objects, for machines without a compiler. */
function objectPass({ list, durations }) {
  const { sources, targets, types, lags } = list;
  return () => {
    const nodes = Array.from(durations, (duration) => ({ duration, links: [], waiting: 0, start: 0 }));
    const begun = performance.now();
    for (let link = 0; link < links; link++) {
      nodes[sources[link]].links.push({ to: nodes[targets[link]], type: types[link], lag: lags[link] });
      nodes[targets[link]].waiting++;
    }
    const order = nodes.filter((node) => node.waiting === 0);
    for (const node of order) for (const link of node.links) if (--link.to.waiting === 0) order.push(link.to);
    const ordered = performance.now();
    let finish = 0;
    for (const node of order) {
      node.end = node.start + node.duration;
      finish = Math.max(finish, node.end);
      for (const { to, type, lag } of node.links) {
        const earliest = (type & 1 ? node.start : node.end) + lag - (type & 2 ? to.duration : 0);
        to.start = Math.max(to.start, earliest);
      }
    }
    let check = finish;
    for (const node of order.reverse()) {
      node.lateEnd = finish;
      node.free = finish - node.end;
      for (const { to, type, lag } of node.links) {
        const back = type & 2 ? to.lateEnd : to.lateEnd - to.duration;
        node.lateEnd = Math.min(node.lateEnd, back - lag + (type & 1 ? node.duration : 0));
        node.free = Math.min(
          node.free,
          (type & 2 ? to.end : to.start) - (type & 1 ? node.start : node.end) - lag,
        );
      }
      check += node.lateEnd - node.end + node.free;
    }
    const ended = performance.now();
    return { whole: ended - begun, pass: ended - ordered, check };
  };
}

function summary(milliseconds) {
  const sorted = [...milliseconds].sort((a, b) => a - b);
  const [best, median, worst] = [0, sorted.length >> 1, sorted.length - 1].map(
    (at) => `${sorted[at].toFixed(2)} ms`,
  );
  return { best: sorted[0], text: `best ${best}, median ${median}, worst ${worst}` };
}

/** Lines to print. */
export async function bench() {
  const network = randomNetwork();
  const folder = mkdtempSync(join(tmpdir(), 'farwright-bench-'));
  const own = [];
  const other = [];
  let otherName = 'plain C++ -O3';
  try {
    const once = ownPass(network);
    let others = compiledPasses(network, folder);
    if (!others) {
      otherName = 'plain pass over objects (no g++ here)';
      const objects = objectPass(network);
      others = (count) => Array.from({ length: count }, objects);
    }
    // by turns, so that whatever else the machine does hits both
    for (let turn = 0; turn < turns; turn++) {
      for (let round = 0; round < roundsInTurn; round++) own.push(once());
      other.push(...others(roundsInTurn));
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  if (Math.abs(own[0].check - other[0].check) > 1e-6 * Math.abs(other[0].check)) {
    throw new Error(`the passes disagree: ${own[0].check} and ${other[0].check}`);
  }
  const lines = [
    `network: seed ${seed}, ${activities} activities, ${links} links, ${turns * roundsInTurn} rounds each by turns`,
  ];
  for (const [what, part] of [
    ['links, order and pass', 'whole'],
    ['pass alone', 'pass'],
  ]) {
    const ours = summary(own.map((round) => round[part]));
    const theirs = summary(other.map((round) => round[part]));
    lines.push(
      `  ${what}: ours ${ours.text}`,
      `  ${what}: ${otherName} ${theirs.text}`,
      `  ${what}: ratio of the best ${(ours.best / theirs.best).toFixed(2)} (to reach: under 3)`,
    );
  }
  const graph = networkGraph(activities, network.list);
  const dates = networkPass(graph, network.durations);
  const critical = dates.totalFloats.filter((float) => float === 0).length;
  const drags = Array.from({ length: 10 }, () => {
    const begun = performance.now();
    networkDrag(graph, {}, dates);
    return performance.now() - begun;
  });
  lines.push(`  drag, ${critical} critical activities: ${summary(drags).text}`);
  return lines;
}
