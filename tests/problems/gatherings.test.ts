import { describe, expect, it } from 'vitest';
import {
  askDecision,
  changeGathering,
  comeToGathering,
  dropDecision,
  dropGathering,
  leaveGathering,
  takeDecision,
} from '../../src/problems/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { type CastName, castId } from '../support/cast.ts';
import { aFabrication, asPerson } from '../support/jobs.ts';
import { aDecision, aGathering } from '../support/problems.ts';

const come = (app: TestApp, gatheringId: number, who: CastName, whom: CastName = who, skills = '') =>
  asPerson(app, who, (act) => comeToGathering(act, { gatheringId, personId: castId[whom], skills }));
const leave = (app: TestApp, gatheringId: number, who: CastName, whom: CastName = who) =>
  asPerson(app, who, (act) => leaveGathering(act, { gatheringId, personId: castId[whom] }));
const coming = ({ context }: TestApp, gatheringId: number) =>
  context.db.read.comer.count({ where: { gatheringId, cancelledAt: null } });
const logText = async ({ context }: TestApp) => JSON.stringify(await context.db.read.act.findMany());

describe('comeToGathering', () => {
  it('is said for oneself, or by the lead for others, and keeps what is personal out of the log', async () => {
    const app = await startApp();
    const id = await aGathering(app);
    await come(app, id, 'imre', 'imre', 'I scrape bearings');
    await expect(come(app, id, 'imre', 'farid')).rejects.toThrow('for yourself only');
    await expect(come(app, id, 'crew', 'farid')).rejects.toThrow('for yourself only');
    await come(app, id, 'lead', 'farid');
    expect(await coming(app, id)).toBe(2);
    const rows = await app.context.db.read.act.findMany({ where: { kind: 'come-to-gathering' } });
    expect(rows.map(({ personId, aboutId }) => [personId, aboutId])).toEqual([
      [castId.imre, null],
      [castId.lead, castId.farid],
    ]);
    expect(await logText(app)).not.toMatch(/dairy|Fjord|scrape/);
    await leave(app, id, 'imre');
    const comer = await app.context.db.read.comer.findFirstOrThrow({ where: { personId: castId.imre } });
    expect(comer.skills).toBe('');
    await expect(leave(app, id, 'imre')).rejects.toThrow('Nobody of this name');
  });

  it('gives no more places than there are; saying it again takes none', async () => {
    const app = await startApp();
    const id = await aGathering(app, { places: 1 });
    await come(app, id, 'imre');
    await come(app, id, 'imre', 'imre', 'welding');
    await expect(come(app, id, 'farid')).rejects.toThrow('All 1 places of Spring fit-up are taken');
    await leave(app, id, 'imre');
    await come(app, id, 'farid');
    await expect(come(app, id, 'imre')).rejects.toThrow('are taken');
    // A closed account frees its place.
    await app.context.db.write.person.update({
      where: { id: castId.farid },
      data: { deactivatedAt: new Date() },
    });
    await come(app, id, 'imre');
    await expect(come(app, id, 'lead', 'farid')).rejects.toThrow('no such person');
  });

  it('gives the last place to exactly one of four at the same moment', async () => {
    const app = await startApp();
    const id = await aGathering(app, { places: 1 });
    const people: CastName[] = ['imre', 'farid', 'sunniva', 'crew'];
    const outcomes = await Promise.allSettled(people.map((who) => come(app, id, who)));
    expect(outcomes.filter(({ status }) => status === 'fulfilled')).toHaveLength(1);
    for (const outcome of outcomes) {
      if (outcome.status === 'rejected') expect(String(outcome.reason)).toContain('are taken');
    }
    expect(await coming(app, id)).toBe(1);
    expect(await app.context.db.read.act.count({ where: { kind: 'come-to-gathering' } })).toBe(1);
  });

  it('is refused when it is over or called off', async () => {
    const app = await startApp();
    const id = await aGathering(app, { untilOn: '2026-03-15' });
    app.setNow('2026-03-15T22:00:00Z'); // the last evening, in the build's zone
    await come(app, id, 'imre');
    app.setNow('2026-03-15T23:30:00Z');
    await expect(come(app, id, 'farid')).rejects.toThrow('is over');
    await expect(leave(app, id, 'imre')).rejects.toThrow('is over');
    const off = await aGathering(app, { fromOn: '2026-05-01', untilOn: '2026-05-02' });
    await asPerson(app, 'crew', (act) => dropGathering(act, { gatheringId: off }));
    await expect(come(app, off, 'imre')).rejects.toThrow('is called off');
    await expect(come(app, 999, 'imre')).rejects.toThrow('There is no gathering 999');
  });
});

describe('planGathering and changeGathering', () => {
  it('want days in order, ahead, and no fewer places than people', async () => {
    const app = await startApp();
    const plan = (fromOn: string, untilOn: string) => aGathering(app, { fromOn, untilOn });
    await expect(plan('2026-03-15', '2026-03-14')).rejects.toThrow('comes before the first');
    await expect(plan('2026-03-01', '2026-03-01')).rejects.toThrow('This day is past');
    await expect(plan('2026-03-15', '2026-06-14')).rejects.toThrow('At most 60 days; these are 92');
    const id = await plan('2026-03-02', '2026-03-02');
    await come(app, id, 'imre');
    await come(app, id, 'farid');
    const change = (places: number, seen?: number) =>
      asPerson(app, 'crew', (act) =>
        changeGathering(act, {
          gatheringId: id,
          title: 'Spring fit-up',
          fromOn: '2026-03-02',
          untilOn: '2026-03-03',
          places,
          place: 'Fjord Road 8',
          seen,
        }),
      );
    await expect(change(1)).rejects.toThrow('2 come already');
    await change(2, 0);
    await expect(change(3, 0)).rejects.toThrow('Somebody changed this');
    expect(await logText(app)).not.toContain('Fjord');
  });
});

describe('a decision', () => {
  it('is asked with a choice, waited for by an open job, and taken once', async () => {
    const app = await startApp();
    const { jobId } = await aFabrication(app);
    await expect(aDecision(app, { options: ['brass', 'brass'] })).rejects.toThrow('One option is no choice');
    await expect(aDecision(app, { jobId: 999 })).rejects.toThrow('There is no job 999');
    await expect(aDecision(app, { gatheringId: 999 })).rejects.toThrow('still ahead');
    const id = await aDecision(app, { jobId });
    const take = () =>
      asPerson(app, 'lead', (act) =>
        takeDecision(act, { decisionId: id, answer: 'brass.', reason: 'It is in the shop.' }),
      );
    await take();
    await expect(take()).rejects.toThrow('decided already');
    const row = await app.context.db.read.act.findFirstOrThrow({ where: { kind: 'take-decision' } });
    expect(JSON.parse(row.after!)).toMatchObject({
      question: 'Brass or steel for the moon arm?',
      answer: 'brass',
    });
  });

  it('is not kept for a gathering that is over or off, and not taken when dropped', async () => {
    const app = await startApp();
    const gatheringId = await aGathering(app);
    const id = await aDecision(app, { gatheringId });
    await asPerson(app, 'lead', (act) => dropDecision(act, { decisionId: id }));
    await expect(
      asPerson(app, 'lead', (act) => takeDecision(act, { decisionId: id, answer: 'steel' })),
    ).rejects.toThrow('was dropped');
    app.passDays(30);
    await expect(
      asPerson(app, 'lead', (act) => askDecision(act, { question: 'Where?', options: [], gatheringId })),
    ).rejects.toThrow('still ahead');
  });
});
