import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Response } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { aPdf } from '../support/drawings.ts';
import { type Served, serveEmpty, startBrowser, Walker } from './walk.ts';

const PASSWORD = 'correct horse battery';
let browser: Browser;
let folder: string;

beforeAll(async () => {
  browser = await startBrowser();
  folder = mkdtempSync(join(tmpdir(), 'farwright-papers-'));
  writeFileSync(join(folder, 'bracket.pdf'), aPdf('Bracket'));
});
afterAll(async () => {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
});

describe.each([{ javaScript: true }, { javaScript: false }])(
  'a small build from set-up to bulletin, %o',
  ({ javaScript }) => {
    let served: Served;
    let lead: Walker;
    const makers: Walker[] = [];
    let jobPath = '';

    /** With a script axe looks at the page; without, the walk itself is the check. */
    const look = async (walker: Walker) => {
      if (!javaScript) return;
      await walker.isAccessible();
      await walker.fitsTheScreen();
    };
    const pathOf = (walker: Walker) => new URL(walker.page.url()).pathname;

    beforeAll(async () => {
      served = await serveEmpty();
      lead = await Walker.at(browser, served, { javaScript });
    });
    afterAll(async () => {
      for (const walker of [lead, ...makers]) await walker?.leave();
      await served?.stop();
    });

    it('set-up: the first page makes the build and its lead', async () => {
      await lead.go('/');
      expect(pathOf(lead)).toBe('/set-up');
      await look(lead);
      await lead.fill('Set up the build', {
        'Name of the machine': 'Clock',
        'Country it is built in': 'Norway',
      });
      await lead.press('Set up the build');
      await lead.sees('Choose a prefix, like OR for OR-0001.');
      expect(await lead.page.getByLabel('Name of the machine').inputValue()).toBe('Clock');
      await look(lead);
      await lead.setUp({ email: 'ottilie@example.org', password: PASSWORD });
      await lead.sees('Begin with the machine');
      await look(lead);
    });

    it('two makers come in by invitation', async () => {
      for (const name of ['Imre', 'Sunniva']) {
        await lead.go('/people');
        await lead.form('Make an invitation link').getByLabel('maker').first().check();
        await lead.press('Make an invitation link');
        await look(lead);
        const address = /http:\/\/127\.0\.0\.1:\d+\/invitation\/[\w-]+/.exec(await lead.page.content())![0];
        const maker = await Walker.at(browser, served, { javaScript, width: 360, dark: name === 'Sunniva' });
        makers.push(maker);
        await maker.go(address);
        await look(maker);
        await maker.fill('Make my account', {
          'Your name': name,
          'Country you post from': 'SE',
          'Mail address': `${name.toLowerCase()}@example.org`,
          'A password': PASSWORD,
        });
        await maker.press('Make my account');
        await maker.sees('Your page');
        await look(maker);
      }
    });

    it('a part comes from nothing to released', async () => {
      await lead.go('/parts/new');
      await look(lead);
      await lead.fill('Add the part', { Name: 'Frame' });
      await lead.form('Add the part').getByLabel('Kind').selectOption('assembly');
      await lead.press('Add the part');
      await lead.go('/parts/new');
      await lead.fill('Add the part', { Name: 'Bracket', 'Goes into': 'CL-0001', 'How many in one': '3' });
      await lead.form('Add the part').getByLabel('Kind').selectOption('made');
      await lead.press('Add the part');
      await lead.go('/parts/CL-0002');
      await look(lead);
      await lead.press('Begin revision A');
      await lead.sees('Before it is released');
      await look(lead);
      await lead.follow('Change');
      await look(lead);
      const head = lead.form('Keep the changes');
      await head.getByLabel('Material').first().selectOption({ index: 1 });
      await head.getByLabel('Process').selectOption({ index: 1 });
      await head.getByLabel('General tolerance, ISO 2768-1').selectOption('m');
      await lead.press('Keep the changes');
      await lead.page.getByLabel('Size or requirement').fill('25 Q7x');
      await lead.form('Add').getByRole('button', { name: 'Add', exact: true }).click();
      await lead.page.waitForLoadState('load');
      expect(await lead.page.getByLabel('Size or requirement').inputValue()).toBe('25 Q7x');
      await lead.page.getByLabel('Size or requirement').fill('25 H7');
      await lead.page.getByLabel('Where on the drawing').fill('bore');
      await lead.page.getByLabel('key', { exact: true }).check();
      await lead.form('Add').getByRole('button', { name: 'Add', exact: true }).click();
      await lead.sees('25.021');
      await lead.page.getByLabel('What they are for').selectOption('drawing');
      await lead.page.getByLabel('Files').setInputFiles(join(folder, 'bracket.pdf'));
      await lead.page.locator('form[enctype]').getByRole('button', { name: 'Add', exact: true }).click();
      await lead.page.getByRole('link', { name: 'bracket.pdf' }).first().waitFor();
      await lead.press('Release A');
      await lead.sees('released');
      await look(lead);
    });

    it('a job is offered, seen by a visitor, and claimed by two makers', async () => {
      await lead.go('/jobs/new?kind=fabricate&part=CL-0002');
      await look(lead);
      await lead.fill('Make the job', { 'How many': '3' });
      await lead.press('Make the job');
      jobPath = pathOf(lead);
      await lead.press('Offer to makers');
      await look(lead);
      const visitor = await Walker.at(browser, served, { javaScript, width: 360 });
      await visitor.go('/offers');
      await visitor.sees('Bracket');
      await look(visitor);
      await visitor.go(jobPath.replace('/jobs/', '/offers/'));
      await visitor.sees('Offer to make it');
      await look(visitor);
      await visitor.leave();
      for (const [at, maker] of makers.entries()) {
        await maker.go(jobPath);
        await look(maker);
        await maker.fill('Claim', {
          'How many': at === 0 ? '2' : '1',
          'At the soonest in': '3',
          'Likely in': '5',
          'At the latest in': '9',
        });
        await maker.press('Claim');
        await maker.sees('Report');
        await look(maker);
      }
      await lead.go('/board');
      await lead.sees('Imre');
      await look(lead);
    });

    it('the makers report and post what they made', async () => {
      for (const [at, maker] of makers.entries()) {
        await maker.go(jobPath);
        await maker.page
          .locator('summary')
          .filter({ hasText: /^Report$/ })
          .first()
          .click();
        await maker.fill('Send the report', {
          'Finished since last time': at === 0 ? '2' : '1',
          'How it goes': 'Done.',
        });
        await maker.press('Send the report');
        await maker.go('/parcels/new');
        await look(maker);
        await maker.press('It is in the post');
        await maker.go('/board');
        await look(maker);
      }
    });

    it('what arrives is counted and inspected piece by piece', async () => {
      for (const walker of makers) {
        expect(walker).toBeDefined();
        await lead.go('/receiving');
        await look(lead);
        await lead.page
          .getByRole('link', { name: /^Take in parcel/ })
          .first()
          .click();
        await lead.press('All as posted');
        await look(lead);
        await lead.page
          .getByRole('link', { name: /^Inspect \d|^Inspect / })
          .first()
          .click();
        for (let piece = 0; piece < 3; piece += 1) {
          const write = lead.page.getByRole('button', { name: /^Write down piece/ });
          if ((await write.count()) === 0) break;
          await look(lead);
          const form = lead.page.locator('form').filter({ has: write }).first();
          await form.getByLabel(/bore/).first().fill('25.01');
          await form.getByLabel('Measured with').fill('plug gauge 25 H7');
          await form.locator('input[name=disposition][value=accept]').check();
          const isAnswer = (reply: Response) => reply.request().method() === 'POST';
          await Promise.all([lead.page.waitForResponse(isAnswer), write.click()]);
          await lead.page.waitForLoadState('load');
        }
      }
      await lead.go(jobPath);
      await lead.sees('accepted');
      await look(lead);
      await lead.go('/receiving');
      expect(await lead.page.getByRole('link', { name: /^Inspect parcel/ }).count()).toBe(0);
    });

    it('the week’s bulletin is published and read as a visitor', async () => {
      await lead.go('/bulletin');
      await look(lead);
      await lead.page.locator('main a[href^="/bulletin/"]').first().click();
      await lead.sees('Imre finished 2 pieces of Bracket.');
      await look(lead);
      await lead.fill('Keep the text', {
        Title: 'The first bracket',
        Opening: 'It **fits**. <i>No markup</i>',
      });
      await lead.press('Keep the text');
      const week = pathOf(lead);
      await lead.page.getByText('Publish', { exact: true }).first().click();
      await lead.press('Publish the bulletin');
      const visitor = await Walker.at(browser, served, { javaScript, width: 360, dark: true });
      await visitor.go(week);
      await visitor.sees('The first bracket');
      await visitor.sees('<i>No markup</i>');
      await visitor.sees(/Sunniva, for/);
      await look(visitor);
      expect(await visitor.page.content()).not.toContain('example.org');
      await visitor.leave();
    });

    it('every sheet of the lead is accessible and fits', async () => {
      if (!javaScript) return;
      for (const width of [1280, 360]) {
        await lead.page.setViewportSize({ width, height: 800 });
        for (const path of [
          '/',
          '/board',
          '/structure',
          '/schedule',
          '/schedule/network',
          '/schedule/risk',
          '/schedule/levelled',
          '/schedule/next',
          '/schedule/late',
          '/schedule/what-if',
          '/schedule/durations',
          '/schedule/closures',
          '/schedule/soundness',
          '/schedule/done',
          '/schedule/baselines',
          '/receiving',
          '/problems',
          '/redesigns',
          '/trials',
          '/decisions',
          '/gatherings',
          '/offers',
          '/thanks',
          '/calendar',
          '/makers',
          '/bench',
          '/bench/fit',
          '/materials',
          '/log',
          '/people',
          '/settings',
          '/exchange',
          '/import',
          '/me',
          '/me/mail',
          '/settings/hooks',
          '/settings/mail',
          '/year',
          '/schedule/moved',
          '/problems/scales',
        ]) {
          await lead.go(path);
          await look(lead);
        }
      }
    });
  },
);
