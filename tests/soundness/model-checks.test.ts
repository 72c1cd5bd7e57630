import { describe, expect, it } from 'vitest';
import { startApp } from '../support/app.ts';
import { aDraft } from '../support/drawings.ts';
import { aReadFile } from '../support/files-read.ts';
import { aCube } from '../support/models.ts';

describe('GET /specs/soundness, models', () => {
  it('lists where a model does not agree with its drawing, and says so where none does', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const { revisionId, number } = await aDraft(app, { characteristics: [{ label: 'length', text: '40' }] });
    const sound = (await lead.get('/specs/soundness')).text;
    expect(sound).toContain('Models that do not agree with their drawing');
    expect(sound).toContain('No model or flat pattern disagrees');
    const id = await aReadFile(app, lead, {
      revisionId,
      kind: 'model',
      filename: 'c.stl',
      content: aCube(4),
    });
    const page = (await lead.get('/specs/soundness')).text;
    expect(page).toContain(
      'c.stl looks written in another unit: its longest side is 4 mm, a tenth of the 40 mm',
    );
    expect(page).toContain(`href="/revisions/${revisionId}#model-and-sizes">Look at it`);
    expect(page).toContain(`>${number}</a>`);
    await lead.post(`/documents/${id}/unit`, { unit: 'cm' });
    expect((await lead.get('/specs/soundness')).text).toContain('No model or flat pattern disagrees');
    expect((await (await app.as('imre')).get('/specs/soundness')).status).toBe(403);
  });

  it('is there for a build of more parts than one statement takes values', async () => {
    const app = await startApp();
    const { write } = app.context.db;
    const createdAt = new Date('2026-03-01');
    const many = Array.from({ length: 1200 }, (_, at) => 1000 + at);
    await write.part.createMany({
      data: many.map((id) => ({
        id,
        number: `ZZ-${id}`,
        numberKey: `ZZ-${id}`,
        name: 'x',
        kind: 'made',
        createdAt,
      })),
    });
    await write.revision.createMany({
      data: many.map((id) => ({ id, partId: id, letter: 'A', state: 'draft', createdAt })),
    });
    await write.document.createMany({
      data: many.map((id) => ({
        revisionId: id,
        kind: 'model',
        name: `ZZ-${id} rev B.step`,
        sha256: String(id),
        bytes: 1,
        fileKind: 'step',
        mediaType: 'model/step',
        addedAt: createdAt,
        addedById: 1,
      })),
    });
    const page = await (await app.as('lead')).get('/specs/soundness');
    expect(page.status).toBe(200);
    expect(page.text).toContain('ZZ-1000 rev B.step calls itself revision B');
    expect(page.text).toContain('1140 more of these are not listed');
  });
});
