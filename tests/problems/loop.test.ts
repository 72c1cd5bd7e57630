import { describe, expect, it } from 'vitest';
import { createJob } from '../../src/jobs/index.ts';
import {
  acceptProblem,
  changeProblem,
  changeRedesign,
  finishTrial,
  mergeProblems,
  seeProblem,
  takeUpProblem,
} from '../../src/problems/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { aClaim, aFabrication, anOfferedJob, asPerson } from '../support/jobs.ts';
import { aPart } from '../support/parts.ts';
import { aProblem, aRedesign, aTrial } from '../support/problems.ts';

const problem = ({ context }: TestApp, id: number) =>
  context.db.read.problem.findUniqueOrThrow({ where: { id } });

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
      await aProblem(app, { severity: 2 }),
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

describe('a problem in a redesign that is merged', () => {
  it('leaves its place there to the one that stands for both', async () => {
    const app = await startApp();
    const [first, second, third] = [await aProblem(app), await aProblem(app), await aProblem(app)];
    const redesignId = await aRedesign(app, { problemIds: [first] });
    const merge = (problemId: number, sameAsId: number) =>
      asPerson(app, 'crew', (act) => mergeProblems(act, { problemId, sameAsId }));
    await merge(first, second);
    expect(await problem(app, first)).toMatchObject({ redesignId: null, sameAsId: second });
    expect(await problem(app, second)).toMatchObject({ redesignId });
    const row = await app.context.db.read.act.findFirstOrThrow({ where: { kind: 'change-redesign' } });
    expect(JSON.parse(row.before!)).toEqual({ problems: [first] });
    expect(JSON.parse(row.after!)).toEqual({ problems: [second], title: 'Looser planets' });
    // What stands in another redesign stays there.
    const other = await aRedesign(app, { problemIds: [third] });
    await merge(second, third);
    expect(await problem(app, third)).toMatchObject({ redesignId: other });
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
