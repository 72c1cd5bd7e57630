import { describe, expect, it } from 'vitest';
import {
  addCharacteristic,
  changeRevision,
  releaseRevision,
  removeDocument,
  startRevision,
  withdrawRevision,
} from '../../src/drawings/index.ts';
import { type Act, perform } from '../../src/platform/acts.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aDraft, aReleasedPart } from '../support/drawings.ts';
import { aPart, asLead } from '../support/parts.ts';

const asCrew = <T>({ context }: TestApp, work: (act: Act) => Promise<T>) =>
  perform(context, { actor: { personId: castId.crew, role: 'crew' } }, work);

describe('startRevision', () => {
  it('gives A, copies the released one into B under the same positions, and skips used letters', async () => {
    const app = await startApp();
    const { read } = app.context.db;
    const a = await aReleasedPart(app, {
      characteristics: [{ text: '25 H7', label: 'bore', isKey: true }, '40'],
      generalTolerance: 'f',
    });
    expect(a.letter).toBe('A');
    const b = await asLead(app, (act) => startRevision(act, { partId: a.partId }));
    expect(b.letter).toBe('B');
    const [before, after] = await Promise.all(
      [a.revisionId, b.id].map((id) =>
        read.revision.findUniqueOrThrow({
          where: { id },
          include: { characteristics: { orderBy: { position: 'asc' } }, documents: true },
        }),
      ),
    );
    const shape = (rows: { position: number; label: string; text: string; isKey: boolean }[] | undefined) =>
      rows?.map(({ position, label, text, isKey }) => ({ position, label, text, isKey }));
    expect(shape(after?.characteristics)).toEqual(shape(before?.characteristics));
    expect(after).toMatchObject({
      state: 'draft',
      generalTolerance: 'f',
      materialId: before?.materialId,
      processId: before?.processId,
      documents: [],
    });
    await expect(asLead(app, (act) => startRevision(act, { partId: a.partId }))).rejects.toThrow(
      `Revision B of ${a.number} is a draft already`,
    );
    await asLead(app, (act) => withdrawRevision(act, { revisionId: b.id }));
    expect((await asLead(app, (act) => startRevision(act, { partId: a.partId }))).letter).toBe('C');
  });

  it('gives a new characteristic a position that none of the part has had', async () => {
    const app = await startApp();
    const a = await aReleasedPart(app, { characteristics: ['10', '20'] });
    const b = await asLead(app, (act) => startRevision(act, { partId: a.partId }));
    const { id } = await asLead(app, (act) =>
      addCharacteristic(act, { revisionId: b.id, label: '', text: '30 ±0,1', isKey: false }),
    );
    const row = await app.context.db.read.characteristic.findUniqueOrThrow({ where: { id } });
    expect(row).toMatchObject({ position: 3, text: '30 ±0.1' });
  });
});

describe('changeRevision', () => {
  it('tells the second editor, and keeps what the first one wrote', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app);
    const { read } = app.context.db;
    const seen = await read.revision.findUniqueOrThrow({ where: { id: revisionId } });
    const head = {
      revisionId,
      version: seen.version,
      change: '',
      materialId: seen.materialId,
      processId: seen.processId,
      materialNote: '',
      finish: '',
      generalTolerance: 'm' as const,
      notes: '',
    };
    await asLead(app, (act) => changeRevision(act, { ...head, finish: 'oiled' }));
    await expect(asCrew(app, (act) => changeRevision(act, { ...head, finish: 'painted' }))).rejects.toThrow(
      'was changed while you were at it',
    );
    expect((await read.revision.findUniqueOrThrow({ where: { id: revisionId } })).finish).toBe('oiled');
  });
});

describe('releaseRevision', () => {
  it('says everything that is missing in one sentence, and changes nothing', async () => {
    const app = await startApp();
    const { read } = app.context.db;
    const part = await aPart(app);
    const { id } = await asLead(app, (act) => startRevision(act, { partId: part.id }));
    const before = await read.act.count();
    await expect(asLead(app, (act) => releaseRevision(act, { revisionId: id }))).rejects.toThrow(
      `Revision A can't be released yet: no material chosen; no process chosen; no general tolerance, and no characteristic; no drawing or model yet; ${part.number} goes into nothing that is built.`,
    );
    expect(await read.revision.findUniqueOrThrow({ where: { id } })).toMatchObject({
      state: 'draft',
      version: 1,
      releasedAt: null,
    });
    expect(await read.act.count()).toBe(before);
  });

  it('asks for limits on each characteristic where no general tolerance is named', async () => {
    const app = await startApp();
    const draft = await aDraft(app, { characteristics: ['25 H7', '40', 'deburr all edges'] });
    // no act leaves a bare size without a class; a draft may be older than that rule
    const where = { id: draft.revisionId };
    await app.context.db.write.revision.update({ where, data: { generalTolerance: '' } });
    await expect(
      asLead(app, (act) => releaseRevision(act, { revisionId: draft.revisionId })),
    ).rejects.toThrow('no limits on 2 (40).');
  });

  it('needs a drawing or model that is still there', async () => {
    const app = await startApp();
    const draft = await aDraft(app);
    await asLead(app, (act) => removeDocument(act, { documentId: draft.documentId ?? 0 }));
    await expect(
      asLead(app, (act) => releaseRevision(act, { revisionId: draft.revisionId })),
    ).rejects.toThrow('no drawing or model yet');
  });

  it('is done once when two people release at the same moment', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app);
    const both = await Promise.allSettled([
      asLead(app, (act) => releaseRevision(act, { revisionId })),
      asCrew(app, (act) => releaseRevision(act, { revisionId })),
    ]);
    expect(both.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected']);
    const acts = await app.context.db.read.act.count({ where: { kind: 'release-revision' } });
    expect(acts).toBe(1);
    const rejected = both.find((one) => one.status === 'rejected');
    expect(String(rejected?.status === 'rejected' && rejected.reason)).toContain('Revision A is released');
  });

  it('refuses what has changed since the releasing person looked', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app);
    const { version } = await app.context.db.read.revision.findUniqueOrThrow({ where: { id: revisionId } });
    await asCrew(app, (act) =>
      addCharacteristic(act, { revisionId, label: '', text: '12 ±0.1', isKey: false }),
    );
    await expect(asLead(app, (act) => releaseRevision(act, { revisionId, version }))).rejects.toThrow(
      'was changed while you were at it',
    );
  });

  it('makes the part known to be of what the drawing says, and leaves nothing to edit', async () => {
    const app = await startApp();
    const a = await aReleasedPart(app);
    const { read } = app.context.db;
    const revision = await read.revision.findUniqueOrThrow({ where: { id: a.revisionId } });
    expect(revision).toMatchObject({ state: 'released', releasedById: castId.lead });
    expect(await read.part.findUniqueOrThrow({ where: { id: a.partId } })).toMatchObject({
      materialId: revision.materialId,
      processId: revision.processId,
    });
    await expect(
      asLead(app, (act) =>
        addCharacteristic(act, { revisionId: a.revisionId, label: '', text: '12', isKey: false }),
      ),
    ).rejects.toThrow('Revision A is released: what it says stands.');
  });
});
