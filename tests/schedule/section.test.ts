import { describe, expect, it, vi } from 'vitest';
import { linkJobs } from '../../src/jobs/index.ts';
import { addClosures } from '../../src/schedule/index.ts';
import { type Browser, startApp, type TestApp } from '../support/app.ts';
import { openEvents } from '../support/events.ts';
import { anotherJob, asPerson } from '../support/jobs.ts';
import { anAssembly } from '../support/parts.ts';
import { aGathering } from '../support/problems.ts';

const PAGES = [
  'network',
  'risk',
  'levelled',
  'next',
  'late',
  'what-if',
  'durations',
  'closures',
  'soundness',
  'done',
  'baselines',
].map((name) => `/schedule/${name}`);

// Signing in takes as long as a simulation: done once for each app.
const leads = new WeakMap<TestApp, Browser>();

const page = async (app: TestApp, path: string) => {
  const lead = leads.get(app) ?? (await app.as('lead'));
  leads.set(app, lead);
  const { status, text } = await lead.get(path);
  expect(status, path).toBe(200);
  return text;
};

const words = (text: string) =>
  text
    .replace(/<svg.*?<\/svg>/gs, ' ')
    .replace(/<[^>]+>/g, ' ')
    .replaceAll('&nbsp;', ' ')
    .replace(/\s+/g, ' ');

/** Reads a page until the simulation it tells of is that of now. */
const simulated = async (app: TestApp, path: string) => {
  await page(app, '/schedule/risk');
  return vi.waitFor(
    async () => {
      const text = await page(app, path);
      expect(text).not.toContain('hx-sse:connect');
      return text;
    },
    { timeout: 10_000, interval: 100 },
  );
};

describe('the pages of the schedule', () => {
  it('are one section: each has the same links, its own marked', async () => {
    const app = await startApp();
    await anAssembly(app, { name: 'Frame' });
    for (const path of ['/schedule', ...PAGES]) {
      const text = await page(app, path);
      const nav = /<nav class="parts-nav grouped".*?<\/nav>/s.exec(text)![0];
      for (const other of ['/schedule', ...PAGES]) expect(nav, path).toContain(`href="${other}"`);
      expect(nav.match(/aria-current="page"/g), path).toHaveLength(1);
      expect(nav).toContain(`href="${path}" aria-current="page"`);
    }
  });
});

describe('GET /schedule with a simulation', () => {
  it('tells the finish at 50, 80 and 95 of 100 runs, and draws where each step ends', async () => {
    const app = await startApp();
    await anotherJob(app, { title: 'Build a crate', days: 20 });
    const text = await simulated(app, '/schedule');
    expect(words(text)).toMatch(/Finish in 80 of 100 runs \d+ \w+( 2026)? 50 by \d+ \w+( 2026)?, 95 by \d+/);
    expect(words(text)).toContain('ends between, in 8 of 10 runs');
    const row = /<tr[^>]*>\s*<th scope="row">.*?<\/tr>/s.exec(text)![0];
    expect(row).toMatch(/<line class="c-thin" x1="[\d.]+%" x2="[\d.]+%" y1="-9" y2="-9"\/>/);
  });

  it('says that it is being simulated, and keeps no range of another plan beside the bars', async () => {
    const app = await startApp();
    await page(app, '/log');
    await anotherJob(app, { title: 'Build a crate', days: 20 });
    expect(words(await page(app, '/schedule'))).toContain('– being simulated: a second or two');
    await simulated(app, '/schedule');
    await anotherJob(app, { title: 'Another', days: 30 });
    const text = await page(app, '/schedule');
    expect(words(text)).toContain('from before the last change, being simulated anew');
    expect(text).toContain('hx-sse:connect="/live"');
    expect(text).not.toContain('y1="-9" y2="-9"');
  });

  it('tells how the date at 80 of 100 moved since a week ago, as Today does', async () => {
    const app = await startApp();
    await anotherJob(app, { title: 'Build a crate', days: 20 });
    await simulated(app, '/schedule');
    expect(words(await page(app, '/'))).not.toContain('than a week ago)');
    app.passDays(7);
    expect(words(await simulated(app, '/schedule'))).toMatch(/7 days later than on 2 Mar; 50 by/);
    expect(words(await page(app, '/'))).toMatch(
      /80 of 100 by \d+ \w+( 2026)? \(7 days later than a week ago\)/,
    );
  });

  it('puts the date at 80 of 100 into the title block of every sheet while it is that of now', async () => {
    const app = await startApp();
    await page(app, '/log');
    await anotherJob(app, { title: 'Build a crate', days: 20 });
    expect(words(await page(app, '/log'))).not.toContain('In 80 of 100');
    await simulated(app, '/schedule');
    expect(words(await page(app, '/log'))).toMatch(/Finish 27 Mar In 80 of 100 \d+ \w+ As of/);
    await anotherJob(app, { title: 'Another', days: 30 });
    expect(words(await page(app, '/log'))).not.toContain('In 80 of 100');
  });
});

describe('GET /schedule/nodes/:key with a simulation', () => {
  it('tells chance, correlation, both days and drag of what drives, and of what does not', async () => {
    const app = await startApp();
    const long = await anotherJob(app, { title: 'Build a crate', days: 20 });
    const short = await anotherJob(app, { title: 'Sweep', days: 4 });
    const text = words(await simulated(app, `/schedule/nodes/job-${long}`));
    // 20 working days end on Friday 27 March, four on Thursday 5 March: the morning after counts
    expect(text).toMatch(/Drag 22 days so much nearer the finish would come/);
    expect(text).toMatch(/Critical 100 %/);
    expect(text).toMatch(/Correlation [01]\.\d\d/);
    expect(text).toMatch(/Over by \d+ \w+( 2026)? or sooner, in half of the runs In 80 of 100 by \d+/);
    const other = words(await simulated(app, `/schedule/nodes/job-${short}`));
    expect(other).toMatch(/Drag 0 days without it the finish would stay where it is/);
    expect(other).toMatch(/Critical 0 %/);
  });

  it('links each length to the history it rests on, at a table that is there or to what is usual', async () => {
    const app = await startApp();
    const { childIds } = await anAssembly(app, { children: [{ name: 'Post' }] });
    const post = childIds[0];
    const restsOn = async (word: string) =>
      /href="(\/schedule[^"]*#[^"]+)">(?:The history it rests on|What is usual)/.exec(
        await page(app, `/schedule/nodes/part-${post}-${word}`),
      )![1];
    expect(await restsOn('make')).toBe('/schedule/durations#making-by-process');
    expect(await restsOn('inspect')).toBe('/schedule#how');
    expect(await page(app, '/schedule')).toContain('id="how"');
  });

  it('says how a link by hand holds it, with its days between', async () => {
    const app = await startApp();
    const fromId = await anotherJob(app, { title: 'Paint', days: 5 });
    const toId = await anotherJob(app, { title: 'Hang the door', days: 1 });
    await asPerson(app, 'crew', (act) => linkJobs(act, { fromId, toId, type: 'FS', lag: 2 }));
    const text = words(await page(app, `/schedule/nodes/job-${toId}`));
    expect(text).toContain('linked by hand: begins after its end, 2 working days later');
    expect(text).toContain('sets its start');
    const other = await anotherJob(app, { title: 'Sweep', days: 1 });
    await asPerson(app, 'crew', (act) => linkJobs(act, { fromId, toId: other, type: 'SS', lag: 1 }));
    expect(words(await page(app, `/schedule/nodes/job-${other}`))).toContain(
      'linked by hand: begins once it has begun, 1 working day later',
    );
  });

  it('says for which gathering it is, and that it comes too late for it', async () => {
    const app = await startApp();
    const gatheringId = await aGathering(app, {
      title: 'Spring meeting',
      fromOn: '2026-03-12',
      untilOn: '2026-03-13',
    });
    const at = await anotherJob(app, { title: 'Lift the ring', gatheringId, days: 1 });
    const text = words(await page(app, `/schedule/nodes/job-${at}`));
    expect(text).toContain('A fixed day sets its start');
    expect(text).toContain('for the gathering “Spring meeting”, not before 12 Mar');
    expect(text).not.toContain('comes after that gathering');
    const fromId = await anotherJob(app, { title: 'Paint', days: 15 });
    await asPerson(app, 'crew', (act) => linkJobs(act, { fromId, toId: at, type: 'FS', lag: 0 }));
    expect(words(await page(app, `/schedule/nodes/job-${at}`))).toContain(
      'what it waits for comes after that gathering, which ends on 13 Mar',
    );
  });

  it('says what is closed between the step before and this one', async () => {
    const app = await startApp();
    await asPerson(app, 'lead', (act) =>
      addClosures(act, [{ fromOn: '2026-03-04', untilOn: '2026-03-06', name: 'Flood' }]),
    );
    const id = await anotherJob(app, { title: 'Build a crate', days: 5 });
    const text = words(await page(app, `/schedule/nodes/job-${id}`));
    expect(text).toContain('closed 4 Mar to 6 Mar, Flood');
  });
});

describe('the day by which 80 of 100 runs have an assembly ready', () => {
  it('stands in the structure and on the page of the part; a dash before there is a simulation', async () => {
    const app = await startApp();
    await page(app, '/log');
    await anAssembly(app, { name: 'Frame', children: [{ name: 'Post' }] });
    const cell = async () =>
      [...(await page(app, '/structure')).matchAll(/data-label="80 of 100 by">([^<]*)</g)].map(
        ([, day]) => day,
      );
    expect(await cell()).toEqual(['–', '']);
    expect(words(await page(app, '/parts/TB-0001'))).toContain('Ready in 80 of 100 – not simulated yet');
    await simulated(app, '/schedule');
    const [assembly, part] = await cell();
    expect(assembly).toMatch(/^\d+ \w+$/);
    expect(part).toBe('');
    expect(words(await page(app, '/parts/TB-0001'))).toContain(`Ready in 80 of 100 ${assembly} runs`);
    expect(words(await page(app, '/parts/TB-0002'))).not.toContain('Ready in 80 of 100');
  });
});

describe('GET /live', () => {
  it('tells when a simulation is there, and looking at pages begins no other', async () => {
    const app = await startApp();
    await app.app.listen();
    await anotherJob(app, { title: 'Build a crate', days: 20 });
    const lead = await app.as('lead');
    await page(app, '/schedule');
    // the act itself has been told by now
    const events = await openEvents(app, lead);
    const told = () => events.text().match(/event: changed/g)?.length ?? 0;
    await simulated(app, '/schedule');
    await vi.waitFor(() => expect(told()).toBeGreaterThan(0), { timeout: 3000 });
    await new Promise((resolve) => setTimeout(resolve, 700));
    const before = told();
    for (const path of ['/schedule', '/schedule/risk', '/schedule/next', '/', '/structure'])
      await page(app, path);
    await new Promise((resolve) => setTimeout(resolve, 1500));
    expect(told()).toBe(before);
    events.close();
  });
});
