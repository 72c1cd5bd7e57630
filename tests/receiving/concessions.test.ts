import { describe, expect, it } from 'vitest';
import { startApp } from '../support/app.ts';
import { aDeliveredClaim, checked } from '../support/receiving.ts';

describe('a concession', () => {
  it('shows who and why on the job, the part and the unit, to the shop, and to its maker on the job', async () => {
    const app = await startApp();
    const { lineId, jobId, partId } = await aDeliveredClaim(app, { quantity: 2 });
    const reason = 'Bore 0.01 over: <em>runs free</em>, stays.';
    const { number } = await app.context.db.read.part.findUniqueOrThrow({ where: { id: partId } });
    const crew = await app.as('crew');
    expect((await crew.get(`/parts/${number}`)).text).not.toContain('id="concessions"');
    await checked(app, { lineId, units: [1], disposition: 'concession', reason });
    await checked(app, { lineId, units: [2], disposition: 'scrap', reason: 'not a concession' });
    const { id } = await app.context.db.read.unitCheck.findFirstOrThrow({ where: { unitNo: 1 } });
    const part = (await crew.get(`/parts/${number}`)).text;
    for (const text of [
      part,
      (await crew.get(`/jobs/${jobId}`)).text,
      (await crew.get(`/receiving/checks/${id}`)).text,
    ]) {
      expect(text).toContain('Bore 0.01 over: &lt;em&gt;runs free&lt;/em&gt;, stays.');
      expect(text).toContain('Tor Eide');
    }
    const section = part.slice(part.indexOf('id="concessions"'));
    expect(section).toContain(`href="/receiving/checks/${id}"`);
    expect(section.slice(0, section.indexOf('<h2', 5))).not.toContain('not a concession');
    const imre = await app.as('imre');
    expect((await imre.get(`/jobs/${jobId}`)).text).toContain('runs free');
    expect((await imre.get(`/parts/${number}`)).text).not.toContain('runs free');
    expect((await (await app.as('sunniva')).get(`/jobs/${jobId}`)).text).not.toContain('runs free');
  });
});
