import { describe, expect, it } from 'vitest';
import { handBack, quantitiesOf, stageOf } from '../../src/jobs/index.ts';
import {
  countParcel,
  giveUpShort,
  postParcel,
  receiveParcel,
  writeOffParcel,
} from '../../src/receiving/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aClaim, asPerson, finished, jobNow } from '../support/jobs.ts';
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
