import { expect, it } from 'vitest';
import { calculators } from '../../src/bench/calculators.ts';
import { startAsking } from '../support/calculators.ts';

const good: Record<string, object> = Object.fromEntries(
  calculators.map(({ name, example }) => [name, example as object]),
);

it('a request that does not fit gets 400 and a problem document that names each place', async () => {
  const { ask } = await startAsking();
  const cases: [string, unknown, string[]][] = [
    ['limits', { zone: 'H7' }, ['nominal']],
    ['limits', { nominal: '25', zone: 'H7' }, ['nominal']],
    ['limits', '{"nominal": 1e999, "zone": "H7"}', ['nominal']],
    ['limits', '{"nominal": null, "zone": "H7"}', ['nominal']],
    ['limits', { nominal: 25, zone: 'H7', grade: 7 }, ['grade']],
    ['limits', { nominal: 25, zone: 'H7', 'two words': 1, other: 2 }, ['["two words"]', 'other']],
    ['limits', { nominal: 25 }, ['zone']],
    ['fit', { nominal: 25, hole: { upperDeviation: 1 }, shaft: 7 }, ['hole.lowerDeviation', 'shaft']],
    [
      'fit',
      { ...good.fit, temperature: { celsius: 20 } },
      ['temperature.holeExpansion', 'temperature.shaftExpansion'],
    ],
    ['chain', { contributors: [] }, ['contributors']],
    [
      'chain',
      { contributors: [{ nominal: 1, plus: -1, minus: 0, direction: 2 }] },
      ['contributors[0].plus', 'contributors[0].direction'],
    ],
    ['thread', { thread: '' }, ['thread']],
    ['thread', { thread: 'M6', series: 'wide' }, ['series']],
    ['comparison', { before: [1, 'x'], after: [] }, ['before[1]', 'after']],
    ['lead-time', { history: [{ days: -1, finished: 'yes' }] }, ['history[0].days', 'history[0].finished']],
    ['lead-time', { history: [], due: '3' }, ['due']],
    ['network', { activities: [{ id: 'a', duration: -1 }] }, ['activities[0].duration']],
    [
      'network',
      { activities: [{ id: 'a', duration: 1, predecessors: [{ id: 'b', type: 'XS' }] }] },
      ['activities[0].predecessors[0].type'],
    ],
    ['network', { activities: {} }, ['activities']],
    ['risk', { ...good.risk, runs: 0.5 }, ['runs']],
    ['risk', { ...good.risk, runs: 50_001 }, ['runs']],
  ];
  for (const [name, sent, paths] of cases) {
    const { status, type, body } = await ask(name, sent);
    const about = `${name} ${JSON.stringify(sent)}`;
    expect([status, type], about).toEqual([400, 'application/problem+json']);
    expect(body.errors.map(({ path }: { path: string }) => path).sort(), about).toEqual([...paths].sort());
    expect(body, about).toMatchObject({ type: '/bench#does-not-fit', status: 400 });
    for (const { message } of body.errors) expect(message.length, about).toBeGreaterThan(5);
    expect(body.detail.length, about).toBeGreaterThan(5);
  }
});

it('every calculator refuses what is no object of its own', async () => {
  const { ask } = await startAsking();
  for (const { name, example } of calculators) {
    for (const sent of ['[]', 'null', '7', '"H7"', 'true', '{}']) {
      const { status, body } = await ask(name, sent);
      expect([status, body.status], `${name} ${sent}`).toEqual([400, 400]);
      expect(body.errors.length).toBeGreaterThan(0);
    }
    const { body, status } = await ask(name, { ...(example as object), colour: 'red' });
    expect([status, body.errors], name).toEqual([
      400,
      [{ path: 'colour', message: expect.stringContaining('colour') }],
    ]);
  }
});

it('what is not JSON, not UTF-8 or empty is told as that', async () => {
  const { ask, send } = await startAsking();
  for (const [sent, said] of [
    ['{"nominal": 25,', 'not JSON'],
    ['nominal=25', 'not JSON'],
    ['{"nominal": NaN, "zone": "H7"}', 'not JSON'],
    ['', 'empty'],
  ] as const) {
    const { status, body } = await ask('limits', sent);
    expect([status, body.errors[0].path], sent).toEqual([400, '']);
    expect(body.errors[0].message).toContain(said);
  }
  const latin = await send('post', '/api/v1/calculate/thread')
    .set('content-type', 'application/json')
    .serialize((body: unknown) => body as string)
    .send(Buffer.from([0x7b, 0x22, 0xe4, 0x22, 0x7d]) as unknown as object);
  expect([latin.status, latin.body.errors]).toEqual([
    400,
    [{ path: '', message: 'the body is not UTF-8 text' }],
  ]);
});

it('names that reach into every object do nothing', async () => {
  const { ask } = await startAsking();
  for (const sent of [
    '{"thread": "M6", "__proto__": {"series": "fine"}}',
    '{"thread": "M6", "constructor": {"prototype": {"series": "fine"}}}',
    '{"thread": "M6", "toString": 1}',
    '{"__proto__": {"thread": "M6"}}',
  ]) {
    const { status } = await ask('thread', sent);
    expect(status, sent).toBe(400);
  }
  const activities = ['__proto__', 'constructor', 'toString'].map((id, at, all) => ({
    id,
    duration: 1,
    predecessors: at ? [{ id: all[at - 1] }] : [],
  }));
  const { status, body } = await ask('network', { activities });
  expect([status, body.finish, body.criticalIds]).toEqual([200, 3, ['__proto__', 'constructor', 'toString']]);
  expect(({} as Record<string, unknown>).series).toBeUndefined();
});

it('a request that fits but makes no sense gets 422, a sentence and what it is about', async () => {
  const { ask } = await startAsking();
  const circle = await ask('network', {
    activities: [
      { id: 'cut', duration: 1, predecessors: [{ id: 'weld' }] },
      { id: 'bend', duration: 1, predecessors: [{ id: 'cut' }] },
      { id: 'weld', duration: 1, predecessors: [{ id: 'bend' }] },
    ],
  });
  expect([circle.status, circle.type]).toEqual([422, 'application/problem+json']);
  expect(circle.body).toMatchObject({ type: '/bench#makes-no-sense', status: 422 });
  for (const id of ['cut', 'bend', 'weld']) {
    expect(circle.body.detail).toContain(id);
    expect(circle.body.cycle).toContain(id);
  }
  const [before, , after] = ['cut', 'bend', 'weld'].map((id) => circle.body.cycle.indexOf(id));
  expect((after - before + 3) % 3).toBe(2);

  for (const [name, sent, said] of [
    ['network', { activities: [{ id: 'a', duration: 1, predecessors: [{ id: 'b' }] }] }, 'b'],
    [
      'network',
      {
        activities: [
          { id: 'a', duration: 1 },
          { id: 'a', duration: 2 },
        ],
      },
      'a',
    ],
    ['risk', { activities: [{ id: 'a', optimistic: 3, likely: 2, pessimistic: 4 }] }, 'a'],
    ['fit', { nominal: 25, hole: 'g6', shaft: 'g6' }, 'hole'],
    ['fit', { ...good.fit, shaft: { upperDeviation: 0, lowerDeviation: 1 } }, 'lower deviation 1'],
    ['chain', { ...good.chain, wanted: { min: 2, max: 1 } }, 'min 2'],
    ['thread', { thread: 'M6.5' }, 'M6.5'],
    ['comparison', { before: [1], after: [1, 2] }, 'at least 2'],
    ['limits', { nominal: -1, zone: 'H7' }, '-1'],
    ['limits', { nominal: 0, zone: 'H7' }, 'nominal 0 mm'],
    ['limits', { nominal: 0, generalClass: 'm' }, 'length 0 mm'],
    [
      'limits',
      { nominal: 5000, zone: 'H7' },
      'nominal 5000 mm: ISO 286 has tolerances over 0 and up to 3150 mm',
    ],
    ['limits', { nominal: 5000, generalClass: 'm' }, 'length 5000 mm: ISO 2768-1 class m has no value'],
    ['limits', { nominal: 200, unit: 'in', zone: 'H7' }, 'nominal 5080 mm'],
    ['limits', { nominal: 25, zone: 'Q7' }, 'no letter Q'],
    ['limits', { nominal: 25, zone: 'H19' }, 'not 19'],
    ['limits', { nominal: 25, zone: 'K9' }, 'K9 at 25 mm: ISO 286 has no value'],
    ['fit', { ...good.fit, nominal: 0 }, 'nominal 0 mm'],
    ['fit', { ...good.fit, nominal: 5000 }, 'nominal 5000 mm is above 4000 mm'],
    ['fit', { nominal: 25, hole: 'H7', shaft: 'H7' }, 'shaft: H7 is a zone of a hole'],
  ] as const) {
    const { status, body } = await ask(name, sent);
    expect(status, `${name} ${JSON.stringify(sent)}`).toBe(422);
    expect(body.detail).toContain(said);
  }
});

it('long lists of errors are cut and counted, long words are cut', async () => {
  const { ask } = await startAsking();
  const many = await ask('comparison', { before: Array(500).fill('x'), after: [1, 2] });
  expect(many.body.errors).toHaveLength(100);
  expect(many.body.detail).toContain('500');
  const wide = await ask('thread', { thread: 'M6', ['k'.repeat(100_000)]: 1 });
  expect(wide.status).toBe(400);
  expect(JSON.stringify(wide.body).length).toBeLessThan(2000);
  const deep = await ask('thread', `{"thread": ${'['.repeat(200_000)}${']'.repeat(200_000)}}`);
  expect([deep.status, deep.body.errors[0].path]).toEqual([400, 'thread']);
});

it('other ways to ask are told what is wrong, as problem documents', async () => {
  const { send } = await startAsking();
  const path = '/api/v1/calculate/thread';
  for (const type of [
    'text/plain',
    'application/x-www-form-urlencoded',
    'multipart/form-data; boundary=x',
    'application/xml',
  ]) {
    const {
      status,
      type: answered,
      body,
    } = await send('post', path).set('content-type', type).send('thread=M6');
    expect([status, answered, body.type], type).toEqual([415, 'application/problem+json', '/bench#not-json']);
  }
  for (const method of ['get', 'put', 'patch', 'delete'] as const) {
    const { status, headers, body } = await send(method, path);
    expect([status, headers.allow, body.status], method).toEqual([405, 'POST', 405]);
  }
  for (const [method, unknown] of [
    ['post', '/api/v1/calculate/nothing'],
    ['get', '/api/v1/calculate/nothing'],
    ['post', '/api/v1/calculate/thread/more'],
    ['put', '/api/v1/calculate/nothing'],
  ] as const) {
    const { status, type, body } = await send(method, unknown);
    expect([status, type, body.type], `${method} ${unknown}`).toEqual([
      404,
      'application/problem+json',
      '/bench#no-such-calculator',
    ]);
  }
  for (const method of ['post', 'put', 'delete'] as const) {
    const { status, headers, type } = await send(method, '/api/v1/calculate');
    expect([status, headers.allow, type], method).toEqual([405, 'GET, HEAD', 'application/problem+json']);
  }
  for (const method of ['get', 'post', 'delete'] as const) {
    const { status, type, body } = await send(method, '/api/v2/thread');
    expect([status, type, body.type], method).toEqual([
      404,
      'application/problem+json',
      '/bench#no-such-place',
    ]);
  }
  const large = await send('post', path)
    .set('content-type', 'application/json')
    .send(`{"thread": "${'M'.repeat(2 * 1024 * 1024)}"}`);
  expect([large.status, large.type, large.body.type]).toEqual([
    413,
    'application/problem+json',
    '/bench#too-large',
  ]);
  expect(large.body.detail).toContain('2 MB');
});

it('a network may be larger than other requests, within its numbers of activities and links', async () => {
  const { ask } = await startAsking();
  const activities = Array.from({ length: 30_000 }, (_, at) => ({
    id: `activity number ${at} of a long list`,
    duration: 1,
    ...(at ? { predecessors: [{ id: `activity number ${at - 1} of a long list` }] } : {}),
  }));
  const body = JSON.stringify({ activities });
  expect(body.length).toBeGreaterThan(2 * 1024 * 1024);
  const answer = await ask('network', body);
  expect([answer.status, answer.body.finish]).toEqual([200, 30_000]);
  const more = await ask('network', {
    activities: Array.from({ length: 100_001 }, (_, at) => ({ id: `a${at}`, duration: 1 })),
  });
  expect([more.status, more.body.errors[0].path]).toEqual([400, 'activities']);
});

it('asking too often gets 429 with a time to come again; each calculator counts for itself', async () => {
  const { ask } = await startAsking({ rateLimit: true });
  let status = 0;
  let asked = 0;
  while (status !== 429 && asked < 130) {
    const answer = await ask('thread', { thread: 'M6' });
    ({ status } = answer);
    asked += 1;
    if (status === 429) {
      expect([answer.type, answer.body.type]).toEqual(['application/problem+json', '/bench#too-many']);
      expect(Number(answer.headers['retry-after'])).toBeGreaterThan(0);
    } else expect(status).toBe(200);
  }
  expect(asked).toBe(121);
  expect((await ask('limits', { nominal: 25, zone: 'H7' })).status).toBe(200);
});

it('before set-up, without sign-in, from anywhere, and leaving no cookie', async () => {
  const { ask, send } = await startAsking();
  const list = await send('get', '/api/v1/calculate');
  expect([list.status, list.type]).toEqual([200, 'application/json']);
  // the one for models takes a file, and is not asked by JSON
  expect(list.body.calculators.map(({ name }: { name: string }) => name)).toEqual([
    ...calculators.map(({ name }) => name),
    'model',
  ]);
  for (const { line, request, page } of list.body.calculators) {
    expect(line.length).toBeGreaterThan(20);
    expect((await send('get', page)).status).toBe(200);
    expect((await send('get', request.href)).status).toBe(405);
  }
  expect((await send('get', '/api/v1/calculate/')).status).toBe(200);
  for (const { name, example } of calculators) {
    const answer = await ask(name, example);
    expect([answer.status, answer.type], name).toEqual([200, 'application/json']);
    expect(answer.headers['set-cookie'], name).toBeUndefined();
    expect(answer.body.source, name).toMatch(/\w/);
  }
  const foreign = await send('post', '/api/v1/calculate/thread')
    .set('origin', 'https://elsewhere.example')
    .send({ thread: 'M6' });
  expect(foreign.status).toBe(200);
});
