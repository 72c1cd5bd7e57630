import { describe, expect, it } from 'vitest';
import { closuresOfLines } from '../../src/schedule/closure-lines.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { anotherJob } from '../support/jobs.ts';

const closures = async ({ context }: TestApp) =>
  (await context.db.read.closure.findMany({ orderBy: { id: 'asc' } })).map(
    ({ fromOn, untilOn, name, removedAt }) =>
      `${fromOn} ${untilOn} ${name}${removedAt ? ' (off the list)' : ''}`,
  );

const acts = ({ context }: TestApp) => context.db.read.act.count();

describe('closuresOfLines', () => {
  it('reads a run of days or one day, then what for', () => {
    const text = [
      '2026-12-24 2026-12-26 Christmas',
      '',
      '2027-05-17 Constitution Day',
      '2026-07-06 – 2026-07-24, Summer,  the shop is shut',
      '  2026-04-02;2026-04-06;Easter',
      '2026-05-01\tLabour Day',
      '2026-10-03 to 2026-10-04 Fair',
    ].join('\n');
    expect(closuresOfLines(text)).toEqual({
      wrong: null,
      closures: [
        { fromOn: '2026-12-24', untilOn: '2026-12-26', name: 'Christmas' },
        { fromOn: '2027-05-17', untilOn: '2027-05-17', name: 'Constitution Day' },
        { fromOn: '2026-07-06', untilOn: '2026-07-24', name: 'Summer, the shop is shut' },
        { fromOn: '2026-04-02', untilOn: '2026-04-06', name: 'Easter' },
        { fromOn: '2026-05-01', untilOn: '2026-05-01', name: 'Labour Day' },
        { fromOn: '2026-10-03', untilOn: '2026-10-04', name: 'Fair' },
      ],
    });
  });

  it('names every line that does not fit', () => {
    const { wrong } = closuresOfLines(
      [
        'Christmas',
        '2026-02-29 Leap day',
        '2026-05-01',
        '2026-12-26 2026-12-24 Backwards',
        '1926-01-01 2026-01-01 Ages',
        '2026-01-01 2027-06-01 A year and more',
        `2026-03-03 ${'x'.repeat(81)}`,
        '2026-03-04 Good',
      ].join('\n'),
    );
    expect(wrong).toBe(
      'Line 1: begin with a day as year-month-day, like 2026-12-24. ' +
        'Line 2: the calendar has no 2026-02-29. ' +
        'Line 3: say what for, after the days. ' +
        'Line 4: the last day lies before the first, 2026-12-26. ' +
        'Line 5: 1926-01-01 is not between 2000 and 2099. ' +
        'Line 6: at most 366 days in one closure; this has 517. ' +
        'Line 7: at most 80 characters after the days; this has 81.',
    );
    expect(closuresOfLines('x\n'.repeat(40)).wrong).toMatch(/Line 12: .*\. And 28 more lines\.$/);
  });
});

describe('/schedule/closures', () => {
  it('is seen by the shop and edited by the lead', async () => {
    const app = await startApp();
    expect((await app.visitor().get('/schedule/closures')).status).toBe(303);
    expect((await (await app.as('imre')).get('/schedule/closures')).status).toBe(403);
    const crew = await app.as('crew');
    const seen = await crew.get('/schedule/closures');
    expect(seen.status).toBe(200);
    expect(seen.text).toContain('No closure ahead');
    expect(seen.text).not.toContain('<form method="post" action="/schedule/closures');
    const fields = { name: 'Easter', fromOn: '2026-04-02', untilOn: '2026-04-06' };
    expect((await crew.post('/schedule/closures', fields)).status).toBe(403);
    expect((await crew.post('/schedule/closures/list', { lines: '2026-04-02 Easter' })).status).toBe(403);
    expect(await closures(app)).toEqual([]);
    expect((await (await app.as('lead')).get('/settings')).text).toContain('href="/schedule/closures"');
  });

  it('moves the finish when days are closed, and back when they are taken off', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    await anotherJob(app, { days: 3 });
    const finish = async () =>
      /<dt>Finish, if all goes as likely<\/dt><dd>([^<]*)/.exec((await lead.get('/schedule')).text)?.[1];
    expect(await finish()).toBe('4 Mar 2026');
    const done = await lead.post('/schedule/closures', {
      name: 'Flood in the shop',
      fromOn: '2026-03-03',
      untilOn: '2026-03-05',
    });
    expect(done.status).toBe(303);
    expect(await finish()).toBe('9 Mar 2026');
    const page = (await lead.get('/schedule/closures')).text;
    expect(page).toMatch(/Flood in the shop.*3 Mar – 5 Mar 2026.*3 working days/s);
    expect((await lead.post('/schedule/closures/1/remove')).status).toBe(303);
    expect(await finish()).toBe('4 Mar 2026');
    expect(await closures(app)).toEqual(['2026-03-03 2026-03-05 Flood in the shop (off the list)']);
    const log = (await lead.get('/log')).text;
    expect(log).toContain('closed the build 2026-03-03 to 2026-03-05: Flood in the shop');
    expect(log).toContain('took the closure 2026-03-03 to 2026-03-05 off the list: Flood in the shop');
  });

  it('answers what does not fit at its field, keeps what was typed and stores nothing', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const good = { name: 'Easter', fromOn: '2026-04-02', untilOn: '2026-04-06' };
    const before = await acts(app);
    const cases: [Record<string, string>, string][] = [
      [{ name: '' }, 'Say what for.'],
      [{ name: 'x'.repeat(81) }, 'At most 80 characters; this has 81.'],
      [{ name: 'a\u202eb' }, 'characters that cannot be seen'],
      [{ fromOn: '' }, 'Type a day as year-month-day'],
      [{ fromOn: '2026-02-30' }, 'Type a day as year-month-day'],
      [{ untilOn: '2126-01-01' }, 'Type a day between 2000 and 2099.'],
      [{ untilOn: '2026-04-01' }, 'The last day lies before the first, 2026-04-02.'],
      [{ untilOn: '2027-04-06' }, 'At most 366 days in one closure; this has 370.'],
      [{ name: '<script>alert(1)</script>', untilOn: 'x' }, '&lt;script&gt;alert(1)&lt;/script&gt;'],
    ];
    for (const [fields, sentence] of cases) {
      const { status, text } = await lead.post('/schedule/closures', { ...good, ...fields });
      expect(`${JSON.stringify(fields)} ${status}`).toBe(`${JSON.stringify(fields)} 422`);
      expect(text).toContain(sentence);
      expect(text).not.toContain('<script>alert');
    }
    const kept = await lead.post('/schedule/closures', { ...good, untilOn: '2026-04-01' });
    expect(kept.text).toContain('value="Easter"');
    expect(await closures(app)).toEqual([]);
    expect(await acts(app)).toBe(before);
  });

  it('takes many at once, or none', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const before = await acts(app);
    const bad = await lead.post('/schedule/closures/list', {
      lines: '2026-12-24 2026-12-26 Christmas\n2026-13-01 <b>No such month</b>\nnothing',
    });
    expect(bad.status).toBe(422);
    expect(bad.text).toContain('Line 2: the calendar has no 2026-13-01. Line 3: begin with a day');
    expect(bad.text).toContain('&lt;b&gt;No such month&lt;/b&gt;');
    expect(bad.text).toContain('id="f-lines-error"');
    expect(await closures(app)).toEqual([]);
    expect(await acts(app)).toBe(before);
    expect((await lead.post('/schedule/closures/list', { lines: ' \n ' })).text).toContain(
      'Type one closure to a line.',
    );

    const good = await lead.post('/schedule/closures/list', {
      lines: '2026-12-24 2026-12-26 Christmas\r\n2027-01-01 New Year',
    });
    expect(good.status).toBe(303);
    const again = await lead.post('/schedule/closures/list', {
      lines: '2026-12-24 2026-12-26 Yule\n2027-05-17 Constitution Day\n2027-05-17 Twice',
    });
    expect(again.status).toBe(303);
    expect((await lead.get('/schedule/closures')).text).toContain(
      '1 closure written down. Passed over, on the list already: 24 Dec – 26 Dec 2026, 17 May 2027.',
    );
    expect(await closures(app)).toEqual([
      '2026-12-24 2026-12-26 Christmas',
      '2027-01-01 2027-01-01 New Year',
      '2027-05-17 2027-05-17 Constitution Day',
    ]);
    const none = await lead.post('/schedule/closures/list', { lines: '2027-01-01 Again' });
    expect(none.status).toBe(422);
    expect(none.text).toContain('All of these are on the list already: 1 Jan 2027.');
    const one = await lead.post('/schedule/closures', {
      name: 'New Year',
      fromOn: '2027-01-01',
      untilOn: '2027-01-01',
    });
    expect(one.status).toBe(422);
    expect(one.text).toContain('1 Jan 2027 is on the list already: New Year.');
  });

  it('tells the second who takes one off, and folds what is past', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    await lead.post('/schedule/closures/list', { lines: '2026-01-01 New Year\n2026-04-03 Good Friday' });
    const page = (await lead.get('/schedule/closures')).text;
    expect(page).toMatch(/Good Friday.*<summary>1 past<\/summary>.*New Year/s);
    expect((await lead.post('/schedule/closures/2/remove')).status).toBe(303);
    const second = await lead.post('/schedule/closures/2/remove');
    expect(second.status).toBe(409);
    expect(second.text).toContain('Good Friday is off the list already.');
    for (const id of ['99', 'x', '0']) {
      expect((await lead.post(`/schedule/closures/${id}/remove`)).status).toBe(404);
    }
    expect((await (await app.as('crew')).post('/schedule/closures/1/remove')).status).toBe(403);
  });
});
