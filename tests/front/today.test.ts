import { describe, expect, it } from 'vitest';
import { askQuery } from '../../src/jobs/index.ts';
import { leadSteps, ScheduleService, spreadOf, startableSteps } from '../../src/schedule/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { aClaim, anOfferedJob, asPerson } from '../support/jobs.ts';
import { anAssembly, aPart } from '../support/parts.ts';

async function scheduleIn(test: TestApp) {
  const { db, clock, changes } = test.context;
  const service = new ScheduleService({
    db,
    clock,
    changes,
    report: (fault) => {
      throw fault;
    },
  });
  const { schedule } = service.snapshot();
  await service.close();
  return schedule!;
}

const startableOf = async (test: TestApp) => startableSteps(await scheduleIn(test));

/** A frame of a bracket nobody has drawn, a bearing to be bought, and one made by another shop. */
async function aFrame(test: TestApp) {
  const bracket = await aPart(test, { name: 'Bracket', kind: 'made', makeDays: 30 });
  const bearing = await aPart(test, { name: 'Bearing', kind: 'bought', leadDays: 3 });
  return anAssembly(test, {
    name: 'Frame',
    children: [
      { id: bracket.id, milli: 2000 },
      { id: bearing.id, milli: 4000 },
    ],
  });
}

describe('startableSteps', () => {
  it('are those that nothing stands before, with whose hands they are in', async () => {
    const test = await startApp();
    await aFrame(test);
    const steps = await startableOf(test);
    expect(steps.map(({ act, step }) => `${act}: ${step.label}`).sort()).toEqual([
      expect.stringMatching(/^draw: .*Bracket/),
      expect.stringMatching(/^order: .*Bearing/),
    ]);
    const job = await anOfferedJob(test, { quantity: 4 });
    expect((await startableOf(test)).find(({ step }) => step.jobId === job.jobId)).toMatchObject({
      hands: 'open to makers',
    });
    await aClaim(test, { jobId: job.jobId, quantity: 4 });
    expect(spreadOf(await startableOf(test)).parts.find((part) => part.with === 'makers')?.n).toBe(1);
  });

  it('rank what drives the finish first, and say what waits for it', async () => {
    const test = await startApp();
    await aFrame(test);
    const [first, second] = leadSteps(await scheduleIn(test));
    expect(first).toMatchObject({ label: expect.stringContaining('Bracket'), critical: true, waiting: 1 });
    expect(first!.nextFitUp).toContain('Frame');
    expect(second!.floatDays).toBeGreaterThan(0);
    expect(second!.critical).toBe(false);
  });

  it('count every step once, whoever holds it', async () => {
    const test = await startApp();
    await aFrame(test);
    await aClaim(test, {});
    const steps = await startableOf(test);
    const { total, parts } = spreadOf(steps);
    expect(parts.reduce((sum, { n }) => sum + n, 0)).toBe(total);
    expect(total).toBe(steps.length);
  });
});

describe('today', () => {
  it('of an empty build says what to do first', async () => {
    const test = await startApp();
    const { status, text } = await (await test.as('lead')).get('/');
    expect(status).toBe(200);
    expect(text).toContain('Begin with the machine');
  });

  it('shows the lead the next steps, queries, silent makers and whose hands it is in', async () => {
    const test = await startApp();
    await aFrame(test);
    const { jobId } = await aClaim(test, {});
    await asPerson(test, 'imre', (act) => askQuery(act, { jobId, question: 'Which <edge> is the top?' }));
    test.passDays(15);
    const { text } = await (await test.as('lead')).get('/');
    expect(text).toContain('Bracket');
    expect(text).toContain('drives the finish');
    expect(text).toContain('Which &lt;edge&gt; is the top?');
    expect(text).toContain('no word for 15 days');
    expect(text).toContain('with makers');
    expect(text).not.toContain('Begin with the machine');
  });

  it('shows a maker their own jobs, and no other’s', async () => {
    const test = await startApp();
    const { jobId } = await aClaim(test, {});
    expect((await (await test.as('imre')).get('/')).text).toContain(`/jobs/${jobId}`);
    const farid = (await (await test.as('farid')).get('/')).text;
    expect(farid).toContain('You have no job in hand');
    expect(farid).not.toContain(`/jobs/${jobId}`);
  });

  it('tells a visitor what this is and where to go', async () => {
    const test = await startApp();
    const { status, text } = await test.visitor().get('/');
    expect(status).toBe(200);
    expect(text).toContain('A small machine for tests.');
    expect(text).toContain('href="/offers"');
    expect(text).not.toContain('Brandt');
  });
});
