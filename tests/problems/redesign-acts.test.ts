import { describe, expect, it } from 'vitest';
import { addCharacteristic, releaseRevision, startRevision } from '../../src/drawings/index.ts';
import {
  acceptProblem,
  changeRedesign,
  closeRedesign,
  correctTrial,
  dropRedesign,
  finishTrial,
  mergeProblems,
  openRedesign,
  releaseRedesign,
  startRedesignRevisions,
  takeUpProblem,
} from '../../src/problems/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aPdf, aReleasedPart } from '../support/drawings.ts';
import { aClaim, anOfferedJob, asPerson } from '../support/jobs.ts';
import { aProblem, aRedesign, aTrial } from '../support/problems.ts';

const problem = ({ context }: TestApp, id: number) =>
  context.db.read.problem.findUniqueOrThrow({ where: { id } });
const redesign = ({ context }: TestApp, id: number) =>
  context.db.read.redesign.findUniqueOrThrow({ where: { id }, include: { parts: true } });
const kinds = async ({ context }: TestApp) =>
  (await context.db.read.act.findMany({ orderBy: { id: 'asc' } })).map(({ kind }) => kind);

/** Gives a draft the drawing that a release asks for. */
async function drawn(app: TestApp, revisionId: number): Promise<void> {
  const content = aPdf(`drawing ${revisionId}`);
  const sha256 = await app.context.files.keepBytes(content);
  await app.context.db.write.document.create({
    data: {
      revisionId,
      kind: 'drawing',
      name: 'drawing.pdf',
      sha256,
      bytes: content.length,
      fileKind: 'pdf',
      mediaType: 'application/pdf',
      addedAt: new Date('2026-03-02'),
      addedById: 1,
    },
  });
}

describe('openRedesign', () => {
  it('gathers open problems only, each in one redesign', async () => {
    const app = await startApp();
    const { partId } = await aReleasedPart(app);
    const id = await aProblem(app);
    const first = await aRedesign(app, { problemIds: [id, id], partIds: [partId, partId] });
    expect(await problem(app, id)).toMatchObject({ redesignId: first });
    expect((await redesign(app, first)).parts).toHaveLength(1);
    const open = (problemIds: number[], partIds: number[] = []) =>
      asPerson(app, 'crew', (act) => openRedesign(act, { title: 'Another', problemIds, partIds }));
    await expect(open([id])).rejects.toThrow(`Problem ${id} is in redesign ${first} already`);
    await expect(open([])).rejects.toThrow('one at least');
    await expect(open([await aProblem(app)], [999])).rejects.toThrow('no such part');
    expect(await app.context.db.read.redesign.count()).toBe(1);
  });
});

describe('a redesign', () => {
  async function underWay() {
    const app = await startApp();
    const one = await aReleasedPart(app, { characteristics: ['25 h7'] });
    const two = await aReleasedPart(app, { characteristics: ['40'] });
    const problemId = await aProblem(app, { partId: one.partId });
    const id = await aRedesign(app, { problemIds: [problemId], partIds: [one.partId, two.partId] });
    return { app, one, two, problemId, id };
  }
  const start = (app: TestApp, redesignId: number, partIds?: number[]) =>
    asPerson(app, 'crew', (act) => startRedesignRevisions(act, { redesignId, partIds }));
  const release = (app: TestApp, redesignId: number) =>
    asPerson(app, 'lead', (act) => releaseRedesign(act, { redesignId }));
  const close = (app: TestApp, redesignId: number) =>
    asPerson(app, 'crew', (act) => closeRedesign(act, { redesignId }));
  const finish = (app: TestApp, trialId: number, passed: boolean) =>
    asPerson(app, 'crew', (act) =>
      finishTrial(act, { trialId, before: [5, 6], after: [3, 2.5], passed, words: '' }),
    );

  it('begins a draft of each part from its present revision, or none', async () => {
    const { app, one, two, id } = await underWay();
    await app.context.db.write.part.update({ where: { id: two.partId }, data: { removedAt: new Date() } });
    await expect(start(app, id)).rejects.toThrow('There is no such part');
    expect(await app.context.db.read.revision.count({ where: { state: 'draft' } })).toBe(0);
    await app.context.db.write.part.update({ where: { id: two.partId }, data: { removedAt: null } });
    const begun = await start(app, id);
    expect(begun.map(({ partNumber, letter }) => [partNumber, letter])).toEqual([
      [one.number, 'B'],
      [two.number, 'B'],
    ]);
    await expect(start(app, id)).rejects.toThrow('begun already');
  });

  it('takes up a draft that is open already', async () => {
    const { app, one, two, id } = await underWay();
    const draft = await asPerson(app, 'crew', (act) => startRevision(act, { partId: one.partId }));
    const begun = await start(app, id, [one.partId]);
    expect(begun).toMatchObject([{ revisionId: draft.id, found: true }]);
    expect((await redesign(app, id)).parts.find(({ partId }) => partId === two.partId)).toMatchObject({
      revisionId: null,
    });
    await expect(start(app, id, [999])).rejects.toThrow('Choose from the parts');
  });

  it('begins nothing while another redesign draws one of its parts, and takes the draft when that is dropped', async () => {
    const { app, one, id } = await underWay();
    const other = await aRedesign(app, { title: 'Stiffer planets', partIds: [one.partId] });
    const [first] = await start(app, other);
    await expect(start(app, id)).rejects.toThrow(
      `Nothing is begun. ${one.number} B is being drawn for redesign ${other}, “Stiffer planets”.`,
    );
    // The other part is not begun either.
    expect((await redesign(app, id)).parts.every(({ revisionId }) => revisionId === null)).toBe(true);
    expect(await app.context.db.read.revision.count({ where: { state: 'draft' } })).toBe(1);
    await asPerson(app, 'lead', (act) => dropRedesign(act, { redesignId: other, reason: 'One is enough.' }));
    expect(await start(app, id)).toMatchObject([
      { revisionId: first!.revisionId, found: true },
      { letter: 'B' },
    ]);
  });

  it('is begun by one of two that want the same part at the same moment', async () => {
    const { app, one, id } = await underWay();
    const other = await aRedesign(app, { partIds: [one.partId] });
    const sent = await Promise.allSettled([start(app, id), start(app, other)]);
    expect(sent.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected']);
    expect(await app.context.db.read.revision.count({ where: { partId: one.partId, state: 'draft' } })).toBe(
      1,
    );
  });

  it('is released whole: one part that is not complete keeps all back, and is named', async () => {
    const { app, one, two, id } = await underWay();
    await expect(release(app, id)).rejects.toThrow(
      `No new revision is begun of ${one.number}, ${two.number}`,
    );
    const begun = await start(app, id);
    await drawn(app, begun[0]!.revisionId);
    const before = await kinds(app);
    await expect(release(app, id)).rejects.toThrow(
      new RegExp(`Nothing is released\\. ${two.number}: Revision B can't be released yet: no drawing`),
    );
    expect(await kinds(app)).toEqual(before);
    expect(await app.context.db.read.revision.count({ where: { state: 'draft' } })).toBe(2);
    expect((await redesign(app, id)).releasedAt).toBeNull();
    await drawn(app, begun[1]!.revisionId);
    expect(await release(app, id)).toEqual({ revisions: 2, notices: 0, oldUnits: 0, told: [] });
    const states = await app.context.db.read.revision.findMany({ orderBy: { id: 'asc' } });
    expect(states.map(({ state }) => state)).toEqual(['superseded', 'superseded', 'released', 'released']);
    await expect(release(app, id)).rejects.toThrow('released already');
  });

  it('counts what was released on its own page before, and is stopped by a maker at work unless the lead does it', async () => {
    const app = await startApp();
    const made = await anOfferedJob(app);
    await aClaim(app, { jobId: made.jobId, who: 'imre' });
    const alone = await aReleasedPart(app);
    const id = await aRedesign(app, { partIds: [made.partId, alone.partId] });
    const begun = await start(app, id);
    for (const { revisionId } of begun) await drawn(app, revisionId);
    const own = begun.find(({ partNumber }) => partNumber === alone.number)!;
    await asPerson(app, 'crew', (act) => releaseRevision(act, { revisionId: own.revisionId }));
    await expect(asPerson(app, 'crew', (act) => releaseRedesign(act, { redesignId: id }))).rejects.toThrow(
      'only the lead releases over them',
    );
    expect(await release(app, id)).toEqual({
      revisions: 1,
      notices: 1,
      oldUnits: 0,
      told: [{ personId: castId.imre, jobId: made.jobId }],
    });
  });

  it('is released once when two press at the same moment', async () => {
    const { app, id } = await underWay();
    for (const { revisionId } of await start(app, id)) await drawn(app, revisionId);
    const sent = await Promise.allSettled([release(app, id), release(app, id)]);
    expect(sent.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected']);
    expect((await kinds(app)).filter((kind) => kind === 'release-redesign')).toHaveLength(1);
    expect((await kinds(app)).filter((kind) => kind === 'release-revision')).toHaveLength(4);
  });

  it('is not released over a draft that was changed or begun since the page was opened', async () => {
    const { app, two, id } = await underWay();
    const begun = await start(app, id);
    for (const { revisionId } of begun) await drawn(app, revisionId);
    const seen = async () =>
      new Map(
        (await app.context.db.read.revision.findMany({ where: { state: 'draft' } })).map((row) => [
          row.id,
          row.version,
        ]),
      );
    const releaseAs = (versions: ReadonlyMap<number, number>) =>
      asPerson(app, 'lead', (act) => releaseRedesign(act, { redesignId: id, versions }));
    const before = await seen();
    await asPerson(app, 'crew', (act) =>
      addCharacteristic(act, { revisionId: begun[1]!.revisionId, label: '', text: '3 ±0.1', isKey: false }),
    );
    await expect(releaseAs(before)).rejects.toThrow(
      `Nothing is released. ${two.number}: Revision B was changed while you were at it`,
    );
    await expect(
      releaseAs(new Map([[begun[0]!.revisionId, before.get(begun[0]!.revisionId)!]])),
    ).rejects.toThrow(`${two.number} B was begun while you were at it`);
    expect(await app.context.db.read.revision.count({ where: { state: 'draft' } })).toBe(2);
    expect(await releaseAs(await seen())).toMatchObject({ revisions: 2 });
  });

  it('cures its problems only when the trial named for it passed', async () => {
    const { app, problemId, id } = await underWay();
    for (const { revisionId } of await start(app, id)) await drawn(app, revisionId);
    await expect(close(app, id)).rejects.toThrow('Release its revisions first');
    await release(app, id);
    await expect(close(app, id)).rejects.toThrow('Name the trial');
    const trialId = await aTrial(app, { redesignId: id });
    await expect(close(app, id)).rejects.toThrow('is not made yet');
    await finish(app, trialId, false);
    await expect(close(app, id)).rejects.toThrow('was not passed');
    expect(await problem(app, problemId)).toMatchObject({ curedAt: null });
    await asPerson(app, 'crew', (act) =>
      correctTrial(act, { trialId, before: [5], after: [3], passed: true, words: 'Read wrongly.' }),
    );
    expect(await close(app, id)).toBe(1);
    expect((await problem(app, problemId)).curedAt).not.toBeNull();
    expect((await kinds(app)).slice(-2)).toEqual(['cure-problem', 'close-redesign']);
    await expect(
      asPerson(app, 'crew', (act) =>
        correctTrial(act, { trialId, before: [], after: [], passed: false, words: 'No.' }),
      ),
    ).rejects.toThrow(`Redesign ${id} was closed on this result`);
    await expect(asPerson(app, 'lead', (act) => takeUpProblem(act, problemId))).rejects.toThrow('cured');
  });

  it('is not cured by a trial made before the release, unless somebody says why it counts', async () => {
    const { app, problemId, id } = await underWay();
    for (const { revisionId } of await start(app, id)) await drawn(app, revisionId);
    const trialId = await aTrial(app, { redesignId: id });
    await finish(app, trialId, true);
    app.passDays(1);
    await release(app, id);
    await expect(close(app, id)).rejects.toThrow('The trial was made before this: say why it counts');
    expect(await problem(app, problemId)).toMatchObject({ curedAt: null });
    expect(
      await asPerson(app, 'crew', (act) =>
        closeRedesign(act, { redesignId: id, reason: 'Tried on a first piece of B.' }),
      ),
    ).toBe(1);
    const row = await app.context.db.read.act.findFirstOrThrow({ where: { kind: 'close-redesign' } });
    expect(JSON.parse(row.after!)).toMatchObject({
      early: true,
      reason: 'Tried on a first piece of B.',
      trialId,
    });
  });

  it('asks for a new trial after another round, and for one made since it was opened where no part changes', async () => {
    const { app, id } = await underWay();
    for (const { revisionId } of await start(app, id)) await drawn(app, revisionId);
    await release(app, id);
    const trialId = await aTrial(app, { redesignId: id });
    await finish(app, trialId, true);
    app.passDays(1);
    for (const { revisionId } of await start(app, id)) await drawn(app, revisionId);
    await expect(close(app, id)).rejects.toThrow('Release its revisions first');
    await release(app, id);
    await expect(close(app, id)).rejects.toThrow('was made before this');
    const bare = await aRedesign(app, { trialId });
    await expect(close(app, bare)).rejects.toThrow('was made before this');
    const fresh = await aTrial(app, { redesignId: bare });
    await finish(app, fresh, true);
    expect(await close(app, bare)).toBe(1);
  });

  it('is not cured by the result that was corrected to a failure, whoever is first', async () => {
    const { app, problemId, id } = await underWay();
    for (const { revisionId } of await start(app, id)) await drawn(app, revisionId);
    await release(app, id);
    const trialId = await aTrial(app, { redesignId: id });
    await finish(app, trialId, true);
    const correct = asPerson(app, 'crew', (act) =>
      correctTrial(act, { trialId, before: [5], after: [6], passed: false, words: 'Read wrongly.' }),
    );
    const sent = await Promise.allSettled([correct, close(app, id)]);
    expect(sent.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected']);
    const { passed } = await app.context.db.read.trial.findUniqueOrThrow({ where: { id: trialId } });
    const { curedAt } = await problem(app, problemId);
    expect(curedAt !== null).toBe(passed);
  });

  it('cures what was merged into its problems through them, and what it let go not', async () => {
    const { app, problemId, id } = await underWay();
    const [double, other] = [await aProblem(app), await aProblem(app)];
    await asPerson(app, 'crew', (act) => mergeProblems(act, { problemId: double, sameAsId: problemId }));
    await asPerson(app, 'crew', (act) =>
      changeRedesign(act, { redesignId: id, title: 'Looser planets', problemIds: [problemId, other] }),
    );
    await asPerson(app, 'lead', (act) => acceptProblem(act, { problemId: other, reason: 'It runs in.' }));
    for (const { revisionId } of await start(app, id)) await drawn(app, revisionId);
    await release(app, id);
    await finish(app, await aTrial(app, { redesignId: id }), true);
    const lead = await app.as('lead');
    expect((await lead.get(`/redesigns/${id}`)).text).toContain('1 problem and 1 merged into it');
    expect(await close(app, id)).toBe(1);
    expect(await problem(app, double)).toMatchObject({ sameAsId: problemId, curedAt: null });
    expect(await problem(app, other)).toMatchObject({ curedAt: null });
    expect((await lead.get(`/redesigns/${id}`)).text).toContain(
      `Cured with them: <a href="/problems/${double}"`,
    );
    // Taken up again it is open, and not cured by a redesign that never gathered it.
    await asPerson(app, 'crew', (act) => takeUpProblem(act, double));
    expect(await problem(app, double)).toMatchObject({ sameAsId: null, curedAt: null });
  });

  it('goes another round after a trial that failed', async () => {
    const { app, one, id } = await underWay();
    for (const { revisionId } of await start(app, id)) await drawn(app, revisionId);
    await release(app, id);
    const change = (partIds: number[]) =>
      asPerson(app, 'crew', async (act) => {
        const { problems } = await act.tx.redesign.findUniqueOrThrow({
          where: { id },
          include: { problems: true },
        });
        return changeRedesign(act, {
          redesignId: id,
          title: 'Looser planets',
          problemIds: problems.map((one_) => one_.id),
          partIds,
        });
      });
    await expect(change([one.partId])).rejects.toThrow('its parts stay');
    expect(await start(app, id, [one.partId])).toMatchObject([{ letter: 'C' }]);
    expect((await redesign(app, id)).releasedAt).toBeNull();
  });

  it('lets its problems go when it is dropped', async () => {
    const { app, problemId, id } = await underWay();
    await asPerson(app, 'lead', (act) => dropRedesign(act, { redesignId: id, reason: 'Too dear.' }));
    expect(await problem(app, problemId)).toMatchObject({ redesignId: null });
    await expect(start(app, id)).rejects.toThrow(`Redesign ${id} is dropped`);
    await expect(close(app, id)).rejects.toThrow('is dropped');
    await aRedesign(app, { problemIds: [problemId] });
  });
});
