import { expect, it } from 'vitest';
import { draftsMissingReader } from '../../src/drawings/index.ts';
import { releaseChecklist } from '../../src/drawings/release-checklist.ts';
import { readReleaseFacts } from '../../src/drawings/release-facts.ts';
import { startApp } from '../support/app.ts';
import { aDraft, aReleasedPart } from '../support/drawings.ts';
import { aPart } from '../support/parts.ts';

it('draftsMissingReader says of each draft the first item of its checklist that does not hold', async () => {
  const app = await startApp();
  const { db } = app.context;
  const whole = await aDraft(app, { characteristics: ['25 H7'] });
  const bare = await aDraft(app, { withoutDrawing: true });
  const open = await aDraft(app, { characteristics: ['Ø8'] });
  await db.write.revision.update({ where: { id: open.revisionId }, data: { generalTolerance: '' } });
  const alone = await aDraft(app, { partId: (await aPart(app)).id });
  const noMaterial = await aDraft(app);
  await db.write.revision.update({ where: { id: noMaterial.revisionId }, data: { materialId: null } });
  const released = await aReleasedPart(app);
  const missing = draftsMissingReader(db)();
  expect(missing.get(bare.revisionId)).toBe('no drawing or model yet');
  expect(missing.get(open.revisionId)).toBe('no limits on 1 (Ø8)');
  expect(missing.get(noMaterial.revisionId)).toBe('no material chosen');
  expect(missing.get(alone.revisionId)).toContain('goes into nothing');
  for (const { revisionId } of [whole, bare, open, alone, noMaterial]) {
    const items = releaseChecklist(await readReleaseFacts(db.read, revisionId));
    expect(missing.get(revisionId)).toBe(items.find(({ holds }) => !holds)?.note);
  }
  expect(missing.has(released.revisionId)).toBe(false);
});
