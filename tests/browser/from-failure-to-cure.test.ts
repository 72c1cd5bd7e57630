import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startApp } from '../support/app.ts';
import { CAST_PASSWORD, type CastName, cast } from '../support/cast.ts';
import { aPdf } from '../support/drawings.ts';
import { aClaim, anOfferedJob } from '../support/jobs.ts';
import { startBrowser, Walker } from './walk.ts';

let browser: Browser;

beforeAll(async () => {
  browser = await startBrowser();
});
afterAll(() => browser.close());

/** Somebody at a browser of their own, at a page that asks them to sign in first. */
async function asks(
  address: string,
  who: CastName,
  path: string,
  how: { javaScript?: boolean; width?: number; dark?: boolean } = {},
): Promise<Walker> {
  const walker = await Walker.at(browser, { address, stop: async () => {} }, how);
  await walker.go(path);
  await walker.fill('Sign in', { 'Mail address': cast[who].email, Password: CAST_PASSWORD });
  await walker.press('Sign in');
  return walker;
}

describe.each([{ javaScript: true }, { javaScript: false }])('from failure to cure, %o', ({ javaScript }) => {
  const look = async (walker: Walker) => {
    if (!javaScript) return;
    await walker.isAccessible();
    await walker.fitsTheScreen();
  };
  const pathOf = (walker: Walker) => new URL(walker.page.url()).pathname;

  it('a code on the machine leads to a problem, a redesign, a trial, and the bulletin that tells it', async () => {
    const test = await startApp();
    const { jobId, number } = await anOfferedJob(test);
    await aClaim(test, { who: 'imre', jobId });
    const address = await test.app.listen({ host: '127.0.0.1', port: 0 });

    // The label's code, read by a phone whose owner is not signed in.
    const crew = await asks(address, 'crew', `/problems/new?part=${number}`, {
      javaScript,
      width: 360,
      dark: true,
    });
    expect(await crew.page.getByLabel('Where').inputValue()).toBe(number);
    await look(crew);
    await crew.press('Write it down');
    await crew.sees('Say in one line what is wrong.');
    await look(crew);
    await crew.type('What is wrong', 'It binds when it is warm');
    await crew.press('Choose another place');
    await look(crew);
    await crew.press(`It is here, at ${number}`);
    expect(await crew.page.getByLabel('What is wrong').inputValue()).toBe('It binds when it is warm');
    await crew.page.getByLabel('How bad it is').selectOption('8');
    await crew.press('Write it down');
    await crew.sees('8 × 10 × 10');
    await look(crew);
    const problem = pathOf(crew);
    await crew.leave();

    const lead = await asks(address, 'lead', '/problems', { javaScript });
    await look(lead);
    await lead.page.getByLabel(/It binds when it is warm/).check();
    await lead.press('Fold the chosen ones into a redesign');
    await lead.fill('Open the redesign', {
      'What it is for': 'Room when it is warm',
      'Parts that get a new revision': number,
    });
    await look(lead);
    await lead.press('Open the redesign');
    const redesign = pathOf(lead);
    await lead.sees(/Imre Kovacs/);
    await look(lead);

    await lead.follow('Plan the trial that is to show it');
    await lead.page
      .getByRole('link', { name: /yes or no/i })
      .first()
      .click();
    await lead.page.waitForLoadState('load');
    await lead.fill('Plan it', { 'What is tried': 'Warm and turned', 'What is looked at': 'it turns' });
    await look(lead);
    await lead.press('Plan it');
    const trial = pathOf(lead);

    await lead.go(redesign);
    await lead.press('Begin');
    await lead.go(redesign);
    await lead.press('Release');
    await lead.sees(/Nothing is released/);
    await lead.go(redesign);
    await lead.follow(`${number} B`);
    await lead.page.getByLabel('What they are for').selectOption('drawing');
    await lead.page
      .getByLabel('Files')
      .setInputFiles({ name: 'warm.pdf', mimeType: 'application/pdf', buffer: aPdf('Warm') });
    await lead.page.locator('form[enctype]').getByRole('button', { name: 'Add', exact: true }).click();
    await lead.page.getByRole('link', { name: 'warm.pdf' }).first().waitFor();
    await lead.go(redesign);
    await lead.press('Release');
    await lead.sees(/Told: Imre Kovacs, job/);
    await look(lead);
    await lead.go(problem);
    await lead.sees('in a redesign');

    await lead.go(trial);
    await lead.fill('Write it down', { 'Tried before': '1 of 10', 'Tried after': '9 of 10' });
    await lead.press('See what they say first');
    await lead.sees(/They are not written down yet/);
    await look(lead);
    await lead.form('Write it down').getByLabel('yes, as it was said beforehand').check();
    await lead.press('Write it down');
    await lead.sees('passed');
    await lead.go(problem);
    await lead.sees('in a redesign');
    await lead.go(redesign);
    await lead.press('Close it');
    await lead.go(problem);
    await lead.sees('cured');

    await lead.go('/bulletin');
    await lead.page.locator('main a[href^="/bulletin/2"]').first().click();
    await lead.sees(/It binds when it is warm/);
    await look(lead);
    await lead.leave();
    await test.app.close();
  });
});
