import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, describe, expect, it } from 'vitest';
import { FileReader, shapeFrom, Unreadable } from '../../src/models/index.ts';
import { WorkersBusy } from '../../src/platform/workers.ts';

const checks = new URL('../checks/', import.meta.url);
const check = (path: string) => new URL(path, checks).pathname;
const folder = mkdtempSync(join(tmpdir(), 'farwright-reader-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const readers: FileReader[] = [];
afterEach(async () => {
  for (const one of readers.splice(0)) await one.close();
});

function reader(...how: ConstructorParameters<typeof FileReader>): FileReader {
  const made = new FileReader(...how);
  readers.push(made);
  return made;
}

const badReader = new URL('../support/bad-reader.mjs', import.meta.url).pathname;

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch {
    return false;
  }
}

/** A file whose content tells the bad reader what to do. */
function order(words: string): string {
  const path = join(folder, words.replace(/\W/g, '-'));
  writeFileSync(path, words);
  return path;
}

describe('FileReader', () => {
  it('reads in a process of its own, which small files share', async () => {
    const one = reader();
    expect(one.processId).toBeNull();
    const cube = await one.facts(check('step/cube-10mm.stp'), 'step');
    expect(cube).toMatchObject({ format: 'STEP', unit: 'mm', solids: 1 });
    const { processId } = one;
    expect(processId).not.toBe(process.pid);
    const tool = await one.facts(check('real/lens_tool.stl'), 'stl');
    expect(tool).toMatchObject({ format: 'STL', closed: true });
    expect(one.processId).toBe(processId);
  });

  it('says what is wrong with a file, and reads the next one', async () => {
    const one = reader();
    const torn = join(folder, 'torn.stp');
    writeFileSync(torn, readFileSync(check('step/cube-10mm.stp')).subarray(0, 4000));
    await expect(one.facts(torn, 'step')).rejects.toThrow(
      new Unreadable('The STEP file is cut off before its end.'),
    );
    expect((await one.facts(check('step/cube-10mm.stp'), 'step')).solids).toBe(1);
  });

  it('ends the process after a large file', async () => {
    const one = reader();
    const large = join(folder, 'large.stl');
    const facets = 60_000;
    const bytes = Buffer.alloc(84 + 50 * facets);
    bytes.writeUInt32LE(facets, 80);
    for (let at = 0; at < facets; at++) bytes.writeFloatLE(at, 84 + 50 * at + 12);
    writeFileSync(large, bytes);
    const reading = one.facts(large, 'stl');
    await expect.poll(() => one.processId).not.toBeNull();
    const pid = one.processId!;
    expect((await reading).triangles).toBe(facets);
    expect(one.processId).toBeNull();
    expect(isAlive(pid)).toBe(false);
  });

  it.each([
    ['abort', 'The file breaks what reads it: it is damaged, or of a kind not met before.'],
    ['leave', 'The file breaks what reads it: it is damaged, or of a kind not met before.'],
    ['spin', 'It takes longer to read than 6 seconds: this file is too much here.'],
    ['heap', 'It takes more memory to read than a file may: this file is too much here.'],
  ])('outlives a process that does this: %s', async (what, sentence) => {
    const one = reader({ seconds: what === 'spin' ? 6 : 30, megabytes: 128 }, badReader);
    await expect(one.facts(order(what), 'stl')).rejects.toThrow(new Unreadable(sentence));
    expect(await one.facts(order('well'), 'stl')).toEqual({ format: 'STL' });
  });

  it('ends a process that takes too much memory outside of its heap', async () => {
    const one = reader({ megabytes: 60 });
    await expect(one.facts(check('step/as1-oc-214.stp'), 'step')).rejects.toThrow(
      new Unreadable('It takes more memory to read than a file may: this file is too much here.'),
    );
  });

  it('ends a process that takes too much processor time', async () => {
    const one = reader({ processorSeconds: 0.4 });
    await expect(one.facts(check('step/as1-oc-214.stp'), 'step')).rejects.toThrow(
      new Unreadable('It takes longer to read than 0.4 seconds: this file is too much here.'),
    );
  });

  it('outlives a process that is killed at its work', async () => {
    const one = reader();
    const reading = one.facts(check('step/as1-oc-214.stp'), 'step');
    await expect.poll(() => one.processId).not.toBeNull();
    process.kill(one.processId!, 'SIGKILL');
    await expect(reading).rejects.toThrow('The file breaks what reads it');
    expect((await one.facts(check('step/cube-10mm.stp'), 'step')).volume).toBeCloseTo(1000, 6);
  });

  it('keeps the caller free while it reads', async () => {
    const one = reader();
    let turns = 0;
    let longest = 0;
    let last = performance.now();
    const turning = setInterval(() => {
      turns += 1;
      longest = Math.max(longest, performance.now() - last);
      last = performance.now();
    }, 5);
    await one.facts(check('step/as1-oc-214.stp'), 'step');
    clearInterval(turning);
    expect(turns).toBeGreaterThan(20);
    expect(longest).toBeLessThan(500);
  });

  it('lets a few wait and refuses more, but not what has to go on', async () => {
    const one = reader({ waiting: 1 }, badReader);
    const first = one.facts(order('well 1'), 'stl');
    await expect.poll(() => one.processId).not.toBeNull();
    const second = one.facts(order('well 2'), 'stl');
    const third = one.facts(order('well 3'), 'stl');
    await expect(third).rejects.toThrow(WorkersBusy);
    const fourth = one.facts(order('well 4'), 'stl', { goesOn: true });
    expect(await Promise.all([first, second, fourth])).toEqual(Array(3).fill({ format: 'STL' }));
  });

  it('gives up what it reads when it is closed, and leaves no process', async () => {
    const one = reader();
    const reading = one.facts(check('step/as1-oc-214.stp'), 'step');
    const ended = expect(reading).rejects.toThrow('the program is closing');
    await expect.poll(() => one.processId).not.toBeNull();
    const pid = one.processId!;
    await one.close();
    await ended;
    expect(isAlive(pid)).toBe(false);
    await expect(one.facts(check('step/cube-10mm.stp'), 'step')).rejects.toThrow('closing');
  });

  it('writes triangles and contours to a file', async () => {
    const one = reader();
    const to = join(folder, 'shape');
    await one.shape(check('step/cube-10mm.stp'), 'step', to);
    const cube = shapeFrom(readFileSync(to));
    if (cube.kind !== 'triangles') throw new Error(cube.kind);
    expect(cube).toMatchObject({ unit: 'mm', groups: [{ name: 'Cube 10x10', first: 0, count: 12 }] });
    expect(cube.positions).toHaveLength(9 * 12);
    expect(cube.normals).toHaveLength(9 * 12);
    const [low, high] = [Math.min(...cube.positions), Math.max(...cube.positions)];
    expect(high - low).toBeGreaterThanOrEqual(10);
    await one.shape(check('real/lens_tool.stl'), 'stl', to);
    const tool = shapeFrom(readFileSync(to));
    expect(tool.kind === 'triangles' && tool.positions.length).toBe(9 * 448);
    expect(readdirSync(folder)).toContain('shape');
  });
});
