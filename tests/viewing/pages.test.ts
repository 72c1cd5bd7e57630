import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { releaseRevision } from '../../src/drawings/index.ts';
import { startApp } from '../support/app.ts';
import { aDraft, aPdf } from '../support/drawings.ts';
import { aReadFile } from '../support/files-read.ts';
import { aCube, aDxf } from '../support/models.ts';
import { asLead } from '../support/parts.ts';

const bytes = (response: { body: unknown }) => response.body as Buffer;
const square = (side: number, hole: number) =>
  aDxf([
    [
      0,
      'LWPOLYLINE',
      8,
      'CUT',
      90,
      4,
      70,
      1,
      10,
      0,
      20,
      0,
      10,
      side,
      20,
      0,
      10,
      side,
      20,
      side,
      10,
      0,
      20,
      side,
    ],
    [0, 'CIRCLE', 8, 'CUT', 10, side / 2, 20, side / 2, 40, hole],
  ]);

describe('a model in the page', () => {
  it('is sent as triangles, pictured on light and dark, and shown with what it says', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const { revisionId } = await aDraft(app);
    const id = await aReadFile(app, lead, {
      revisionId,
      kind: 'model',
      filename: 'cube.stl',
      content: aCube(10),
    });
    const shape = await lead.get(`/documents/${id}/shape`);
    expect(shape.status).toBe(200);
    const content = bytes(shape);
    expect(content.length).toBe(12 * 36);
    const positions = new Float32Array(
      content.buffer.slice(content.byteOffset, content.byteOffset + content.length),
    );
    expect(Math.max(...positions)).toBe(10);
    expect(Math.min(...positions)).toBe(0);
    const light = await lead.get(`/documents/${id}/picture`);
    const dark = await lead.get(`/documents/${id}/picture?on=dark`);
    for (const { status, headers } of [light, dark]) {
      expect(status).toBe(200);
      expect(headers['content-type']).toBe('image/png');
    }
    expect(bytes(light).equals(bytes(dark))).toBe(false);
    // Asked for again it is the one that was kept.
    expect(bytes(await lead.get(`/documents/${id}/picture`)).equals(bytes(light))).toBe(true);
    const page = (await lead.get(`/documents/${id}/view`)).text;
    expect(page).toContain(`data-mesh="/documents/${id}/shape"`);
    expect(page).toContain('10 × 10 × 10 mm');
    const list = (await lead.get(`/revisions/${revisionId}`)).text;
    expect(list).toContain(`/documents/${id}/picture`);
    expect(list).toContain(`/documents/${id}/view`);
  });

  it('is seen by those who may see its revision, and by nobody else', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const { revisionId } = await aDraft(app);
    const id = await aReadFile(app, lead, {
      revisionId,
      kind: 'model',
      filename: 'c.stl',
      content: aCube(10),
    });
    const imre = await app.as('imre');
    for (const what of ['view', 'shape', 'picture']) {
      expect((await imre.get(`/documents/${id}/${what}`)).status).toBe(403);
      expect((await app.visitor().get(`/documents/${id}/${what}`)).status).toBe(303);
      expect((await lead.get(`/documents/99999/${what}`)).status).toBe(404);
    }
    await asLead(app, (act) => releaseRevision(act, { revisionId }));
    expect((await imre.get(`/documents/${id}/view`)).status).toBe(200);
    expect((await imre.get(`/documents/${id}/shape`)).status).toBe(200);
  });

  it('has neither triangles nor a picture where the file is none', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const { revisionId } = await aDraft(app);
    const content = aPdf('sheet two');
    const id = await aReadFile(app, lead, { revisionId, kind: 'drawing', filename: 'd.pdf', content });
    expect((await lead.get(`/documents/${id}/shape`)).status).toBe(404);
    expect((await lead.get(`/documents/${id}/picture`)).status).toBe(404);
    const page = (await lead.get(`/documents/${id}/view`)).text;
    expect(page).toContain(`data-pdf="/documents/${id}"`);
    // 420 by 200 points of 1/72 inch
    expect(page).toContain('148.2 × 70.6');
  });
});

describe('a flat pattern in the page', () => {
  it('is drawn as paths, with its picture as a file', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const { revisionId } = await aDraft(app);
    const id = await aReadFile(app, lead, {
      revisionId,
      kind: 'flat pattern',
      filename: 'p.dxf',
      content: square(100, 10),
    });
    const page = (await lead.get(`/documents/${id}/view`)).text;
    expect(page.match(/<path class="c-thin hair"/g)).toHaveLength(2);
    const picture = await lead.get(`/documents/${id}/picture`);
    expect(picture.headers['content-type']).toContain('image/svg+xml');
    expect(picture.headers['content-security-policy']).toContain("default-src 'none'");
    expect(bytes(picture).toString()).toMatch(/L100 -100/);
  });
});

describe('two revisions beside each other', () => {
  it('tell what moved in limits, in size and in the contours', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const a = await aDraft(app, { characteristics: ['40 ±0.2'] });
    const file = { kind: 'flat pattern', filename: 'p.dxf' };
    await aReadFile(app, lead, { ...file, revisionId: a.revisionId, content: square(100, 10) });
    await asLead(app, (act) => releaseRevision(act, { revisionId: a.revisionId }));
    const b = await aDraft(app, { partId: a.partId, change: 'a larger hole' });
    const copied = await app.context.db.read.document.findFirst({
      where: { revisionId: b.revisionId, name: 'p.dxf' },
    });
    if (copied) await lead.post(`/documents/${copied.id}/remove`);
    await aReadFile(app, lead, { ...file, revisionId: b.revisionId, content: square(100, 12) });
    const address = `/revisions/${a.revisionId}/beside/${b.revisionId}`;
    const page = (await lead.get(address)).text;
    expect(page).toContain('1 contour the same, 1 only in the first, 1 only in the second.');
    // The hole's edge is 2 pi r: 12.566 mm longer.
    expect(page).toMatch(
      /Cut length<\/th><td[^>]*>462\.832 mm<\/td><td[^>]*>475\.398 mm<\/td><td[^>]*><b>\+12\.566 mm/,
    );
    expect((await (await app.as('imre')).get(address)).status).toBe(403);
    expect((await lead.get(`/revisions/${a.revisionId}/beside/9999`)).status).toBe(404);
    const other = await aDraft(app);
    expect((await lead.get(`/revisions/${a.revisionId}/beside/${other.revisionId}`)).status).toBe(404);
  });
});

describe('the structure a model proposes', () => {
  const assembly = readFileSync(new URL('../checks/step/as1-oc-214.stp', import.meta.url));

  it('is shown as a difference, taken line by line, then whole, and never doubled', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const { revisionId, partId } = await aDraft(app);
    const id = await aReadFile(app, lead, {
      revisionId,
      kind: 'model',
      filename: 'as1.stp',
      content: assembly,
    });
    const address = `/documents/${id}/structure`;
    const page = (await lead.get(address)).text;
    const keys = [...page.matchAll(/name="take" value="([^"]+)"/g)].map(([, key]) =>
      key!.replaceAll('&gt;', '>'),
    );
    // as1: a plate, two bracket assemblies, a rod assembly; in them brackets, bolts, nuts, a rod (tests/checks/step/README.md).
    expect(keys.length).toBe(9);
    const nutsInRod = keys.find((key) => /rod-assembly>.*nut$/.test(key))!;
    expect((await lead.post(address, { take: nutsInRod })).status).toBe(303);
    const names = async () =>
      (await app.context.db.read.use.findMany({ include: { parent: true, child: true } }))
        .map(
          ({ parent, child, milli }) =>
            `${parent.id === partId ? 'top' : parent.name}: ${milli / 1000} ${child.name}`,
        )
        .filter((line) => !line.includes(': 1 Part'));
    const first = await names();
    expect(first).toContain('top: 1 rod-assembly');
    expect(first).toContain('rod-assembly: 2 nut');
    expect(first.filter((line) => line.includes('bolt'))).toEqual([]);
    await lead.post(address, { take: keys });
    const whole = await names();
    expect(whole).toContain('nut-bolt-assembly: 1 bolt');
    expect(whole).toContain('nut-bolt-assembly: 1 nut');
    expect(whole).toContain('l-bracket-assembly: 3 nut-bolt-assembly');
    expect(whole).toContain('top: 2 l-bracket-assembly');
    const parts = await app.context.db.read.part.count();
    await lead.post(address, { take: keys });
    expect(await names()).toEqual(whole);
    expect(await app.context.db.read.part.count()).toBe(parts);
    expect((await lead.get(address)).text).toContain('The structure is as the model has it');
  });

  it('takes a product for the part that is typed, and says what it can not be', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const { revisionId, partId } = await aDraft(app);
    const known = await aDraft(app, { number: 'KNOWN-1', name: 'base' });
    const id = await aReadFile(app, lead, {
      revisionId,
      kind: 'model',
      filename: 'as1.stp',
      content: assembly,
    });
    const address = `/documents/${id}/structure`;
    const page = (await lead.get(address)).text;
    const key = /name="take" value="([^"]+plate)"/.exec(page)![1]!.replaceAll('&gt;', '>');
    const field = /plate[\s\S]*?name="(as-[0-9a-f]{12})"/.exec(
      page.slice(page.indexOf(`value="${key.replaceAll('>', '&gt;')}"`)),
    )![1]!;
    const wrong = await lead.post(address, { take: key, [field]: 'NOWHERE' });
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('No part has this number or name.');
    expect(wrong.text).toContain('value="NOWHERE"');
    expect(await app.context.db.read.use.count({ where: { parentId: partId } })).toBe(0);
    expect((await lead.post(address, { take: key, [field]: 'known-1' })).status).toBe(303);
    const use = await app.context.db.read.use.findFirst({ where: { parentId: partId } });
    expect(use).toMatchObject({ childId: known.partId, milli: 1000 });
    // Read again, it is still that part: neither proposed anew nor, sent again by somebody else, made a part of its own.
    const again = (await lead.get(address)).text;
    expect(again).not.toContain(`value="${key.replaceAll('>', '&gt;')}"`);
    expect(again).not.toContain('taken out of the structure');
    const parts = await app.context.db.read.part.count();
    expect((await lead.post(address, { take: key })).status).toBe(303);
    expect(await app.context.db.read.part.count()).toBe(parts);
    expect((await lead.get('/log')).text).toContain('said that plate in a model is');
  });

  it('is for the shop, of STEP files alone', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const { revisionId, documentId } = await aDraft(app);
    expect((await lead.get(`/documents/${documentId}/structure`)).status).toBe(404);
    const cube = readFileSync(new URL('../checks/step/cube-mm.step', import.meta.url));
    const id = await aReadFile(app, lead, {
      revisionId,
      kind: 'model',
      filename: 'cube.step',
      content: cube,
    });
    expect((await lead.get(`/documents/${id}/structure`)).status).toBe(200);
    expect((await (await app.as('imre')).get(`/documents/${id}/structure`)).status).toBe(403);
  });
});
