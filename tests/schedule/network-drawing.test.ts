import { describe, expect, it } from 'vitest';
import type { NetworkBox } from '../../src/schedule/near-chain.ts';
import { networkRails, networkStrips } from '../../src/schedule/network-drawing.ts';
import { inOrder, lanesOf, layersOf, networkPaths } from '../../src/schedule/network-paths.ts';
import { drawn } from '../support/drawn.ts';

const box = (label: string, other: Partial<NetworkBox> = {}): NetworkBox => ({
  label,
  href: `/schedule/nodes/${encodeURIComponent(label)}`,
  when: '25 Nov – 2 Dec',
  note: 'waits, 3 d float',
  state: 'waits',
  drives: false,
  late: false,
  onChain: false,
  after: -1,
  afterBy: 'plain',
  before: -1,
  beforeBy: 'plain',
  ...other,
});

/** A chain of so many boxes, as the first of a drawing. */
const chainOf = (length: number) =>
  Array.from({ length }, (_, k) => box(`chain ${k}`, { onChain: true, drives: true, after: k - 1 }));

/** A chain of five, with two runs beside it: one from its first to its fourth, one that begins by itself. */
function sample(): NetworkBox[] {
  return [
    ...chainOf(5),
    box('<b>Turn</b> & "bore"', { after: 0, before: 6, state: 'under way' }),
    box('Post what was turned, and then a good many more words than there is room for in a box', {
      after: 5,
      before: 3,
      beforeBy: 'between',
      late: true,
    }),
    box('صنع الحلقة', { before: 8, state: 'can begin' }),
    box('x'.repeat(200), { after: 7, before: 4, beforeBy: 'by hand', state: 'on hold' }),
  ];
}

/** A network of any shape: boxes beside the chain that lead from and to anything that keeps the order. */
function anyNetwork(chain: number, beside: number, seed: number): NetworkBox[] {
  let state = seed;
  const random = () => {
    state = (state * 16_807) % 2_147_483_647;
    return state / 2_147_483_647;
  };
  const boxes = chainOf(chain);
  // A time for each box, so that links never lead back.
  const times = boxes.map((_, k) => k);
  for (let k = 0; k < beside; k++) times.push(random() * (chain - 1));
  for (let at = chain; at < chain + beside; at++) {
    const later = times.flatMap((time, k) => (time > times[at]! ? [k] : []));
    const sooner = times.flatMap((time, k) => (time < times[at]! ? [k] : []));
    boxes.push(
      box(`beside ${at}`, {
        before: later[Math.floor(random() * later.length)] ?? -1,
        after: random() < 0.3 ? -1 : (sooner[Math.floor(random() * sooner.length)] ?? -1),
      }),
    );
  }
  return boxes;
}

describe('the network', () => {
  it('keeps its two drawings', async () => {
    const [strips, rails] = [networkStrips(sample()), networkRails(sample())];
    const wide = drawn('schedule/_network.njk', 'strips(strips)', { strips });
    await expect(wide).toMatchFileSnapshot('drawn/network-wide.txt');
    const narrow = drawn('schedule/_network.njk', 'rails(rails)', { rails });
    await expect(narrow).toMatchFileSnapshot('drawn/network-narrow.txt');
  });

  it('shows typed text as text', () => {
    const html = drawn('schedule/_network.njk', 'strips(s)', { s: networkStrips(sample()) });
    expect(html).toContain('&lt;b&gt;Turn&lt;/b&gt; &amp; &quot;bore&quot;');
    expect(html).not.toMatch(/<b>|style=/);
  });

  it('is nothing without boxes, and one box with one', () => {
    expect(networkStrips([])).toEqual([]);
    expect(networkRails([])).toEqual({ many: false, boxesFrom: 13, rows: [] });
    const [strip, ...others] = networkStrips(chainOf(1));
    expect(others).toEqual([]);
    expect(strip).toMatchObject({ left: 0, links: [] });
    expect(networkRails(chainOf(1)).rows).toMatchObject([{ x: 1.5, arrives: false, pieces: [] }]);
  });
});

describe('layersOf', () => {
  it('puts each box after those that lead to it, and what runs beside as late as it can', () => {
    // 5 and 6 run from the chain's 0 to its 3; 7 and 8 begin by themselves and join its 4
    expect(layersOf(sample())).toEqual([0, 1, 2, 3, 4, 1, 2, 2, 3]);
  });

  it('keeps the order in any network', () => {
    for (let seed = 1; seed <= 60; seed++) {
      const boxes = anyNetwork(1 + (seed % 9), seed % 14, seed);
      expect(inOrder(boxes)).toHaveLength(boxes.length);
      const layers = layersOf(boxes);
      for (const [at, { after, before }] of boxes.entries()) {
        if (after !== -1) expect(layers[after]).toBeLessThan(layers[at]!);
        if (before !== -1) expect(layers[at]).toBeLessThan(layers[before]!);
        expect(layers[at]).toBeGreaterThanOrEqual(0);
      }
    }
  });
});

describe('lanesOf', () => {
  it('gives paths lines on which no two meet', () => {
    for (let seed = 1; seed <= 60; seed++) {
      const boxes = anyNetwork(1 + (seed % 9), seed % 14, seed);
      const layers = layersOf(boxes);
      const paths = networkPaths(boxes);
      expect(paths.flatMap((path) => path.boxes).sort((a, b) => a - b)).toEqual(boxes.map((_, at) => at));
      const lanes = lanesOf(paths, (at) => layers[at]!);
      expect(lanes.filter((lane) => lane === 0)).toHaveLength(1);
      const spots = paths.flatMap((path, k) => path.boxes.map((at) => `${layers[at]} ${lanes[k]}`));
      expect(new Set(spots).size).toBe(boxes.length);
      // A line from a source or to a target runs past no box of its lane.
      for (const [k, { boxes: own, source, target }] of paths.entries()) {
        const from = source === -1 ? layers[own[0]!]! : layers[source]! + 1;
        const to = target === -1 ? layers[own.at(-1)!]! : layers[target]! - 1;
        for (const [other, path] of paths.entries()) {
          if (other === k || lanes[other] !== lanes[k]) continue;
          for (const at of path.boxes) expect(layers[at]! < from || layers[at]! > to).toBe(true);
        }
      }
    }
  });
});

describe('networkStrips', () => {
  it('cuts a long chain into strips of five layers, each with its boxes and the links that pass', () => {
    const strips = networkStrips(chainOf(12));
    expect(strips.map(({ boxes }) => boxes.length)).toEqual([5, 5, 2]);
    expect(strips.map(({ left }) => left)).toEqual([0, 1060, 2120]);
    expect(strips.map(({ width, height }) => [width, height])).toEqual([1, 2, 3].map(() => [1060, 86]));
    // eleven links, two of which are drawn on either side of a cut
    expect(strips.map(({ links }) => links.length)).toEqual([5, 6, 2]);
  });

  it('gives a lane no more room in a strip than what is on it there', () => {
    // one run beside a chain of twelve, from its first box to its last, standing in the last strip
    const boxes = [...chainOf(12), box('beside', { after: 0, before: 11 })];
    expect(networkStrips(boxes).map(({ height }) => height)).toEqual([124, 124, 186]);
  });

  it('draws every box once, within its strip', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const boxes = anyNetwork(1 + (seed % 24), seed % 18, seed);
      const strips = networkStrips(boxes);
      expect(strips.reduce((sum, strip) => sum + strip.boxes.length, 0)).toBe(boxes.length);
      for (const { left, width, height, boxes: inside } of strips) {
        for (const one of inside) {
          expect(one.x).toBeGreaterThanOrEqual(left);
          expect(one.x + one.width).toBeLessThanOrEqual(left + width);
          expect(one.y + one.height).toBeLessThanOrEqual(height);
          expect(one.lines.length).toBeLessThanOrEqual(2);
        }
      }
    }
  });
});

describe('networkRails', () => {
  it('has a row a box, lines within the margin', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const boxes = anyNetwork(1 + (seed % 24), seed % 18, seed);
      const { rows, boxesFrom, many } = networkRails(boxes);
      expect(rows).toHaveLength(boxes.length);
      expect(boxesFrom).toBe(many ? 24 : 13);
      for (const { x, pieces } of rows) {
        expect(x).toBeLessThan(boxesFrom);
        for (const piece of pieces) {
          expect(Math.max(piece.x1, piece.x2)).toBeLessThan(boxesFrom);
          expect(piece.x1 === piece.x2 || piece.y1 === piece.y2).toBe(true);
        }
      }
    }
  });

  it('draws the chain straight, and joins what runs beside it above the box it holds up', () => {
    const { rows } = networkRails(sample());
    const chain = rows.filter(({ box }) => box.onChain);
    expect(new Set(chain.map(({ x }) => x))).toEqual(new Set([1.5]));
    const joined = chain[3]!.pieces.filter(({ y1, y2 }) => y1 === 10 && y2 === 10);
    expect(joined).toMatchObject([{ x2: 1.5, by: 'between', drives: false }]);
  });
});
