import { readFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import Fastify from 'fastify';
import { afterEach, describe, expect, it } from 'vitest';
import { calculatorNamed } from '../../src/bench/calculators.ts';
import type { Compute } from '../../src/bench/computing.ts';
import { computing } from '../../src/bench/computing.ts';
import { answerJson } from '../../src/bench/json-answer.ts';
import { jsonRoutes } from '../../src/bench/json-routes.ts';
import { correlatePart, readRisk, simulatePart } from '../../src/bench/risk-in-threads.ts';
import { NotComputable } from '../../src/platform/not-computable.ts';
import { TooMuchWork, Workers, WorkersBusy } from '../../src/platform/workers.ts';

type Parts = Record<string, (input: never) => unknown>;

const module = new URL('../support/thread-work.mjs', import.meta.url).href;
const pools: Workers[] = [];
afterEach(async () => {
  for (const pool of pools.splice(0)) await pool.close();
});

function pool(most?: ConstructorParameters<typeof Workers>[0]): Workers {
  const made = new Workers(most);
  pools.push(made);
  return made;
}

const work = (name: string, input: unknown = {}, more: object = {}) => ({
  module,
  name,
  input,
  seconds: 20,
  ...more,
});

describe('Workers', () => {
  it('runs functions in threads and hands on what they give and throw', async () => {
    const threads = pool();
    expect(await Promise.all([1, 2, 3, 4].map((value) => threads.run(work('double', { value }))))).toEqual([
      2, 4, 6, 8,
    ]);
    const refused = await threads.run(work('refuse')).catch((fault: unknown) => fault);
    expect(refused).toBeInstanceOf(NotComputable);
    expect(refused).toMatchObject({ message: 'a waits for b', detail: { cycle: ['a', 'b'] } });
    await expect(threads.run(work('fail'))).rejects.toMatchObject({ name: 'TypeError', message: 'a fault' });
    await expect(threads.run(work('nothing of the kind'))).rejects.toThrow();
  });

  it('keeps the caller free while a thread computes, ends what takes too long and goes on', async () => {
    const threads = pool({ threads: 1 });
    let turns = 0;
    const turning = setInterval(() => {
      turns += 1;
    }, 10);
    await expect(threads.run(work('spin', {}, { seconds: 1 }))).rejects.toThrow(TooMuchWork);
    clearInterval(turning);
    expect(turns).toBeGreaterThan(10);
    expect(await threads.run(work('double', { value: 21 }))).toBe(42);
  });

  it('ends what takes too much memory', async () => {
    const threads = pool({ threads: 1, megabytes: 24 });
    await expect(threads.run(work('hoard'))).rejects.toThrow(TooMuchWork);
    expect(await threads.run(work('double', { value: 1 }))).toBe(2);
  });

  it('lets a few wait in order and refuses more at once', async () => {
    const threads = pool({ threads: 1, waiting: 2 });
    const order: number[] = [];
    const running = [1, 2, 3].map((value) =>
      threads.run<number>(work('wait', { milliseconds: 50, value })).then((done) => order.push(done)),
    );
    await expect(threads.run(work('double', { value: 1 }))).rejects.toThrow(WorkersBusy);
    await Promise.all(running);
    expect(order).toEqual([1, 2, 3]);
  });

  it('lets work that has been taken up go on though the queue is full', async () => {
    const threads = pool({ threads: 1, waiting: 0 });
    const running = threads.run(work('wait', { milliseconds: 50, value: 1 }));
    await expect(threads.run(work('double', { value: 1 }))).rejects.toThrow(WorkersBusy);
    expect(await threads.run(work('double', { value: 3 }, { goesOn: true }))).toBe(6);
    expect(await running).toBe(1);
  });

  it('gives up what nobody waits for, whether it runs or stands in the queue', async () => {
    const threads = pool({ threads: 1 });
    const [first, second] = [new AbortController(), new AbortController()];
    const running = threads.run(work('spin', {}, { signal: first.signal }));
    const queued = threads.run(work('spin', {}, { signal: second.signal }));
    const last = threads.run(work('double', { value: 2 }));
    second.abort(new Error('second gone'));
    await expect(queued).rejects.toThrow('second gone');
    first.abort(new Error('first gone'));
    await expect(running).rejects.toThrow('first gone');
    expect(await last).toBe(4);
    await expect(threads.run(work('double', {}, { signal: first.signal }))).rejects.toThrow('first gone');
  });

  it('rejects what runs and waits when it closes', async () => {
    const threads = pool({ threads: 1 });
    const both = [threads.run(work('spin')), threads.run(work('spin'))].map((one) =>
      one.catch((fault: Error) => fault.message),
    );
    await threads.close();
    expect(await Promise.all(both)).toEqual(['the program is closing', 'the program is closing']);
  });
});

/** The packages that a module of ours needs, its own imports and all of theirs taken together. */
function packagesOf(path: string, seen = new Set<string>()): Set<string> {
  const packages = new Set<string>();
  if (seen.has(path) || !path.endsWith('.ts')) return packages;
  seen.add(path);
  for (const [statement, target] of readFileSync(path, 'utf8').matchAll(
    /(?:import|export)\s[^;'"]*?from\s+'([^']+)'|import\s+'([^']+)'/g,
  )) {
    if (/^(?:import|export) type\b/.test(statement) || !target) continue;
    if (!target.startsWith('.')) packages.add(target);
    else for (const one of packagesOf(resolve(dirname(path), target), seen)) packages.add(one);
  }
  return packages;
}

describe('the module that threads load', () => {
  it('needs nothing but its own functions and zod, so that a thread starts soon and stays small', () => {
    for (const name of ['json-answer.ts', 'risk-in-threads.ts']) {
      const path = fileURLToPath(new URL(`../../src/bench/${name}`, import.meta.url));
      expect([...packagesOf(path)]).toEqual(['zod']);
    }
  });
});

describe('the JSON interface', () => {
  async function answered(compute: Compute) {
    const logged: string[] = [];
    const app = Fastify({
      logger: { level: 'error', stream: { write: (text: string) => void logged.push(text) } },
    });
    jsonRoutes(app, compute);
    const answer = await app.inject({
      method: 'POST',
      url: '/api/v1/calculate/thread',
      payload: { thread: 'M6' },
    });
    await app.close();
    return { status: answer.statusCode, headers: answer.headers, body: answer.json(), logged };
  }

  it('says 503 and when to come again while every thread is taken', async () => {
    const busy = await answered(async () => {
      throw new WorkersBusy('full');
    });
    expect([busy.status, busy.headers['retry-after'], busy.body.type]).toEqual([503, '5', '/bench#busy']);
    expect(busy.headers['content-type']).toContain('application/problem+json');
    expect(busy.logged).toEqual([]);
  });

  it('says 503 without a time where asking again would not help', async () => {
    const { status, headers, body } = await answered(async () => {
      throw new TooMuchWork('this takes longer than 20 seconds');
    });
    expect([status, headers['retry-after']]).toEqual([503, undefined]);
    expect(body.detail).toBe('This takes longer than 20 seconds. Ask for less.');
  });

  it('tells nothing of a fault of ours but that it is one, and writes it down', async () => {
    const { status, body, logged } = await answered(async () => {
      throw new Error('secret place');
    });
    expect([status, body.type]).toEqual([500, '/bench#fault']);
    expect(JSON.stringify(body)).not.toContain('secret');
    expect(logged.join()).toContain('secret place');
  });

  it('hands large requests to the threads and answers small ones itself', async () => {
    const asked: unknown[] = [];
    const threads = { run: async (task: unknown) => asked.push(task) } as unknown as Workers;
    const compute = computing(threads);
    const comparison = calculatorNamed('comparison')!;
    const small = await compute(comparison, new TextEncoder().encode('{"before":[1,2],"after":[2,4]}'));
    expect([small.status, asked.length]).toEqual([200, 0]);
    await compute(comparison, new Uint8Array(20_000));
    expect(asked).toMatchObject([{ name: 'answerJson', seconds: 20, input: { name: 'comparison' } }]);
  });

  it('shares a large simulation out, with the reply that one thread gives', async () => {
    const asked: string[] = [];
    const threads = {
      run: ({ name, input }: { name: string; input: never }) => {
        asked.push(name);
        return Promise.resolve(
          structuredClone(({ readRisk, simulatePart, correlatePart } as Parts)[name]!(input)),
        );
      },
    } as unknown as Workers;
    const compute = computing(threads);
    const risk = calculatorNamed('risk')!;
    const body = (runs: number) =>
      new TextEncoder().encode(
        JSON.stringify({
          runs,
          targets: [60],
          activities: Array.from({ length: 100 }, (_, at) => ({
            id: `a${at}`,
            optimistic: 1,
            likely: 2 + (at % 3),
            pessimistic: 9,
            predecessors: at < 10 ? [] : [{ id: `a${at - 10}` }, { id: `a${at - 7}` }],
          })),
        }),
      );
    const large = await compute(risk, body(10_001));
    expect(asked).toEqual(['readRisk', 'simulatePart', 'simulatePart', 'correlatePart', 'correlatePart']);
    const whole = answerJson({ name: 'risk', body: body(10_001) });
    expect(large.status).toBe(200);
    expect(new TextDecoder().decode(large.body)).toBe(new TextDecoder().decode(whole.body));
    const small = await compute(risk, body(100));
    expect([asked.length, small.status]).toEqual([6, 200]);
    const wrong = await compute(risk, new TextEncoder().encode('{"activities": 7}'));
    expect([asked.length, wrong.status]).toEqual([7, 400]);
  });

  it('ends the other parts of a simulation when one fails', async () => {
    const signals: AbortSignal[] = [];
    const threads = {
      run: ({ signal }: { signal: AbortSignal }) => {
        signals.push(signal);
        return Promise.reject(new TooMuchWork('this takes longer than 180 seconds'));
      },
    } as unknown as Workers;
    await expect(computing(threads)(calculatorNamed('risk')!, new Uint8Array(9))).rejects.toThrow(
      TooMuchWork,
    );
    expect(signals.map(({ aborted }) => aborted)).toEqual([true]);
  });
});
