import { describe, expect, it } from 'vitest';
import { releaseRevision } from '../../src/drawings/index.ts';
import { createJob } from '../../src/jobs/index.ts';
import {
  acceptProblem,
  changeProblem,
  changeRedesign,
  closeRedesign,
  correctTrial,
  dropRedesign,
  finishTrial,
  mergeProblems,
  openRedesign,
  releaseRedesign,
  seeProblem,
  startRedesignRevisions,
  takeUpProblem,
} from '../../src/problems/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { aPdf, aReleasedPart } from '../support/drawings.ts';
import { aClaim, aFabrication, anOfferedJob, asPerson } from '../support/jobs.ts';
import { aPart } from '../support/parts.ts';
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

describe('seeProblem', () => {
  it('is about the part of its job where only the job is named', async () => {
    const app = await startApp();
    const { jobId, partId } = await aFabrication(app);
    const id = await aProblem(app, { jobId, severity: 3 });
    expect(await problem(app, id)).toMatchObject({ partId, jobId, severity: 3, seenById: 2 });
    const row = await app.context.db.read.act.findFirstOrThrow({ where: { kind: 'see-problem' } });
    expect(row).toMatchObject({ partId, jobId, thingType: 'problem', thingId: id });
    expect(JSON.parse(row.after!)).toEqual({ title: 'The planet gear binds', severity: 3 });
  });

  it('lets a maker write down what concerns their own work, and nothing else', async () => {
    const app = await startApp();
    const mine = await anOfferedJob(app);
    const { claimId } = await aClaim(app, { who: 'imre', jobId: mine.jobId });
    const other = await anOfferedJob(app);
    await aProblem(app, { who: 'imre', jobId: mine.jobId });
    await aProblem(app, { who: 'imre', partId: mine.partId });
    await expect(aProblem(app, { who: 'imre', partId: other.partId })).rejects.toThrow('You have no work on');
    await expect(aProblem(app, { who: 'imre', jobId: other.jobId })).rejects.toThrow(
      `You have no work on job ${other.jobId}`,
    );
    await expect(aProblem(app, { who: 'imre', jobId: mine.jobId, partId: other.partId })).rejects.toThrow(
      'You have no work on',
    );
    await expect(aProblem(app, { who: 'imre' })).rejects.toThrow('Say which job of yours');
    // Handed back, it is their work no more.
    await app.context.db.write.claim.update({ where: { id: claimId }, data: { backMilli: 4000 } });
    await expect(aProblem(app, { who: 'imre', partId: mine.partId })).rejects.toThrow('You have no work on');
    expect(await app.context.db.read.problem.count()).toBe(2);
  });
});

describe('changeProblem', () => {
  it('tells the second of two editors, and a maker who is not its finder', async () => {
    const app = await startApp();
    const id = await aProblem(app);
    const change = (seen: number, title: string) =>
      asPerson(app, 'lead', (act) =>
        changeProblem(act, app.context.files, { problemId: id, title, severity: 1, seen }),
      );
    await change(0, 'First');
    await expect(change(0, 'Second')).rejects.toThrow('Somebody changed this');
    expect(await problem(app, id)).toMatchObject({ title: 'First', severity: 1 });
    await expect(
      asPerson(app, 'imre', (act) =>
        changeProblem(act, app.context.files, { problemId: id, title: 'x', severity: 1 }),
      ),
    ).rejects.toThrow('Somebody else wrote this problem down');
  });
});

describe('mergeProblems', () => {
  it('lets one stand for both, with the worse severity and for what was merged before', async () => {
    const app = await startApp();
    const [first, second, third] = [
      await aProblem(app, { severity: 1 }),
      await aProblem(app, { severity: 3 }),
      await aProblem(app),
    ];
    await asPerson(app, 'crew', (act) => mergeProblems(act, { problemId: third, sameAsId: second }));
    await asPerson(app, 'crew', (act) => mergeProblems(act, { problemId: second, sameAsId: first }));
    expect(await problem(app, first)).toMatchObject({ severity: 3, sameAsId: null });
    expect(await problem(app, second)).toMatchObject({ sameAsId: first });
    expect(await problem(app, third)).toMatchObject({ sameAsId: first });
    const merge = (problemId: number, sameAsId: number) =>
      asPerson(app, 'lead', (act) => mergeProblems(act, { problemId, sameAsId }));
    await expect(merge(first, first)).rejects.toThrow('not the same as itself');
    await expect(merge(first, third)).rejects.toThrow(`the same as problem ${first}`);
    await expect(merge(first, 999)).rejects.toThrow('There is no problem 999');
    await asPerson(app, 'crew', (act) => takeUpProblem(act, third));
    expect(await problem(app, third)).toMatchObject({ sameAsId: null });
  });
});

describe('acceptProblem', () => {
  it('is for the lead, takes it out of its redesign, and can be taken back', async () => {
    const app = await startApp();
    const id = await aProblem(app);
    const redesignId = await aRedesign(app, { problemIds: [id, await aProblem(app)] });
    const accept = (who: 'lead' | 'crew') =>
      asPerson(app, who, (act) => acceptProblem(act, { problemId: id, reason: 'It runs in.' }));
    await expect(accept('crew')).rejects.toThrow('Only the lead');
    await accept('lead');
    expect(await problem(app, id)).toMatchObject({ redesignId: null, acceptReason: 'It runs in.' });
    await expect(accept('lead')).rejects.toThrow('accepted as it is');
    await expect(
      asPerson(app, 'lead', (act) =>
        changeRedesign(act, { redesignId, title: 'x', problemIds: [id], partIds: [] }),
      ),
    ).rejects.toThrow('accepted as it is: take it up again first');
    await expect(asPerson(app, 'crew', (act) => takeUpProblem(act, id))).rejects.toThrow('only the lead');
    await asPerson(app, 'lead', (act) => takeUpProblem(act, id));
    expect(await problem(app, id)).toMatchObject({ acceptedAt: null, acceptReason: '' });
  });
});

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
    const other = await aRedesign(app, { partIds: [one.partId] });
    const [first] = await start(app, other);
    const begun = await start(app, id, [one.partId]);
    expect(begun).toMatchObject([{ revisionId: first!.revisionId, found: true }]);
    expect((await redesign(app, id)).parts.find(({ partId }) => partId === two.partId)).toMatchObject({
      revisionId: null,
    });
    await expect(start(app, id, [999])).rejects.toThrow('Choose from the parts');
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
    expect(await release(app, id)).toEqual({ revisions: 2, notices: 0, oldUnits: 0 });
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
    expect(await release(app, id)).toEqual({ revisions: 1, notices: 1, oldUnits: 0 });
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

describe('finishTrial', () => {
  it('finishes its job where wished, once, and wants something said', async () => {
    const app = await startApp();
    const part = await aPart(app);
    const jobId = await asPerson(app, 'lead', (act) =>
      createJob(act, { kind: 'trial', title: 'Turn it', partId: part.id, milli: 1000 }),
    );
    const trialId = await aTrial(app, { jobId });
    expect(await app.context.db.read.trial.findUniqueOrThrow({ where: { id: trialId } })).toMatchObject({
      partId: part.id,
    });
    const finish = (words: string) =>
      asPerson(app, 'crew', (act) =>
        finishTrial(act, { trialId, before: [], after: [], passed: true, words, finishJob: true }),
      );
    await expect(finish('')).rejects.toThrow('Paste the values');
    await finish('It turns.');
    await expect(finish('Again.')).rejects.toThrow('made already');
    const job = await app.context.db.read.job.findUniqueOrThrow({ where: { id: jobId } });
    expect(job).toMatchObject({ result: 'Trial Torque at the crank: passed.' });
    expect(job.finishedAt).not.toBeNull();
    const { jobId: made } = await aFabrication(app);
    await expect(aTrial(app, { jobId: made })).rejects.toThrow(`Job ${made} is no trial`);
  });
});

describe('photos', () => {
  it('are six of one problem at most', async () => {
    const app = await startApp();
    const photo = { jpeg: Buffer.from('not looked at here'), width: 4, height: 3 };
    const see = (count: number) =>
      asPerson(app, 'crew', (act) =>
        seeProblem(act, app.context.files, {
          title: 'Cracked',
          severity: 3,
          photos: Array(count).fill(photo),
        }),
      );
    await expect(see(7)).rejects.toThrow('At most 6 photos');
    const id = await see(4);
    const [first] = await app.context.db.read.photo.findMany({ where: { problemId: id } });
    const change = (count: number, withoutPhotoIds: number[] = []) =>
      asPerson(app, 'crew', (act) =>
        changeProblem(act, app.context.files, {
          problemId: id,
          title: 'Cracked',
          severity: 3,
          photos: Array(count).fill(photo),
          withoutPhotoIds,
        }),
      );
    await expect(change(3)).rejects.toThrow('these would be 7');
    await change(3, [first!.id]);
    expect(await app.context.db.read.photo.count({ where: { problemId: id, removedAt: null } })).toBe(6);
  });
});
