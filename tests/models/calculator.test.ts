import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { startApp, type TestApp } from '../support/app.ts';
import { aCube } from '../support/models.ts';

const path = '/api/v1/calculate/model';
const check = (name: string) => readFileSync(new URL(`../checks/${name}`, import.meta.url));

function ask(app: TestApp, filename: string, content: Buffer, fields: Record<string, string> = {}) {
  let sending = app.visitor().agent.post(path);
  for (const [name, value] of Object.entries(fields)) sending = sending.field(name, value);
  return sending.attach('file', content, { filename });
}

/** Every file below the data folder's files, where nothing may be left. */
function kept({ context }: TestApp): string[] {
  return readdirSync(join(context.settings.dataDir, 'files'), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map(({ name }) => name);
}

describe('POST /api/v1/calculate/model', () => {
  it('tells a STEP assembly, with its mass, and keeps nothing', async () => {
    const app = await startApp({ empty: true });
    const before = kept(app);
    const { status, body, headers } = await ask(app, 'as1-oc-214.stp', check('step/as1-oc-214.stp'), {
      density: '7850',
    });
    expect(status).toBe(200);
    expect(headers['content-type']).toContain('application/json');
    expect(Object.keys(body)).toEqual([
      'format',
      'unit',
      'size',
      'volume',
      'area',
      'mass',
      'solids',
      'parts',
      'layers',
      'cutLength',
      'closed',
      'warnings',
      'source',
    ]);
    expect(body).toMatchObject({ format: 'STEP', unit: 'mm', solids: 18, layers: null, cutLength: null });
    expect(body.size).toEqual({ x: 200, y: 150, z: 84 });
    expect(body.mass).toBeCloseTo((body.volume / 1e9) * 7850, 9);
    const parts = [...body.parts].sort((a, b) => a.name.localeCompare(b.name));
    expect(parts).toEqual([
      { name: 'bolt', quantity: 6 },
      { name: 'l-bracket', quantity: 2 },
      { name: 'nut', quantity: 8 },
      { name: 'plate', quantity: 1 },
      { name: 'rod', quantity: 1 },
    ]);
    expect(kept(app)).toEqual(before);
  });

  it('tells an STL without a unit and a DXF without a volume', async () => {
    const app = await startApp();
    const stl = await ask(app, 'lens_tool.stl', check('real/lens_tool.stl'));
    expect(stl.body).toMatchObject({ format: 'STL', unit: null, mass: null, solids: null, closed: true });
    const dxf = await ask(app, 'plate.dxf', check('dxf/square-with-hole.dxf'), { density: '2700' });
    expect(dxf.status).toBe(200);
    expect(dxf.body).toMatchObject({
      format: 'DXF',
      unit: 'mm',
      size: { x: 100, y: 100, z: 0 },
      volume: null,
      mass: null,
      layers: ['CUT'],
      closed: true,
    });
    expect(dxf.body.cutLength).toBeCloseTo(400 + 30 * Math.PI, 9);
  });

  it('refuses with 422 and a sentence what is not what its name says, and keeps nothing', async () => {
    const app = await startApp();
    const before = kept(app);
    const jpeg = await sharp({ create: { width: 8, height: 8, channels: 3, background: '#888' } })
      .jpeg()
      .toBuffer();
    const zip = Buffer.concat([Buffer.from('PK\x03\x04'), Buffer.alloc(400)]);
    const claim = Buffer.alloc(84 + 50);
    claim.writeUInt32LE(40_000_000, 80);
    const step = check('step/cube-10mm.stp');
    for (const [name, content, words] of [
      ['part.stp', check('real/lens_tool.stl'), 'ends in .stp but is an STL by its content'],
      ['part.step', jpeg, 'ends in .step but is a JPEG picture'],
      ['part.step', zip, 'ends in .step but is a ZIP archive'],
      ['part.3mf', zip, 'The file is a ZIP archive; a model is a STEP file, an STL or a DXF.'],
      ['part.pdf', Buffer.from('<!doctype html><script>alert(1)</script>'), 'ends in .pdf but is a web page'],
      ['part', Buffer.from('<!doctype html><p>hello'), 'This is a web page'],
      ['part.stl', claim, 'ends in .stl but is a file of no kind known here'],
      ['part.stp', step.subarray(0, 3000), 'cut off before its end'],
      [
        'part.stp',
        Buffer.from('ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n'),
        'STEP',
      ],
      ['part.dxf', step, 'ends in .dxf but is a STEP file'],
    ] as const) {
      const { status, body, headers } = await ask(app, name, Buffer.from(content));
      expect([name, status]).toEqual([name, 422]);
      expect(headers['content-type']).toContain('application/problem+json');
      expect(body).toMatchObject({ status: 422, type: '/bench#makes-no-sense' });
      expect(body.detail).toContain(words);
    }
    expect(kept(app)).toEqual(before);
  });

  it('refuses with 400 what does not fit', async () => {
    const app = await startApp();
    const before = kept(app);
    const cube = aCube(10);
    const { agent } = app.visitor();
    const answers = {
      colour: await ask(app, 'a.stl', cube, { colour: 'red' }),
      density: await ask(app, 'a.stl', cube, { density: 'heavy' }),
      nought: await ask(app, 'a.stl', cube, { density: '0' }),
      negative: await ask(app, 'a.stl', cube, { density: '-7850' }),
      infinite: await ask(app, 'a.stl', cube, { density: 'Infinity' }),
      noFile: await agent.post(path).field('density', '1000'),
      text: await agent.post(path).field('file', 'not a file'),
      other: await agent.post(path).attach('model', cube, 'a.stl'),
      empty: await agent.post(path).attach('file', Buffer.alloc(0), 'a.stl'),
      two: await agent.post(path).attach('file', cube, 'a.stl').attach('file', cube, 'b.stl'),
      many: await agent
        .post(path)
        .attach('file', cube, 'a.stl')
        .attach('file', cube, 'b.stl')
        .attach('file', cube, 'c.stl'),
      torn: await agent
        .post(path)
        .type('multipart/form-data; boundary=x')
        .send('--x\r\nContent-Disposition: form-data; name="file"; filename="a.stl"\r\n\r\nsolid'),
    };
    for (const [what, { status, body, headers }] of Object.entries(answers)) {
      expect([what, status]).toEqual([what, 400]);
      expect(headers['content-type']).toContain('application/problem+json');
      expect(body.errors).toEqual([
        { path: expect.any(String), message: expect.any(String) },
        ...body.errors.slice(1),
      ]);
    }
    expect(answers.colour.body.errors).toEqual([{ path: 'colour', message: 'there is no such field' }]);
    expect(kept(app)).toEqual(before);
    expect((await agent.post(path).send({ file: 'x' })).status).toBe(415);
    expect((await agent.post(path).type('text/plain').send('x')).status).toBe(415);
    const { status, headers } = await agent.get(path);
    expect([status, headers.allow]).toEqual([405, 'POST']);
  });

  it('refuses a file of more than 50 MB and keeps nothing', async () => {
    const app = await startApp();
    const before = kept(app);
    const { status, body } = await ask(app, 'a.stl', Buffer.alloc(50 * 1024 * 1024 + 1));
    expect([status, body.type]).toEqual([413, '/bench#too-large']);
    expect(kept(app)).toEqual(before);
  });

  it('takes names of any kind', async () => {
    const app = await startApp();
    for (const name of [
      '../../etc/passwd',
      '..',
      'a\u202elts.',
      `${'n'.repeat(300)}.stl`,
      'ä ö.STL',
      'x"y.stl',
    ]) {
      const { status, body } = await ask(app, name, aCube(10));
      expect([name, status]).toEqual([name, 200]);
      expect(body.volume).toBeCloseTo(1000, 3);
    }
  });

  it('is asked twenty times a minute by one address', async () => {
    const app = await startApp({ rateLimit: true });
    const { agent } = app.visitor();
    const statuses: number[] = [];
    for (let turn = 0; turn < 21; turn++) {
      statuses.push((await agent.post(path).field('density', '1')).status);
    }
    expect(statuses).toEqual([...Array(20).fill(400), 429]);
  });

  it('stands in the list', async () => {
    const app = await startApp();
    const { body } = await app.visitor().get('/api/v1/calculate');
    expect(body.calculators.at(-1)).toMatchObject({ name: 'model', page: '/bench/model' });
    expect((await app.visitor().get('/bench')).text).toContain('href="/bench/model"');
  });
});

describe('/bench/model', () => {
  it('reads a file for people and says what is wrong at its field', async () => {
    const app = await startApp();
    const before = kept(app);
    const visitor = app.visitor();
    expect((await visitor.get('/bench/model')).text).toContain('enctype="multipart/form-data"');
    const good = await visitor.upload('/bench/model', { density: '7850' }, [
      { name: 'file', filename: 'cube.stl', content: aCube(100) },
    ]);
    expect(good.status).toBe(200);
    expect(good.text).toContain('<dd class="num">1000000&nbsp;mm³');
    expect(good.text).toContain('7.85&nbsp;kg');
    const bad = await visitor.upload('/bench/model', { density: '<b>' }, [
      { name: 'file', filename: 'cube.stl', content: aCube(100) },
    ]);
    expect(bad.status).toBe(422);
    expect(bad.text).toContain('value="&lt;b&gt;"');
    const wrong = await visitor.upload('/bench/model', {}, [
      { name: 'file', filename: 'cube.step', content: aCube(100) },
    ]);
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('ends in .step but is an STL by its content');
    expect((await visitor.upload('/bench/model', { density: '1' }, [])).text).toContain('Choose a file.');
    expect(kept(app)).toEqual(before);
  });
});
