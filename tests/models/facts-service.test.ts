import { createHash } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { get } from 'node:http';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { FileFactsService, FileReader, factsOfFiles } from '../../src/models/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { CAST_PASSWORD, cast } from '../support/cast.ts';
import { aDraft, aPdf } from '../support/drawings.ts';
import { aCube, aDxf } from '../support/models.ts';

const check = (name: string) => readFileSync(new URL(`../checks/${name}`, import.meta.url));
const hash = (bytes: Buffer) => createHash('sha256').update(bytes).digest('hex');

const services: FileFactsService[] = [];
afterEach(async () => {
  for (const one of services.splice(0)) await one.close();
});

function service({ context }: TestApp, reader = new FileReader()): FileFactsService {
  const made = new FileFactsService({
    context,
    reader,
    report: (fault) => {
      throw fault;
    },
  });
  services.push(made);
  return made;
}

async function keep(app: TestApp, revisionId: number, kind: string, filename: string, content: Buffer) {
  const lead = await app.as('lead');
  return lead.upload(`/revisions/${revisionId}/documents`, { kind }, [{ name: 'file', filename, content }]);
}

describe('facts of kept files', () => {
  it('are read after the act, stand on the revision, and are told to who listens', async () => {
    const app = await startApp();
    const facts = service(app);
    await facts.start();
    let told = 0;
    facts.listen(() => {
      told += 1;
    });
    const draft = await aDraft(app);
    const cube = aCube(20);
    expect((await keep(app, draft.revisionId, 'model', 'cube.stl', cube)).status).toBe(303);
    const flat = check('dxf/square-with-hole.dxf');
    expect((await keep(app, draft.revisionId, 'flat pattern', 'plate.dxf', flat)).status).toBe(303);
    const lead = await app.as('lead');
    expect((await lead.get(`/revisions/${draft.revisionId}`)).text).toContain('Being read');
    await facts.settled();
    expect(told).toBeGreaterThanOrEqual(3);
    const { text } = await lead.get(`/revisions/${draft.revisionId}`);
    expect(text).toContain('STL, 20 × 20 × 20 mm');
    expect(text).toContain('DXF, 100 × 100 mm, 2 pierces');
    expect(text).toContain('PDF, 1 page');
    expect(text).toContain('An STL has no unit');
    const known = await factsOfFiles(app.context.db, [hash(cube), hash(flat), 'nothing']);
    expect([...known.keys()].sort()).toEqual([hash(cube), hash(flat)].sort());
  });

  it('say in a sentence why a file can not be read', async () => {
    const app = await startApp();
    const facts = service(app);
    await facts.start();
    const draft = await aDraft(app);
    const bad = aDxf([[0, 'LINE', 8, '0', 10, 'NaN', 20, 0, 11, 1, 21, 1]]);
    expect((await keep(app, draft.revisionId, 'flat pattern', 'bad.dxf', bad)).status).toBe(303);
    await facts.settled();
    const { text } = await (await app.as('lead')).get(`/revisions/${draft.revisionId}`);
    expect(text).toContain('Not read. LINE in the DXF has &quot;NaN&quot; where a number should be.');
  });

  it('are read at the next start where they were waiting, and anew by a newer reader', async () => {
    const app = await startApp();
    const draft = await aDraft(app);
    const content = aPdf('kept');
    await keep(app, draft.revisionId, 'note', 'kept.pdf', content);
    const { write, read } = app.context.db;
    expect(await read.documentFacts.findUnique({ where: { sha256: hash(content) } })).toMatchObject({
      state: 'waiting',
      facts: null,
    });
    await write.documentFacts.update({
      where: { sha256: hash(content) },
      data: { version: 0, state: 'read' },
    });
    const facts = service(app);
    await facts.start();
    await facts.settled();
    const row = await read.documentFacts.findUniqueOrThrow({ where: { sha256: hash(content) } });
    expect([row.state, row.version > 0, JSON.parse(row.facts!).format]).toEqual(['read', true, 'PDF']);
  });

  it('give triangles and contours, made once and kept beside the files', async () => {
    const app = await startApp();
    const facts = service(app);
    const cube = aCube(20);
    const sha256 = await app.context.files.keepBytes(cube);
    const [one, two] = await Promise.all([1, 2].map(() => facts.shape({ sha256, fileKind: 'stl' })));
    expect(one!.kind === 'triangles' && one!.positions.length).toBe(108);
    expect(two).toEqual(one);
    const folder = join(app.context.settings.dataDir, 'files', 'derived');
    expect(readdirSync(folder)).toEqual([expect.stringMatching(`^${sha256}-\\d+$`)]);
    const torn = await app.context.files.keepBytes(cube.subarray(0, 200));
    await expect(facts.shape({ sha256: torn, fileKind: 'stl' })).rejects.toThrow('cut off or damaged');
    await expect(facts.shape({ sha256, fileKind: 'pdf' })).rejects.toThrow('has no shape');
    expect(readdirSync(folder)).toHaveLength(1);
  });

  it('leave alone what is being made beside them', async () => {
    const app = await startApp();
    const facts = service(app);
    const [first, second] = await Promise.all(
      [20, 30].map((side) => app.context.files.keepBytes(aCube(side))),
    );
    const folder = join(app.context.settings.dataDir, 'files', 'derived');
    mkdirSync(folder, { recursive: true });
    writeFileSync(join(folder, 'half-left-by-a-killed-process'), '');
    await facts.shape({ sha256: first!, fileKind: 'stl' });
    expect(readdirSync(folder)).toHaveLength(1);
    const picture = `light-${first}-1-half-written`;
    writeFileSync(join(folder, picture), '');
    await facts.shape({ sha256: second!, fileKind: 'stl' });
    expect(readdirSync(folder)).toContain(picture);
  });

  it('reach open pages of a listening program by the event "changed"', async () => {
    const app = await startApp();
    const draft = await aDraft(app);
    await app.app.listen({ port: 0, host: '127.0.0.1' });
    const lead = await app.as('lead');
    const { port } = app.app.server.address() as { port: number };
    const cookie = await sessionOf(app);
    const events: string[] = [];
    const open = get({ port, host: '127.0.0.1', path: '/live', headers: { cookie } }, (answer) => {
      answer.on('data', (piece: Buffer) => events.push(piece.toString()));
    });
    await expect.poll(() => events.length).toBeGreaterThan(0);
    await lead.upload(`/revisions/${draft.revisionId}/documents`, { kind: 'model' }, [
      { name: 'file', filename: 'cube.stl', content: aCube(33) },
    ]);
    const state = async () =>
      (await app.context.db.read.documentFacts.findUnique({ where: { sha256: hash(aCube(33)) } }))?.state;
    await expect.poll(state, { timeout: 20_000 }).toBe('read');
    const seen = () => events.join('').split('event: changed').length - 1;
    await expect.poll(seen, { timeout: 5000 }).toBeGreaterThanOrEqual(2);
    open.destroy();
  });
});

/** The cookie of somebody who has signed in. */
async function sessionOf(app: TestApp): Promise<string> {
  const visitor = app.visitor();
  const answer = await visitor.post('/sign-in', { email: cast.lead.email, password: CAST_PASSWORD });
  const cookies = answer.headers['set-cookie'] as unknown as string[];
  return cookies.map((one) => one.split(';')[0]).join('; ');
}
