import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { releaseRevision } from '../../src/drawings/index.ts';
import { structureGraph } from '../../src/parts/index.ts';
import { startApp } from '../support/app.ts';
import { aDraft } from '../support/drawings.ts';
import { aReadFile } from '../support/files-read.ts';
import { aCube } from '../support/models.ts';
import { asLead } from '../support/parts.ts';

const STEP = readFileSync(new URL('../checks/step/cube-10mm.stp', import.meta.url));

describe('masses by models, in the structure', () => {
  it('count where no mass was typed, say where they are from, and follow material, unit and typing', async () => {
    const app = await startApp();
    const { db } = app.context;
    const steel = await db.read.material.findFirstOrThrow({ where: { key: 'steel-s235' } });
    const made = await aDraft(app, { quantity: 3, material: steel.name });
    const printed = await aDraft(app, { quantity: 2, material: steel.name });
    const lead = await app.as('lead');
    const mass = (id: number) => structureGraph(db.hot).mass().get(id)?.value ?? null;
    const above = async (partId: number) =>
      (await db.read.use.findFirstOrThrow({ where: { childId: partId } })).parentId;
    expect(mass(made.partId)).toBeNull();

    await aReadFile(app, lead, {
      revisionId: made.revisionId,
      kind: 'model',
      filename: 'cube.stp',
      content: STEP,
    });
    // 1000 mm3 at 7850 kg/m3
    expect(mass(made.partId)).toBe(7.85);
    expect(mass(await above(made.partId))).toBe(23.55);
    const page = (await lead.get('/structure')).text;
    expect(page).toContain('title="by the model and material of its draft"');
    expect(page).toContain('1 by their model and material');
    const imre = await app.as('imre');
    for (const path of ['/structure', `/parts/${made.number}`]) {
      const { text } = await imre.get(path);
      expect(text).toContain('by the model and material of its draft');
      expect(text).not.toContain('cube.stp');
    }
    await asLead(app, (act) => releaseRevision(act, { revisionId: made.revisionId }));
    expect((await imre.get('/structure')).text).toContain('title="by its model cube.stp (A, released) and ');

    const stl = await aReadFile(app, lead, {
      revisionId: printed.revisionId,
      kind: 'model',
      filename: 'c.stl',
      content: aCube(1),
    });
    // no unit was said: the mass of a guess is worth nothing in a sum
    expect(mass(printed.partId)).toBeNull();
    await lead.post(`/documents/${stl}/unit`, { unit: 'cm' });
    expect(mass(printed.partId)).toBe(7.85);

    await db.write.part.update({ where: { id: made.partId }, data: { massGrams: 9 } });
    expect([mass(made.partId), mass(await above(made.partId))]).toEqual([9, 27]);
    await db.write.part.update({ where: { id: made.partId }, data: { massGrams: null } });
    await db.write.revision.update({ where: { id: made.revisionId }, data: { state: 'withdrawn' } });
    expect(mass(made.partId)).toBeNull();
  });
});
