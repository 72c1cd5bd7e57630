import { describe, expect, it } from 'vitest';
import { offerJob, quantitiesOf, stageOf } from '../../src/jobs/index.ts';
import { checkUnits } from '../../src/receiving/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { asPerson, jobNow } from '../support/jobs.ts';
import { aDeliveredClaim, aPostedParcel, checked } from '../support/receiving.ts';

const _parcelOf = (claimId: number, milli: number, sentOn: string) => ({
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

const _logged = (app: TestApp, kind: string) =>
  app.context.db.read.act.findMany({ where: { kind }, orderBy: { id: 'asc' } });

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

  it('keeps adding up whatever the order of dispositions', async () => {
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
  });
});
