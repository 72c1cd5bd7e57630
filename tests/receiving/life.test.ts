import { describe, expect, it } from 'vitest';
import { factsReader, offerJob, quantitiesOf, stageOf } from '../../src/jobs/index.ts';
import { countParcel, postParcel, receiveParcel } from '../../src/receiving/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aClaim, anOfferedJob, asPerson, finished, jobNow } from '../support/jobs.ts';
import { aDeliveredClaim, checked, todayIn } from '../support/receiving.ts';

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

    // The driver's sums of what is committed are those the acts go by.
    const committed = factsReader(app.context.db).one(job.jobId);
    expect(committed && quantitiesOf(committed)).toEqual(sums);

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
