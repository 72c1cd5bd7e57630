import { describe, expect, it } from 'vitest';
import { changeJob, handBack, offerJob, quantitiesOf, stageOf } from '../../src/jobs/index.ts';
import {
  checkUnits,
  countParcel,
  giveUpShort,
  postParcel,
  receiveParcel,
  writeOffParcel,
} from '../../src/receiving/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aClaim, anOfferedJob, asPerson, finished, jobNow } from '../support/jobs.ts';
import { aDeliveredClaim, aPostedParcel, checked, todayIn } from '../support/receiving.ts';

const parcelOf = (claimId: number, milli: number, sentOn: string) => ({
  fromId: castId.imre,
  lines: [{ claimId, milli }],
  carrier: '',
  tracking: '',
  note: '',
  sentOn,
});

async function stageNow(app: TestApp, jobId: number): Promise<string> {
  return stageOf(await jobNow(app, jobId), true);
}

const logged = (app: TestApp, kind: string) =>
  app.context.db.read.act.findMany({ where: { kind }, orderBy: { id: 'asc' } });

describe('the life of units', () => {
  it('goes from claim to post, short arrival, dispositions of each kind and the jobs that follow', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app, { quantity: 6 });
    const { claimId } = await aClaim(app, { jobId: job.jobId, quantity: 6 });
    expect(await stageNow(app, job.jobId)).toBe('promised');
    await finished(app, { claimId, quantity: 6 });
    const parcelId = await asPerson(app, 'imre', async (act) =>
      postParcel(act, parcelOf(claimId, 6000, await todayIn(app))),
    );
    expect(await stageNow(app, job.jobId)).toBe('in the post');
    const line = await app.context.db.read.parcelItem.findFirstOrThrow({ where: { parcelId } });
    app.passDays(9);
    const arrivedOn = await todayIn(app);
    await asPerson(app, 'crew', (act) =>
      receiveParcel(act, { parcelId, arrivedOn, note: 'corner dented', counts: null }),
    );
    expect(await stageNow(app, job.jobId)).toBe('in the post');
    await asPerson(app, 'crew', (act) =>
      countParcel(act, { parcelId, counts: [{ lineId: line.id, milli: 5000 }], note: '' }),
    );
    // The missing one is finished and with its maker.
    expect(quantitiesOf(await jobNow(app, job.jobId))).toMatchObject({
      made: 1000,
      toInspect: 5000,
      inPost: 0,
    });
    expect(await stageNow(app, job.jobId)).toBe('in work');

    expect(await checked(app, { lineId: line.id, units: [1, 2] })).toBeNull();
    expect(
      await checked(app, {
        lineId: line.id,
        units: [3],
        disposition: 'concession',
        reason: 'scratch, unseen',
      }),
    ).toBeNull();
    const rework = await checked(app, { lineId: line.id, units: [4], disposition: 'rework', reason: 'burr' });
    const replacement = await checked(app, {
      lineId: line.id,
      units: [5],
      disposition: 'scrap',
      reason: 'bent',
    });
    const at = quantitiesOf(await jobNow(app, job.jobId));
    expect(at).toMatchObject({ accepted: 3000, rejected: 2000, toInspect: 0, made: 1000 });
    const reworkJob = await jobNow(app, rework ?? 0);
    expect(reworkJob).toMatchObject({ fromJobId: job.jobId, fromReason: 'rework', milli: 1000 });
    expect(stageOf(reworkJob, true)).toBe('preparing');
    expect(await jobNow(app, replacement ?? 0)).toMatchObject({
      fromJobId: job.jobId,
      fromReason: 'replacement',
      milli: 1000,
    });

    const again = await asPerson(app, 'imre', async (act) =>
      postParcel(act, parcelOf(claimId, 1000, await todayIn(app))),
    );
    expect(await stageNow(app, job.jobId)).toBe('in the post');
    const second = await app.context.db.read.parcelItem.findFirstOrThrow({ where: { parcelId: again } });
    const later = await todayIn(app);
    await asPerson(app, 'lead', (act) =>
      receiveParcel(act, {
        parcelId: again,
        arrivedOn: later,
        note: '',
        counts: [{ lineId: second.id, milli: 1000 }],
      }),
    );
    expect(await stageNow(app, job.jobId)).toBe('to inspect');
    // Six were posted before it: the piece is the seventh that was on its way.
    await checked(app, { lineId: second.id, units: [7] });
    expect(await stageNow(app, job.jobId)).toBe('accepted');
    const sums = quantitiesOf(await jobNow(app, job.jobId));
    expect(sums.accepted + sums.rejected).toBe(sums.total);

    const posted = await logged(app, 'post-parcel');
    expect(
      posted.map(({ jobId, milli, personId, aboutId, thingType, thingId }) => [
        jobId,
        milli,
        personId,
        aboutId,
        thingType,
        thingId,
      ]),
    ).toEqual([
      [job.jobId, 6000, castId.imre, null, 'parcel', parcelId],
      [job.jobId, 1000, castId.imre, null, 'parcel', again],
    ]);
    expect((await logged(app, 'receive-parcel')).map(({ milli, aboutId }) => [milli, aboutId])).toEqual([
      [6000, castId.imre],
      [1000, castId.imre],
    ]);
    expect(
      (await logged(app, 'count-parcel')).map(({ milli, after }) => [milli, JSON.parse(after ?? '{}')]),
    ).toEqual([[5000, { claimId, postedMilli: 6000, shortMilli: 1000 }]]);
    const inspected = (await logged(app, 'inspect-units')).map(({ milli, after }) => ({
      milli,
      ...JSON.parse(after ?? '{}'),
    }));
    expect(inspected[0]).toMatchObject({ milli: 2000, disposition: 'accept', unitNos: [1, 2] });
    expect(inspected[3]).toMatchObject({
      milli: 1000,
      disposition: 'scrap',
      reason: 'bent',
      followJobId: replacement,
    });
  });

  it('brings reworked units back through a parcel of the job that followed', async () => {
    const app = await startApp();
    const { jobId, lineId } = await aDeliveredClaim(app, { quantity: 2 });
    const follow = await checked(app, {
      lineId,
      units: [1],
      disposition: 'return',
      reason: 'thread missing',
    });
    await checked(app, { lineId, units: [2] });
    expect(await stageNow(app, jobId)).toBe('accepted');
    await asPerson(app, 'lead', (act) => offerJob(act, follow ?? 0));
    const { claimId } = await aClaim(app, { jobId: follow ?? 0, quantity: 1 });
    await finished(app, { claimId, quantity: 1 });
    const today = await todayIn(app);
    const parcelId = await asPerson(app, 'imre', (act) => postParcel(act, parcelOf(claimId, 1000, today)));
    const line = await app.context.db.read.parcelItem.findFirstOrThrow({ where: { parcelId } });
    await asPerson(app, 'crew', (act) =>
      receiveParcel(act, {
        parcelId,
        arrivedOn: today,
        note: '',
        counts: [{ lineId: line.id, milli: 1000 }],
      }),
    );
    await checked(app, { lineId: line.id, units: [1] });
    expect(await stageNow(app, follow ?? 0)).toBe('accepted');
  });
});

describe('postParcel', () => {
  it('takes several claims of one maker, and refuses what is not theirs or not finished', async () => {
    const app = await startApp();
    const today = await todayIn(app);
    const one = await aClaim(app, { quantity: 2 });
    const two = await aClaim(app, { quantity: 3 });
    const other = await aClaim(app, { who: 'sunniva', quantity: 1 });
    await finished(app, { claimId: one.claimId, quantity: 2 });
    await finished(app, { claimId: two.claimId, quantity: 1 });
    await finished(app, { who: 'sunniva', claimId: other.claimId, quantity: 1 });
    const post = (
      who: 'imre' | 'sunniva' | 'crew',
      lines: [number, number][],
      fromId: number = castId.imre,
    ) =>
      asPerson(app, who, (act) =>
        postParcel(act, {
          ...parcelOf(0, 0, today),
          fromId,
          lines: lines.map(([claimId, milli]) => ({ claimId, milli })),
        }),
      );
    await expect(post('imre', [[two.claimId, 2000]])).rejects.toThrow('1 piece is finished and not posted');
    await expect(
      post('imre', [
        [one.claimId, 2000],
        [other.claimId, 1000],
      ]),
    ).rejects.toThrow('another maker');
    await expect(post('sunniva', [[one.claimId, 1000]])).rejects.toThrow('only they can post it');
    await expect(
      post('imre', [
        [one.claimId, 1000],
        [one.claimId, 1000],
      ]),
    ).rejects.toThrow('named twice');
    await expect(post('imre', [[one.claimId, 500]])).rejects.toThrow('whole');
    await expect(post('imre', [])).rejects.toThrow('Say how much');
    await expect(post('imre', [[999, 1000]])).rejects.toThrow('no claim 999');
    expect(await app.context.db.read.parcel.count()).toBe(0);
    const parcelId = await post('crew', [
      [one.claimId, 2000],
      [two.claimId, 1000],
    ]);
    const parcel = await app.context.db.read.parcel.findUniqueOrThrow({
      where: { id: parcelId },
      include: { items: true },
    });
    expect(parcel.fromId).toBe(castId.imre);
    expect(parcel.items.map(({ milli }) => milli)).toEqual([2000, 1000]);
    // Written down by somebody else: each line says whose work it is.
    expect((await logged(app, 'post-parcel')).map(({ personId, aboutId }) => [personId, aboutId])).toEqual([
      [castId.crew, castId.imre],
      [castId.crew, castId.imre],
    ]);
  });

  it('keeps the day that is named, and refuses one before the claim or to come', async () => {
    const app = await startApp();
    const { claimId } = await aClaim(app, { quantity: 1 });
    await finished(app, { claimId, quantity: 1 });
    app.passDays(5);
    const post = (sentOn: string) =>
      asPerson(app, 'imre', (act) => postParcel(act, parcelOf(claimId, 1000, sentOn)));
    await expect(post('2026-03-08')).rejects.toThrow('still to come');
    await expect(post('2026-03-01')).rejects.toThrow('cannot have been posted');
    const parcelId = await post('2026-03-04');
    const { sentAt } = await app.context.db.read.parcel.findUniqueOrThrow({ where: { id: parcelId } });
    expect(sentAt.toISOString()).toBe('2026-03-04T12:00:00.000Z');
  });

  it('takes the claim’s own day as no earlier than the claim', async () => {
    const app = await startApp();
    app.setNow('2026-03-02T20:00:00Z');
    const { claimId } = await aClaim(app, { quantity: 1 });
    await finished(app, { claimId, quantity: 1 });
    app.passDays(1);
    await asPerson(app, 'imre', (act) => postParcel(act, parcelOf(claimId, 1000, '2026-03-02')));
    const { sentAt } = await app.context.db.read.parcel.findFirstOrThrow();
    expect(sentAt.toISOString()).toBe('2026-03-02T20:00:00.000Z');
  });
});

describe('countParcel and writeOffParcel', () => {
  it('counts again until the units are inspected, and logs each change', async () => {
    const app = await startApp();
    const { jobId, parcelId, lineId } = await aDeliveredClaim(app, { quantity: 4, counted: 2 });
    const count = (milli: number) =>
      asPerson(app, 'crew', (act) => countParcel(act, { parcelId, counts: [{ lineId, milli }], note: '' }));
    await count(4000);
    expect(quantitiesOf(await jobNow(app, jobId))).toMatchObject({ made: 0, toInspect: 4000 });
    await checked(app, { lineId, units: [1, 2, 3] });
    await expect(count(2000)).rejects.toThrow('inspected already');
    await count(3000);
    await expect(count(5000)).rejects.toThrow('were posted');
    expect((await logged(app, 'count-parcel')).map(({ milli }) => milli)).toEqual([2000, 4000, 3000]);
  });

  it('refuses lines of another parcel, one that has not come, and makers', async () => {
    const app = await startApp();
    const one = await aDeliveredClaim(app);
    const two = await aPostedParcel(app, { who: 'sunniva' });
    const count = (who: 'crew' | 'imre', parcelId: number, lineId: number) =>
      asPerson(app, who, (act) =>
        countParcel(act, { parcelId, counts: [{ lineId, milli: 1000 }], note: '' }),
      );
    await expect(count('crew', one.parcelId, two.lineId)).rejects.toThrow('no such line');
    await expect(count('crew', two.parcelId, two.lineId)).rejects.toThrow('has not come');
    await expect(count('imre', one.parcelId, one.lineId)).rejects.toThrow('lead and the crew');
    await expect(count('crew', 999, one.lineId)).rejects.toThrow('no such parcel');
    const item = await app.context.db.read.parcelItem.findUniqueOrThrow({ where: { id: two.lineId } });
    expect(item.countedMilli).toBeNull();
  });

  it('gives a parcel up for lost; the units go back to the offer, and only the rest can turn up', async () => {
    const app = await startApp();
    const { jobId, claimId, parcelId, lineId } = await aPostedParcel(app, { quantity: 4 });
    const lose = (who: 'lead' | 'crew' | 'sunniva') =>
      asPerson(app, who, (act) => writeOffParcel(act, { parcelId, note: 'Tracking ends in Oslo.' }));
    await expect(lose('crew')).rejects.toThrow('Only the lead');
    await expect(lose('sunniva')).rejects.toThrow('or the maker it is from');
    await lose('lead');
    await expect(lose('lead')).rejects.toThrow('written off already');
    expect(quantitiesOf(await jobNow(app, jobId))).toMatchObject({ made: 4000, inPost: 0 });
    expect(await stageNow(app, jobId)).toBe('in work');
    const giveUp = (who: 'lead' | 'sunniva', milli: number) =>
      asPerson(app, who, (act) => giveUpShort(act, { claimId, milli, words: 'Lost in the post.' }));
    await expect(giveUp('sunniva', 1000)).rejects.toThrow('another maker');
    await expect(giveUp('lead', 5000)).rejects.toThrow('4 pieces are short');
    await giveUp('lead', 3000);
    expect(await stageNow(app, jobId)).toBe('offered');
    expect(quantitiesOf(await jobNow(app, jobId))).toMatchObject({ open: 3000, made: 1000 });

    const today = await todayIn(app);
    const receive = (counts: { lineId: number; milli: number }[] | null) =>
      asPerson(app, 'crew', (act) => receiveParcel(act, { parcelId, arrivedOn: today, note: '', counts }));
    await expect(receive(null)).rejects.toThrow('count it as you take it in');
    await expect(receive([{ lineId, milli: 4000 }])).rejects.toThrow('posted again or handed back');
    await receive([{ lineId, milli: 1000 }]);
    expect(quantitiesOf(await jobNow(app, jobId))).toMatchObject({ open: 3000, made: 0, toInspect: 1000 });
    const parcel = await app.context.db.read.parcel.findUniqueOrThrow({ where: { id: parcelId } });
    expect(parcel.arrivalNote).toBe('Tracking ends in Oslo.');
    expect(parcel.arrivedAt).not.toBeNull();
  });

  it('lets the maker write off what was not sent after all, and post it again', async () => {
    const app = await startApp();
    const { claimId, parcelId, lineId } = await aPostedParcel(app, { quantity: 1 });
    await asPerson(app, 'imre', (act) => writeOffParcel(act, { parcelId, note: '' }));
    const today = await todayIn(app);
    await asPerson(app, 'imre', (act) => postParcel(act, parcelOf(claimId, 1000, today)));
    await expect(
      asPerson(app, 'crew', (act) =>
        receiveParcel(act, { parcelId, arrivedOn: today, note: '', counts: [{ lineId, milli: 1000 }] }),
      ),
    ).rejects.toThrow('posted again or handed back');
    await expect(
      asPerson(app, 'imre', (act) => giveUpShort(act, { claimId, milli: 1000, words: '' })),
    ).rejects.toThrow('Nothing of this claim is short');
    await expect(asPerson(app, 'imre', (act) => handBack(act, { claimId, milli: 1000 }))).rejects.toThrow(
      'finished',
    );
  });
});

describe('checkUnits', () => {
  it('gives one unit one disposition when two inspect it at the same moment', async () => {
    const app = await startApp();
    const { jobId, lineId } = await aDeliveredClaim(app, { quantity: 2 });
    const outcomes = await Promise.allSettled([
      checked(app, { who: 'lead', lineId, units: [1] }),
      checked(app, { who: 'crew', lineId, units: [1], disposition: 'scrap' }),
    ]);
    expect(outcomes.filter(({ status }) => status === 'fulfilled')).toHaveLength(1);
    const [lost] = outcomes.filter((outcome) => outcome.status === 'rejected');
    expect(String(lost?.reason)).toContain('Somebody was quicker: piece 1 is inspected already');
    expect(await app.context.db.read.unitCheck.count()).toBe(1);
    const at = quantitiesOf(await jobNow(app, jobId));
    expect(at.accepted + at.rejected).toBe(1000);
    expect(await app.context.db.read.job.count({ where: { fromJobId: jobId } })).toBe(at.rejected / 1000);
  });

  it('adds rejected units to the job that follows while it is untouched, and opens another afterwards', async () => {
    const app = await startApp();
    const { jobId, lineId } = await aDeliveredClaim(app, { quantity: 5 });
    const first = await checked(app, { lineId, units: [1], disposition: 'rework', reason: 'burr' });
    const second = await checked(app, { lineId, units: [2, 3], disposition: 'return', reason: 'burrs' });
    const scrap = await checked(app, { lineId, units: [4], disposition: 'scrap', reason: 'cracked' });
    expect(second).toBe(first);
    expect(scrap).not.toBe(first);
    const follow = await app.context.db.read.job.findUniqueOrThrow({ where: { id: first ?? 0 } });
    expect(follow).toMatchObject({ milli: 3000, fromJobId: jobId, fromReason: 'rework' });
    expect(follow.note).toContain(`Piece 1 of job ${jobId}`);
    expect(follow.note).toContain(`Pieces 2 and 3 of job ${jobId}`);
    await asPerson(app, 'lead', (act) => offerJob(act, first ?? 0));
    const third = await checked(app, { lineId, units: [5], disposition: 'rework', reason: 'burr' });
    expect(third).not.toBe(first);
    const followers = await app.context.db.read.job.findMany({ where: { fromJobId: jobId } });
    expect(followers.reduce((sum, { milli }) => sum + milli, 0)).toBe(5000);
  });

  it('holds values against the drawing of the claim, and keeps them with who, why and by what', async () => {
    const app = await startApp();
    const { lineId, characteristicIds } = await aDeliveredClaim(app, {
      quantity: 2,
      jobWish: { part: { characteristics: [{ text: '25 H7', label: 'bore', isKey: true }, '40', 'deburr'] } },
    });
    const [bore = 0, length = 0] = characteristicIds;
    const check = (units: number[], disposition: 'accept' | 'concession', values: [number, number][]) =>
      asPerson(app, 'crew', (act) =>
        checkUnits(act, app.context.files, {
          lineId,
          units: { unitNos: units },
          disposition,
          reason: disposition === 'accept' ? '' : 'runs free',
          gauge: 'plug gauge 12',
          values: values.map(([characteristicId, value]) => ({ characteristicId, value })),
        }),
      );
    await expect(check([1], 'accept', [])).rejects.toThrow('is a key dimension');
    await expect(check([1], 'accept', [[bore, 25.03]])).rejects.toThrow('0.009 mm above the upper limit');
    await expect(
      check([1], 'accept', [
        [bore, 25.01],
        [length, 41],
      ]),
    ).rejects.toThrow('above the upper limit');
    await expect(check([1, 2], 'accept', [[bore, 25.01]])).rejects.toThrow('of one unit');
    await expect(check([1], 'concession', [[bore + 1000, 1]])).rejects.toThrow('another drawing');
    expect(await app.context.db.read.unitCheck.count()).toBe(0);
    await check([1], 'accept', [
      [bore, 25.01],
      [length, 40.1],
    ]);
    await check([2], 'concession', [[bore, 25.03]]);
    const rows = await app.context.db.read.unitCheck.findMany({
      include: { values: true },
      orderBy: { id: 'asc' },
    });
    expect(rows[0]?.values.map(({ value }) => value)).toEqual([25.01, 40.1]);
    expect(rows[1]).toMatchObject({
      unitNo: 2,
      milli: 1000,
      disposition: 'concession',
      reason: 'runs free',
      gauge: 'plug gauge 12',
      byId: castId.crew,
    });
  });

  it('is for lead and crew, and only after the count', async () => {
    const app = await startApp();
    const { lineId } = await aPostedParcel(app);
    await expect(checked(app, { lineId, units: [1] })).rejects.toThrow('Count what is in the parcel first');
    await expect(checked(app, { who: 'imre', lineId, units: [1] })).rejects.toThrow('lead and the crew');
    await expect(checked(app, { lineId: 999, units: [1] })).rejects.toThrow('no such line');
  });

  it('keeps adding up whatever the order of dispositions, and never changes a finished job', async () => {
    const app = await startApp();
    const { jobId, lineId } = await aDeliveredClaim(app, { quantity: 3 });
    await checked(app, { lineId, units: [3] });
    await checked(app, { lineId, units: [1], disposition: 'scrap' });
    await expect(checked(app, { lineId, units: [3] })).rejects.toThrow('piece 3 is inspected already');
    await expect(checked(app, { lineId, units: [4] })).rejects.toThrow('not here to be inspected');
    await checked(app, { lineId, units: [2], disposition: 'scrap' });
    const at = quantitiesOf(await jobNow(app, jobId));
    expect(at).toMatchObject({ accepted: 1000, rejected: 2000, toInspect: 0, open: 0 });
    expect(await stageNow(app, jobId)).toBe('accepted');
    await expect(asPerson(app, 'lead', (act) => changeJob(act, jobId, { milli: 1000 }))).rejects.toThrow();
  });
});
