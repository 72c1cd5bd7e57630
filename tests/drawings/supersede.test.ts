import { describe, expect, it } from 'vitest';
import { openNotices } from '../../src/drawings/index.ts';
import { claimJob, dropJob, followJob, handBack, offerJob } from '../../src/jobs/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aDraft } from '../support/drawings.ts';
import { aClaim, anOfferedJob, asPerson, finished } from '../support/jobs.ts';
import { asLead } from '../support/parts.ts';

/** A parcel of a claim with so many pieces in it, of which some are counted and some of those accepted. */
function aParcel(
  app: TestApp,
  claimId: number,
  { posted, counted, accepted = 0 }: { posted: number; counted?: number; accepted?: number },
) {
  return asLead(app, async ({ tx, at }) => {
    const { personId } = await tx.claim.findUniqueOrThrow({ where: { id: claimId } });
    const parcel = await tx.parcel.create({
      data: { fromId: personId, sentAt: at, arrivedAt: counted === undefined ? null : at },
    });
    await tx.parcelItem.create({
      data: {
        parcelId: parcel.id,
        claimId,
        milli: posted * 1000,
        countedMilli: counted === undefined ? null : counted * 1000,
        checks: {
          create: Array.from({ length: accepted }, (_, n) => ({
            unitNo: n + 1,
            milli: 1000,
            disposition: 'accept',
            at,
            byId: castId.lead,
          })),
        },
      },
    });
  });
}

const claimNow = (app: TestApp, id: number) => app.context.db.read.claim.findUniqueOrThrow({ where: { id } });
const jobNow = (app: TestApp, id: number) => app.context.db.read.job.findUniqueOrThrow({ where: { id } });
const revisionNow = (app: TestApp, id: number) =>
  app.context.db.read.revision.findUniqueOrThrow({ where: { id } });

async function release(app: TestApp, revisionId: number, who: 'lead' | 'crew' = 'lead') {
  const browser = await app.as(who);
  const { version } = await revisionNow(app, revisionId);
  return browser.post(`/revisions/${revisionId}/release`, { version });
}

describe('releasing B while A is in work', () => {
  it('makes one maker take it up and lets the other finish the old one', async () => {
    const app = await startApp();
    const { db } = app.context;
    const job = await anOfferedJob(app, { quantity: 10 });
    const imre = await aClaim(app, { jobId: job.jobId, quantity: 4 });
    const sunniva = await aClaim(app, { who: 'sunniva', jobId: job.jobId, quantity: 3 });
    const b = await aDraft(app, { partId: job.partId, change: 'The bore is 26.' });

    const byCrew = await release(app, b.revisionId, 'crew');
    expect(byCrew.status).toBe(409);
    expect(byCrew.text).toContain(`2 makers are at work on ${job.number}: only the lead releases over them.`);
    expect((await revisionNow(app, b.revisionId)).state).toBe('draft');

    const done = await release(app, b.revisionId);
    expect(done.status).toBe(303);
    const lead = await app.as('lead');
    expect(await revisionNow(app, b.revisionId)).toMatchObject({ state: 'released' });
    expect(await revisionNow(app, job.revisionId)).toMatchObject({ state: 'superseded' });
    expect(await jobNow(app, job.jobId)).toMatchObject({ revisionId: b.revisionId });
    expect((await claimNow(app, imre.claimId)).revisionId).toBe(job.revisionId);

    const [toImre, toSunniva] = await openNotices(db, { claimIds: [imre.claimId, sunniva.claimId] });
    expect(toImre).toMatchObject({
      claimId: imre.claimId,
      jobId: job.jobId,
      oldLetter: 'A',
      letter: 'B',
      change: 'The bore is 26.',
    });

    const maker = await app.as('imre');
    expect((await (await app.as('farid')).post(`/notices/${toImre?.id}/take-up`)).status).toBe(404);
    expect((await (await app.as('crew')).post(`/notices/${toImre?.id}/take-up`)).status).toBe(404);
    expect((await maker.post(`/notices/${toImre?.id}/finish-old`)).status).toBe(403);
    const taken = await maker.post(`/notices/${toImre?.id}/take-up`);
    expect(taken.headers.location).toBe(`/jobs/${job.jobId}`);
    expect(await claimNow(app, imre.claimId)).toMatchObject({ revisionId: b.revisionId, milli: 4000 });
    const twice = await maker.post(`/notices/${toImre?.id}/take-up`);
    expect(twice.status).toBe(409);
    expect(twice.text).toContain('This is settled already: taken up.');

    expect((await lead.post(`/notices/${toSunniva?.id}/finish-old`)).status).toBe(303);
    expect((await claimNow(app, sunniva.claimId)).revisionId).toBe(job.revisionId);
    expect(await openNotices(db, { claimIds: [imre.claimId, sunniva.claimId] })).toEqual([]);
    const page = await lead.get(`/revisions/${b.revisionId}`);
    expect(page.text).toContain('taken up, 2 Mar 2026, Imre Kovacs');
    expect(page.text).toContain('finish the old, 2 Mar 2026, Ottilie Brandt');
    expect((await maker.get(`/revisions/${b.revisionId}`)).text).not.toContain('Sunniva');
    // The next claim on the job is made to the new drawing.
    const next = await aClaim(app, { who: 'farid', jobId: job.jobId, quantity: 3 });
    expect((await claimNow(app, next.claimId)).revisionId).toBe(b.revisionId);
  });

  it('splits a claim of which some is posted: the rest is made to the new drawing', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app, { quantity: 10 });
    const { claimId } = await aClaim(app, { jobId: job.jobId });
    await finished(app, { claimId, quantity: 7 });
    await aParcel(app, claimId, { posted: 4, counted: 3, accepted: 2 });
    await aParcel(app, claimId, { posted: 1 });
    const b = await aDraft(app, { partId: job.partId });
    await release(app, b.revisionId);
    const [notice] = await openNotices(app.context.db, { claimIds: [claimId] });
    await (await app.as('imre')).post(`/notices/${notice?.id}/take-up`);
    const claims = await app.context.db.read.claim.findMany({ orderBy: { id: 'asc' } });
    // 3 counted and 1 on its way stay; the one that was short and the unfinished ones are with the maker.
    expect(claims).toMatchObject([
      { id: claimId, revisionId: job.revisionId, milli: 4000, doneMilli: 4000 },
      { jobId: job.jobId, personId: castId.imre, revisionId: b.revisionId, milli: 6000, doneMilli: 3000 },
    ]);
  });

  it('makes what is handed back to the new drawing, and lets the lead write down what a maker said', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app, { quantity: 2 });
    const { claimId } = await aClaim(app, { jobId: job.jobId });
    const b = await aDraft(app, { partId: job.partId });
    await release(app, b.revisionId);
    expect((await claimNow(app, claimId)).revisionId).toBe(job.revisionId);
    await asPerson(app, 'imre', (act) => handBack(act, { claimId, milli: 1000 }));
    const next = await aClaim(app, { who: 'farid', jobId: job.jobId, quantity: 1 });
    expect((await claimNow(app, next.claimId)).revisionId).toBe(b.revisionId);
    const [notice] = await openNotices(app.context.db, { claimIds: [claimId, next.claimId] });
    expect((await (await app.as('lead')).post(`/notices/${notice?.id}/take-up`)).status).toBe(303);
    expect(await claimNow(app, claimId)).toMatchObject({
      revisionId: b.revisionId,
      milli: 2000,
      backMilli: 1000,
    });
  });

  it('moves jobs, offered or not, and leaves dropped ones', async () => {
    const app = await startApp();
    const offered = await anOfferedJob(app, { quantity: 2 });
    const [second, dropped] = await asLead(app, async (act) => {
      const follow = () => followJob(act, { fromJobId: offered.jobId, reason: 'replacement', milli: 1000 });
      return [await follow(), await follow()] as const;
    });
    await asLead(app, (act) => dropJob(act, { jobId: dropped, reason: 'not needed' }));
    const b = await aDraft(app, { partId: offered.partId });
    await release(app, b.revisionId);
    expect((await jobNow(app, offered.jobId)).revisionId).toBe(b.revisionId);
    expect((await jobNow(app, second)).revisionId).toBe(b.revisionId);
    expect((await jobNow(app, dropped)).revisionId).toBe(offered.revisionId);
    const moves = await app.context.db.read.act.findMany({ where: { kind: 'move-job-to-revision' } });
    expect(moves.map(({ jobId }) => jobId).sort()).toEqual([offered.jobId, second].sort());
  });

  it('asks nothing more of a maker who hands the claim back', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app, { quantity: 2 });
    const { claimId } = await aClaim(app, { jobId: job.jobId });
    const b = await aDraft(app, { partId: job.partId });
    await release(app, b.revisionId);
    expect(await openNotices(app.context.db, { claimIds: [claimId] })).toHaveLength(1);
    await asPerson(app, 'imre', (act) => handBack(act, { claimId, milli: 2000 }));
    expect(await openNotices(app.context.db, { claimIds: [claimId] })).toEqual([]);
    const page = await (await app.as('lead')).get(`/revisions/${b.revisionId}`);
    expect(page.text).toContain('none, and none is needed: the claim is over');
  });

  it('asks about the newest drawing only, when a third comes before the maker has answered', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app, { quantity: 2 });
    const { claimId } = await aClaim(app, { jobId: job.jobId });
    await release(app, (await aDraft(app, { partId: job.partId })).revisionId);
    const c = await aDraft(app, { partId: job.partId });
    await release(app, c.revisionId);
    const notices = await openNotices(app.context.db, { claimIds: [claimId] });
    expect(notices).toMatchObject([{ oldLetter: 'A', letter: 'C' }]);
    await (await app.as('imre')).post(`/notices/${notices[0]?.id}/take-up`);
    expect((await claimNow(app, claimId)).revisionId).toBe(c.revisionId);
  });
});

describe('accepted units of a superseded drawing', () => {
  async function oldUnits(app: TestApp) {
    const job = await anOfferedJob(app, { quantity: 6 });
    const { claimId } = await aClaim(app, { jobId: job.jobId, quantity: 4 });
    await finished(app, { claimId, quantity: 4 });
    await aParcel(app, claimId, { posted: 4, counted: 4, accepted: 4 });
    const b = await aDraft(app, { partId: job.partId });
    const done = await release(app, b.revisionId);
    expect(done.status).toBe(303);
    const [units] = await app.context.db.read.oldUnits.findMany();
    return { job, claimId, b, units };
  }

  it('are listed without asking the maker, whose claim is done', async () => {
    const app = await startApp();
    const { job, claimId, b, units } = await oldUnits(app);
    expect(units).toMatchObject({ revisionId: job.revisionId, claimId, milli: 4000, decidedAs: null });
    expect((await jobNow(app, job.jobId)).revisionId).toBe(b.revisionId); // two are still to be claimed
    expect(await openNotices(app.context.db, { claimIds: [claimId] })).toEqual([]);
    const crew = await app.as('crew');
    for (const id of [job.revisionId, b.revisionId]) {
      const page = await crew.get(`/revisions/${id}`);
      expect(page.text).toContain('4 pieces');
      expect(page.text).toContain('waits for the lead');
    }
    expect((await crew.post(`/old-units/${units?.id}`, { decision: 'use' })).status).toBe(403);
  });

  it.each([
    ['use', null],
    ['rework', 'rework'],
    ['scrap', 'replacement'],
  ])('%s: the job that follows is %s', async (decision, reason) => {
    const app = await startApp();
    const { job, b, units } = await oldUnits(app);
    const lead = await app.as('lead');
    const wrong = await lead.post(`/old-units/${units?.id}`, { decision: 'sell' });
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('Choose use, rework or scrap.');
    expect((await lead.post(`/old-units/${units?.id}`, { decision })).status).toBe(303);
    const row = await app.context.db.read.oldUnits.findUniqueOrThrow({ where: { id: units?.id ?? 0 } });
    expect(row).toMatchObject({ decidedAs: decision, decidedById: castId.lead });
    const following = await app.context.db.read.job.findMany({ where: { fromJobId: job.jobId } });
    if (reason === null) expect(following).toEqual([]);
    else {
      expect(following).toMatchObject([
        { id: row.followJobId, fromReason: reason, milli: 4000, revisionId: b.revisionId },
      ]);
    }
    const again = await lead.post(`/old-units/${units?.id}`, { decision: 'use' });
    expect(again.status).toBe(409);
    expect(again.text).toContain(`This is decided already: ${decision}.`);
    expect((await lead.post('/old-units/4711', { decision: 'use' })).status).toBe(404);
  });
});

describe('withdrawing', () => {
  it('is refused while makers are at work or a job is on offer, and done once neither holds', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app, { quantity: 2 });
    const lead = await app.as('lead');
    const path = `/revisions/${job.revisionId}/withdraw`;
    const offered = await lead.post(path);
    expect(offered.status).toBe(409);
    expect(offered.text).toContain(`Job ${job.jobId} is on offer to revision A: take the offer back first.`);
    const { claimId } = await aClaim(app, { jobId: job.jobId });
    const claimed = await lead.post(path);
    expect(claimed.status).toBe(409);
    expect(claimed.text).toContain(`Makers are at work on revision A (job ${job.jobId})`);
    await finished(app, { claimId, quantity: 2 });
    await aParcel(app, claimId, { posted: 2, counted: 2, accepted: 2 });
    expect((await lead.post(path)).status).toBe(303);
    expect((await revisionNow(app, job.revisionId)).state).toBe('withdrawn');
    const again = await lead.post(path);
    expect(again.status).toBe(409);
    expect(again.text).toContain('Revision A is withdrawn already.');
    // Nothing can be offered or claimed to it any more.
    await expect(
      asPerson(app, 'farid', (act) =>
        claimJob(act, {
          jobId: job.jobId,
          personId: castId.farid,
          milli: 1000,
          soonestDays: 1,
          likelyDays: 2,
          latestDays: 3,
        }),
      ),
    ).rejects.toThrow();
    await expect(asLead(app, (act) => offerJob(act, job.jobId))).rejects.toThrow();
  });
});
