import { describe, expect, it } from 'vitest';
import { comeToGathering } from '../../src/problems/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { type CastName, castId } from '../support/cast.ts';
import { anotherJob, asPerson } from '../support/jobs.ts';
import { aDecision, aGathering } from '../support/problems.ts';

const come = (app: TestApp, gatheringId: number, who: CastName, over: Record<string, unknown> = {}) =>
  asPerson(app, who, (act) => comeToGathering(act, { gatheringId, personId: castId[who], ...over }));

describe('the agenda page', () => {
  it('says what to do first: for a gathering without people, and for one without work', async () => {
    const app = await startApp();
    const id = await aGathering(app);
    const lead = await app.as('lead');
    const empty = await lead.get(`/gatherings/${id}/agenda`);
    expect(empty.status).toBe(200);
    expect(empty.text).toContain('Nobody comes yet');
    await come(app, id, 'lead');
    const without = await lead.get(`/gatherings/${id}/agenda`);
    expect(without.text).toContain('Nothing to be done there yet');
    const packing = await lead.get(`/gatherings/${id}/packing`);
    expect(packing.text).toContain('Nothing to pack yet');
  });

  it('places kept work and decisions within the hours, and says why', async () => {
    const app = await startApp();
    const id = await aGathering(app);
    await come(app, id, 'lead');
    await come(app, id, 'imre', { skills: 'sweeping', fromOn: '2026-03-15', hours: 3 });
    const jobId = await anotherJob(app, { gatheringId: id, hours: 2 });
    await aDecision(app, { jobId, gatheringId: id });
    const lead = await app.as('lead');
    const { text } = await lead.get(`/gatherings/${id}/agenda`);
    expect(text).toContain('09:00 to 09:30');
    expect(text).toContain('Brass or steel for the moon arm?');
    expect(text).toMatch(/Sweep the shop/);
    expect(text).toContain('2 of 2 items');
  });
});
