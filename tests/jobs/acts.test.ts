import { describe, expect, it } from 'vitest';
import {
  askQuery,
  changeJob,
  claimJob,
  correctReport,
  createJob,
  dropJob,
  factsReader,
  finishJob,
  followJob,
  handBack,
  holdJob,
  linkJobs,
  type NewClaim,
  offerJob,
  orderPurchase,
  quantitiesOf,
  receivePurchase,
  renewPromise,
  reportWork,
  resumeJob,
  stageOf,
  startJob,
  startWork,
  unlinkJobs,
  withdrawOffer,
} from '../../src/jobs/index.ts';
import { Refused, WrongField } from '../../src/platform/refusal.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aDraft } from '../support/drawings.ts';
import {
  aClaim,
  aFabrication,
  anOfferedJob,
  anotherJob,
  asPerson,
  finished,
  jobNow,
} from '../support/jobs.ts';
import { anAssembly, aPart } from '../support/parts.ts';

const PROMISE = { soonestDays: 5, likelyDays: 10, latestDays: 20 };

async function refusal(work: Promise<unknown>): Promise<string> {
  try {
    await work;
  } catch (fault) {
    if (fault instanceof Refused) return fault.refusal.code;
    if (fault instanceof WrongField) return `field ${fault.field}`;
    throw fault;
  }
  return 'done';
}

async function logged(app: TestApp, jobId: number): Promise<string[]> {
  const rows = await app.context.db.read.act.findMany({ where: { jobId }, orderBy: { id: 'asc' } });
  return rows.map(({ kind }) => kind);
}

const claimAs = (app: TestApp, who: 'imre' | 'sunniva' | 'farid', claim: Omit<NewClaim, 'personId'>) =>
  asPerson(app, who, (act) => claimJob(act, { personId: castId[who], ...claim }));

describe('createJob', () => {
  it('takes the released revision, or the draft where none is released', async () => {
    const app = await startApp();
    const { jobId, revisionId } = await aFabrication(app, { quantity: 3 });
    expect(await jobNow(app, jobId)).toMatchObject({ revisionId, milli: 3000, kind: 'fabricate' });
    const draft = await aDraft(app);
    const fromDraft = await asPerson(app, 'crew', (act) =>
      createJob(act, { kind: 'fabricate', title: '', partId: draft.partId, milli: 1000 }),
    );
    expect((await jobNow(app, fromDraft)).revisionId).toBe(draft.revisionId);
    expect(stageOf(await jobNow(app, fromDraft), true)).toBe('preparing');
    expect(await logged(app, jobId)).toEqual(['create-job']);
  });

  it('refuses a part of another kind, none, one without a revision, halves of pieces, unknown people', async () => {
    const app = await startApp();
    const bought = await aPart(app, { kind: 'bought' });
    const bare = await aPart(app);
    const make = (job: object) =>
      refusal(
        asPerson(app, 'lead', (act) =>
          createJob(act, { kind: 'other', title: 'x', partId: null, milli: 1000, ...job }),
        ),
      );
    expect(await make({ kind: 'fabricate', partId: bought.id })).toBe('field part');
    expect(await make({ kind: 'fabricate' })).toBe('field part');
    expect(await make({ kind: 'fabricate', partId: bare.id })).toBe('field part');
    expect(await make({ kind: 'fit-up', partId: bare.id })).toBe('field part');
    expect(await make({ kind: 'purchase', partId: bare.id })).toBe('field part');
    expect(await make({ partId: 999 })).toBe('field part');
    expect(await make({ title: ' ' })).toBe('field title');
    expect(await make({ kind: 'purchase', partId: bought.id, milli: 1500 })).toBe('field quantity');
    expect(await make({ milli: 2000 })).toBe('field quantity');
    expect(await make({ personId: 99 })).toBe('field personId');
    expect(await make({ gatheringId: 99 })).toBe('field gatheringId');
    expect(await app.context.db.read.job.count()).toBe(0);
    expect(await make({ kind: 'purchase', partId: bought.id, milli: 7000 })).toBe('done');
  });
});

describe('changeJob', () => {
  it('changes what it is given, logs before and after, and keeps what is claimed', async () => {
    const app = await startApp();
    const { jobId } = await aClaim(app, { quantity: 4 });
    await asPerson(app, 'crew', (act) => changeJob(act, jobId, { milli: 6000, note: 'two spare' }));
    expect(await jobNow(app, jobId)).toMatchObject({ milli: 6000 });
    const row = await app.context.db.read.act.findFirstOrThrow({ where: { kind: 'change-job' } });
    expect(JSON.parse(row.before ?? '')).toEqual({ milli: 4000, note: '' });
    expect(JSON.parse(row.after ?? '')).toEqual({ milli: 6000, note: 'two spare' });
    expect(await refusal(asPerson(app, 'lead', (act) => changeJob(act, jobId, { milli: 3000 })))).toBe(
      'claimed',
    );
    expect(await refusal(asPerson(app, 'lead', (act) => changeJob(act, jobId, { title: '' })))).toBe(
      'field title',
    );
    await asPerson(app, 'lead', (act) => dropJob(act, { jobId, reason: '' }));
    expect(await refusal(asPerson(app, 'lead', (act) => changeJob(act, jobId, { note: 'x' })))).toBe(
      'job-dropped',
    );
  });
});

describe('offerJob and withdrawOffer', () => {
  it('offers a released revision once, and takes it back while nothing is claimed', async () => {
    const app = await startApp();
    const { jobId } = await aFabrication(app);
    const offer = () => refusal(asPerson(app, 'crew', (act) => offerJob(act, jobId)));
    const withdraw = () => refusal(asPerson(app, 'crew', (act) => withdrawOffer(act, jobId)));
    expect(await withdraw()).toBe('not-offered');
    expect(await offer()).toBe('done');
    expect(await offer()).toBe('already-offered');
    expect(await withdraw()).toBe('done');
    expect(await offer()).toBe('done');
    await claimAs(app, 'imre', { jobId, milli: 1000, ...PROMISE });
    expect(await withdraw()).toBe('claimed');
    expect(stageOf(await jobNow(app, jobId), true)).toBe('offered');
  });

  it('takes an offer back after all of it was handed back', async () => {
    const app = await startApp();
    const { jobId, claimId } = await aClaim(app);
    await asPerson(app, 'imre', (act) => handBack(act, { claimId, milli: 4000 }));
    expect(await refusal(asPerson(app, 'lead', (act) => withdrawOffer(act, jobId)))).toBe('done');
  });

  it('refuses a draft, another kind, a job on hold', async () => {
    const app = await startApp();
    const { partId } = await aDraft(app);
    const drafted = await anotherJob(app, { kind: 'fabricate', partId });
    const offer = (jobId: number) => refusal(asPerson(app, 'lead', (act) => offerJob(act, jobId)));
    expect(await offer(drafted)).toBe('not-released');
    expect(await offer(await anotherJob(app))).toBe('not-offerable');
    const { jobId } = await aFabrication(app);
    await asPerson(app, 'lead', (act) => holdJob(act, { jobId, reason: '' }));
    expect(await offer(jobId)).toBe('job-on-hold');
    await asPerson(app, 'lead', (act) => resumeJob(act, jobId));
    expect(await offer(jobId)).toBe('done');
  });
});

describe('claimJob', () => {
  it('takes open quantity, twice by the same maker if there is more, and never above the job', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, { quantity: 5 });
    await claimAs(app, 'imre', { jobId, milli: 2000, ...PROMISE });
    await claimAs(app, 'imre', { jobId, milli: 1000, ...PROMISE });
    const late = () => refusal(claimAs(app, 'sunniva', { jobId, milli: 3000, ...PROMISE }));
    expect(await late()).toBe('quantity-taken');
    await claimAs(app, 'sunniva', { jobId, milli: 2000, ...PROMISE });
    expect(await refusal(claimAs(app, 'farid', { jobId, milli: 1000, ...PROMISE }))).toBe('quantity-taken');
    const job = await jobNow(app, jobId);
    expect(job.claims.map(({ milli }) => milli)).toEqual([2000, 1000, 2000]);
    expect(stageOf(job, true)).toBe('promised');
  });

  it('lets exactly one of three people have the last unit when they ask at once', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, { quantity: 1 });
    for (let round = 0; round < 3; round += 1) {
      const people = ['imre', 'sunniva', 'farid'] as const;
      const answers = await Promise.all(
        people.map((who) => refusal(claimAs(app, who, { jobId, milli: 1000, ...PROMISE }))),
      );
      expect(answers.toSorted()).toEqual(['done', 'quantity-taken', 'quantity-taken']);
      const { claims } = await jobNow(app, jobId);
      const won = claims.filter(({ milli, backMilli }) => milli > backMilli);
      expect(won).toHaveLength(1);
      await asPerson(app, 'lead', (act) => handBack(act, { claimId: won[0]!.id, milli: 1000 }));
    }
  });

  it('refuses another person, an odd promise, a job on hold, dropped, not offered or superseded', async () => {
    const app = await startApp();
    const { jobId, revisionId } = await anOfferedJob(app);
    const claim = (more: Partial<NewClaim>) =>
      refusal(
        asPerson(app, 'imre', (act) =>
          claimJob(act, { jobId, personId: castId.imre, milli: 1000, ...PROMISE, ...more }),
        ),
      );
    expect(await claim({ personId: castId.sunniva })).toBe('not-your-claim');
    expect(await claim({ likelyDays: 4 })).toBe('promise-out-of-order');
    expect(await claim({ latestDays: 731 })).toBe('promise-out-of-range');
    expect(await claim({ soonestDays: -1 })).toBe('promise-out-of-range');
    expect(await claim({ soonestDays: 0.5 })).toBe('promise-out-of-range');
    expect(await claim({ milli: 0 })).toBe('no-quantity');
    await asPerson(app, 'lead', (act) => holdJob(act, { jobId, reason: 'the boiler' }));
    expect(await claim({})).toBe('job-on-hold');
    await asPerson(app, 'lead', (act) => resumeJob(act, jobId));
    await app.context.db.write.revision.update({ where: { id: revisionId }, data: { state: 'withdrawn' } });
    expect(await claim({})).toBe('not-released');
    await asPerson(app, 'lead', (act) => withdrawOffer(act, jobId));
    expect(await claim({})).toBe('not-offered');
    await asPerson(app, 'lead', (act) => dropJob(act, { jobId, reason: '' }));
    expect(await claim({})).toBe('job-dropped');
    expect((await jobNow(app, jobId)).claims).toEqual([]);
  });

  it('by the lead for a maker concerns that maker', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app);
    await asPerson(app, 'lead', (act) =>
      claimJob(act, { jobId, personId: castId.farid, milli: 4000, ...PROMISE }),
    );
    const row = await app.context.db.read.act.findFirstOrThrow({ where: { kind: 'claim-job' } });
    expect(row).toMatchObject({ personId: castId.lead, aboutId: castId.farid, milli: 4000 });
    expect(
      await refusal(
        asPerson(app, 'lead', (act) => claimJob(act, { jobId, personId: 99, milli: 1000, ...PROMISE })),
      ),
    ).toBe('quantity-taken');
  });
});

describe('handBack, renewPromise and reports', () => {
  it('hands back only what is unfinished, keeps the claim, and ends it when nothing is left', async () => {
    const app = await startApp();
    const { jobId, claimId } = await aClaim(app);
    await finished(app, { claimId, quantity: 1 });
    const back = (milli: number, who: 'imre' | 'farid' = 'imre') =>
      refusal(asPerson(app, who, (act) => handBack(act, { claimId, milli, words: 'No time.' })));
    expect(await back(1000, 'farid')).toBe('not-your-claim');
    expect(await back(4000)).toBe('more-than-unfinished');
    expect(await back(3000)).toBe('done');
    expect(await back(1000)).toBe('nothing-unfinished');
    const { claims } = await jobNow(app, jobId);
    expect(claims[0]).toMatchObject({ milli: 4000, backMilli: 3000, doneMilli: 1000 });
    expect(quantitiesOf(await jobNow(app, jobId))).toMatchObject({ open: 3000, made: 1000 });
    const row = await app.context.db.read.claim.findUniqueOrThrow({ where: { id: claimId } });
    expect(row.endedAt).toBeNull();
    const whole = await aClaim(app, { who: 'farid', jobId, quantity: 2 });
    await asPerson(app, 'lead', (act) => handBack(act, { claimId: whole.claimId, milli: 2000 }));
    const ended = await app.context.db.read.claim.findUniqueOrThrow({ where: { id: whole.claimId } });
    expect(ended.endedAt).toEqual(app.context.clock.now());
    expect(await app.context.db.read.report.findMany({ where: { words: 'No time.' } })).toHaveLength(1);
  });

  it('a renewed promise counts from today, is kept in days from the claim, and leaves the former in the log', async () => {
    const app = await startApp();
    const { claimId, jobId } = await aClaim(app);
    app.passDays(8);
    await asPerson(app, 'imre', (act) => renewPromise(act, { claimId, ...PROMISE }));
    const { claims } = await jobNow(app, jobId);
    expect(claims[0]).toMatchObject({ soonestDays: 13, likelyDays: 18, latestDays: 28 });
    expect(claims[0]?.lastWordAt).toBe(app.context.clock.now().toISOString());
    const row = await app.context.db.read.act.findFirstOrThrow({ where: { kind: 'renew-promise' } });
    expect(JSON.parse(row.before ?? '')).toEqual({ soonestDays: 10, likelyDays: 20, latestDays: 30 });
    const renew = (who: 'sunniva' | 'imre', days: object) =>
      refusal(asPerson(app, who, (act) => renewPromise(act, { claimId, ...PROMISE, ...days })));
    expect(await renew('sunniva', {})).toBe('not-your-claim');
    expect(await renew('imre', { latestDays: 9 })).toBe('promise-out-of-order');
    await asPerson(app, 'imre', (act) => handBack(act, { claimId, milli: 4000 }));
    expect(await renew('imre', {})).toBe('all-posted');
  });

  it('reports never exceed the claim, begin the work, and can be corrected before posting', async () => {
    const app = await startApp();
    const { claimId, jobId } = await aClaim(app);
    const report = (more: object) =>
      refusal(
        asPerson(app, 'imre', (act) =>
          reportWork(act, app.context.files, { claimId, milli: 0, words: '', hours: null, ...more }),
        ),
      );
    expect(await report({})).toBe('field words');
    expect(await report({ words: 'Stock ordered.' })).toBe('done');
    expect(stageOf(await jobNow(app, jobId), true)).toBe('promised');
    expect(await report({ hours: 2 })).toBe('done');
    expect(stageOf(await jobNow(app, jobId), true)).toBe('in work');
    expect(await report({ milli: 5000 })).toBe('more-than-claimed');
    expect(await report({ milli: 3000 })).toBe('done');
    expect(await report({ milli: 2000 })).toBe('more-than-claimed');
    const correct = (milli: number) =>
      refusal(asPerson(app, 'imre', (act) => correctReport(act, { claimId, milli, words: 'One cracked.' })));
    expect(await correct(4000)).toBe('more-than-made');
    expect(await correct(1000)).toBe('done');
    expect(quantitiesOf(await jobNow(app, jobId))).toMatchObject({ made: 2000, inWork: 2000 });
    const reports = await app.context.db.read.report.findMany({ where: { claimId } });
    expect(reports.reduce((sum, { doneMilli }) => sum + doneMilli, 0)).toBe(2000);
    expect(await refusal(asPerson(app, 'imre', (act) => startWork(act, claimId)))).toBe('already-begun');
  });
});

describe('holdJob, dropJob', () => {
  it('dropping ends open claims, keeps what was made, and tells each maker in the log', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, { quantity: 5 });
    const imre = await aClaim(app, { jobId, quantity: 3 });
    await aClaim(app, { who: 'farid', jobId, quantity: 1 });
    await finished(app, { claimId: imre.claimId, quantity: 1 });
    await asPerson(app, 'lead', (act) => dropJob(act, { jobId, reason: 'Not needed.' }));
    const job = await jobNow(app, jobId);
    expect(stageOf(job, true)).toBe('dropped');
    expect(quantitiesOf(job)).toMatchObject({ open: 4000, made: 1000, inWork: 0, promised: 0 });
    const told = await app.context.db.read.act.findMany({ where: { jobId, kind: 'end-claim' } });
    expect(told.map(({ aboutId, milli }) => [aboutId, milli])).toEqual([
      [castId.imre, 2000],
      [castId.farid, 1000],
    ]);
    expect(await refusal(asPerson(app, 'lead', (act) => dropJob(act, { jobId, reason: '' })))).toBe(
      'job-dropped',
    );
    expect(
      await refusal(
        asPerson(app, 'imre', (act) =>
          reportWork(act, app.context.files, { claimId: imre.claimId, milli: 0, words: 'x', hours: null }),
        ),
      ),
    ).toBe('job-dropped');
  });

  it('is refused while units are on their way', async () => {
    const app = await startApp();
    const { jobId, claimId } = await aClaim(app);
    await finished(app, { claimId, quantity: 2 });
    const { write } = app.context.db;
    await write.parcel.create({
      data: {
        fromId: castId.imre,
        sentAt: app.context.clock.now(),
        items: { create: { claimId, milli: 1000 } },
      },
    });
    expect(await refusal(asPerson(app, 'lead', (act) => dropJob(act, { jobId, reason: '' })))).toBe(
      'units-under-way',
    );
    expect((await jobNow(app, jobId)).droppedAt).toBeNull();
  });
});

describe('other kinds', () => {
  it('are begun and finished by the shop or the person named, with a result', async () => {
    const app = await startApp();
    const jobId = await anotherJob(app, { personId: castId.imre });
    expect(await refusal(asPerson(app, 'farid', (act) => startJob(act, jobId)))).toBe('not-your-job');
    await asPerson(app, 'imre', (act) => startJob(act, jobId));
    expect(await refusal(asPerson(app, 'imre', (act) => startJob(act, jobId)))).toBe('already-begun');
    expect(stageOf(await jobNow(app, jobId), true)).toBe('in work');
    const finish = { jobId, result: 'Clean.', ready: true, atBench: false };
    await asPerson(app, 'crew', (act) => finishJob(act, finish));
    expect(stageOf(await jobNow(app, jobId), true)).toBe('finished');
    expect(await refusal(asPerson(app, 'crew', (act) => finishJob(act, finish)))).toBe('job-over');
    const { jobId: made } = await aFabrication(app);
    expect(await refusal(asPerson(app, 'lead', (act) => startJob(act, made)))).toBe('other-kind');
  });

  it('a fit-up whose parts are missing is finished only by who has them at the bench', async () => {
    const app = await startApp();
    const { id } = await anAssembly(app, { children: [{}] });
    const jobId = await anotherJob(app, { kind: 'fit-up', partId: id });
    const finish = (atBench: boolean) =>
      refusal(asPerson(app, 'crew', (act) => finishJob(act, { jobId, result: '', ready: false, atBench })));
    expect(await finish(false)).toBe('children-missing');
    expect(await finish(true)).toBe('done');
  });

  it('a purchase is ordered, named for another day, arrives in parts and fills the shelf', async () => {
    const app = await startApp();
    const { id } = await aPart(app, { kind: 'bought' });
    const jobId = await anotherJob(app, { kind: 'purchase', partId: id, milli: 10_000 });
    const order = (promisedOn: string | null) =>
      refusal(
        asPerson(app, 'crew', (act) => orderPurchase(act, { jobId, supplier: 'Nut & Co', promisedOn })),
      );
    expect(await order('2026-03-01')).toBe('day-past');
    expect(await order('2026-03-20')).toBe('done');
    expect(await order('2026-04-20')).toBe('done');
    expect(await jobNow(app, jobId)).toMatchObject({ promisedOn: '2026-04-20' });
    const arrive = (milli: number, noMore = false) =>
      refusal(asPerson(app, 'crew', (act) => receivePurchase(act, { jobId, milli, noMore })));
    const shelf = async () =>
      (await app.context.db.read.part.findUniqueOrThrow({ where: { id } })).shelfMilli;
    expect(await arrive(0)).toBe('field quantity');
    expect(await arrive(0, true)).toBe('field noMore');
    expect(await arrive(6000)).toBe('done');
    expect(await shelf()).toBe(6000);
    expect(await jobNow(app, jobId)).toMatchObject({ milli: 4000, finishedAt: null });
    expect(await arrive(5000)).toBe('done');
    expect(await shelf()).toBe(11_000);
    const job = await jobNow(app, jobId);
    expect(job.milli).toBe(11_000);
    expect(stageOf(job, true)).toBe('finished');
    expect(await arrive(1000)).toBe('job-over');
  });

  it('ends a purchase short when nothing more will come', async () => {
    const app = await startApp();
    const { id } = await aPart(app, { kind: 'stock', unit: 'm' });
    const jobId = await anotherJob(app, { kind: 'purchase', partId: id, milli: 3500 });
    await asPerson(app, 'lead', (act) => receivePurchase(act, { jobId, milli: 2500, noMore: true }));
    expect(await jobNow(app, jobId)).toMatchObject({ milli: 2500 });
    expect((await jobNow(app, jobId)).finishedAt).not.toBeNull();
  });
});

describe('followJob', () => {
  it('makes a rework to the same drawing and a replacement to the newest released one, unoffered', async () => {
    const app = await startApp();
    const first = await anOfferedJob(app, { quantity: 4, title: 'Idler' });
    const rework = await asPerson(app, 'crew', (act) =>
      followJob(act, { fromJobId: first.jobId, reason: 'rework', milli: 1000 }),
    );
    expect(await jobNow(app, rework)).toMatchObject({
      kind: 'fabricate',
      title: 'Rework: Idler',
      fromJobId: first.jobId,
      fromReason: 'rework',
      revisionId: first.revisionId,
      milli: 1000,
      offeredAt: null,
      strangers: false,
    });
    const again = await asPerson(app, 'crew', (act) =>
      followJob(act, { fromJobId: rework, reason: 'replacement', milli: 1000 }),
    );
    expect(await jobNow(app, again)).toMatchObject({ title: 'Replace: Idler', fromJobId: rework });
    const follow = (fromJobId: number, milli: number) =>
      refusal(asPerson(app, 'crew', (act) => followJob(act, { fromJobId, reason: 'rework', milli })));
    expect(await follow(first.jobId, 5000)).toBe('more-than-job');
  });
});

describe('linkJobs', () => {
  it('refuses a loop with the job numbers, also one through the structure', async () => {
    const app = await startApp();
    const [a, b, c] = [await anotherJob(app), await anotherJob(app), await anotherJob(app)];
    const link = (fromId: number, toId: number, type: 'FS' | 'SS' = 'FS') =>
      refusal(asPerson(app, 'crew', (act) => linkJobs(act, { fromId, toId, type, lag: 0 })));
    expect(await link(a, b)).toBe('done');
    expect(await link(a, b)).toBe('already-linked');
    expect(await link(a, b, 'SS')).toBe('done');
    expect(await link(b, c)).toBe('done');
    expect(await link(a, a)).toBe('field other');
    expect(await link(a, 99)).toBe('field other');
    await expect(
      asPerson(app, 'crew', (act) => linkJobs(act, { fromId: c, toId: a, type: 'SS', lag: 0 })),
    ).rejects.toThrow(`job ${a} before ${b} before ${c} before ${a}`);
    const { id, childIds } = await anAssembly(app, { children: [{ kind: 'bought' }] });
    const fitUp = await anotherJob(app, { kind: 'fit-up', partId: id });
    const bought = await anotherJob(app, { kind: 'purchase', partId: childIds[0]! });
    expect(await link(fitUp, bought)).toBe('loop');
    const { id: linkId } = await app.context.db.read.jobLink.findFirstOrThrow({ where: { fromId: b } });
    await asPerson(app, 'crew', (act) => unlinkJobs(act, linkId));
    expect(await link(c, a)).toBe('done');
  });
});

describe('factsReader and readJob', () => {
  it('reads once for all who ask, and again after an act', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, { quantity: 9 });
    const { db } = app.context;
    const before = factsReader(db).all();
    expect(factsReader(db).all()).toBe(before);
    await aClaim(app, { jobId, quantity: 5 });
    const after = factsReader(db).all();
    expect(after[0]?.claims.map(({ milli }) => milli)).toEqual([5000]);
    expect(before[0]?.claims).toEqual([]);
    const other = await startApp();
    expect(factsReader(other.context.db).all()).toEqual([]);
  });

  it('tell the same facts of every job', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, { quantity: 9 });
    const one = await aClaim(app, { jobId, quantity: 5 });
    const two = await aClaim(app, { who: 'farid', jobId, quantity: 3 });
    app.passDays(2);
    await finished(app, { claimId: one.claimId, quantity: 4 });
    app.passDays(1);
    await asPerson(app, 'farid', (act) => askQuery(act, { jobId, question: 'Which way up?' }));
    app.passDays(1);
    await asPerson(app, 'imre', (act) => renewPromise(act, { claimId: one.claimId, ...PROMISE }));
    await asPerson(app, 'farid', (act) => startWork(act, two.claimId));
    const { write } = app.context.db;
    const at = app.context.clock.now();
    const counted = { milli: 2000, countedMilli: 1000, claimId: one.claimId };
    const parcel = await write.parcel.create({
      data: { fromId: castId.imre, sentAt: at, arrivedAt: at, items: { create: counted } },
      include: { items: true },
    });
    const check = { itemId: parcel.items[0]!.id, milli: 1000, at, byId: castId.lead };
    await write.unitCheck.create({ data: { ...check, unitNo: 1, disposition: 'concession' } });
    await anotherJob(app, { kind: 'trial', title: 'Run it', wantedOn: '2026-05-01' });
    const iso = (value: unknown) =>
      typeof value === 'string' && /^\d{4}-\d\d-\d\dT/.test(value) ? new Date(value).toISOString() : value;
    const plain = (value: unknown) => JSON.parse(JSON.stringify(value, (_key, inner) => iso(inner)));
    const hot = factsReader(app.context.db);
    const all = hot.all();
    expect(all).toHaveLength(2);
    for (const facts of all) {
      expect(plain(facts)).toEqual(plain(await jobNow(app, facts.id)));
      expect(plain(hot.one(facts.id))).toEqual(plain(facts));
    }
    expect(quantitiesOf(all[0]!)).toEqual({
      total: 9000,
      open: 1000,
      promised: 0,
      inWork: 4000,
      made: 3000,
      inPost: 0,
      toInspect: 0,
      accepted: 1000,
      rejected: 0,
    });
  });
});
