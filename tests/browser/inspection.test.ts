import type { Browser } from 'playwright-core';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startApp, type TestApp } from '../support/app.ts';
import { CAST_PASSWORD, type CastName, cast } from '../support/cast.ts';
import { aDeliveredClaim } from '../support/receiving.ts';
import { startBrowser, Walker } from './walk.ts';

const PART = { part: { characteristics: [{ text: '25 H7', label: 'bore' }, '40'] } };

let browser: Browser;

beforeAll(async () => {
  browser = await startBrowser();
});
afterAll(() => browser.close());

/** A phone at the bench, with somebody signed in. */
async function phone(
  test: TestApp,
  how: { who?: CastName; javaScript?: boolean; dark?: boolean } = {},
): Promise<Walker> {
  const { who = 'crew', ...rest } = how;
  const address = await test.app.listen({ host: '127.0.0.1', port: 0 });
  const walker = await Walker.at(browser, { address, stop: async () => {} }, { width: 360, ...rest });
  await walker.go('/sign-in');
  await walker.fill('Sign in', { 'Mail address': cast[who].email, Password: CAST_PASSWORD });
  await walker.press('Sign in');
  return walker;
}

const look = async (walker: Walker) => {
  await walker.isAccessible();
  await walker.fitsTheScreen();
};

describe('inspection on a phone 360 px wide', () => {
  it.each([{ dark: false }, { dark: true }])(
    'a lot of 26: values are judged while typed, a sample stands for the rest, a slip is put right, %o',
    async ({ dark }) => {
      const test = await startApp();
      const { lineId } = await aDeliveredClaim(test, { quantity: 26, jobWish: PART });
      const walker = await phone(test, { dark });
      const { page } = walker;
      const bore = page.getByLabel('bore 25 H7');
      const length = page.getByLabel('40 39.7 to 40.3 mm');
      await walker.go('/receiving');
      await look(walker);
      await walker.go(`/receiving/lines/${lineId}`);
      await look(walker);

      // At once, and by the page alone: the phone has no network in the workshop.
      await page.context().setOffline(true);
      await bore.fill('25,033');
      await walker.sees('0.012 mm above the upper limit');
      expect(await bore.getAttribute('aria-invalid')).toBe('true');
      await bore.fill('2.501');
      await walker.sees('Ten times off what the drawing says: is the point in its place?');
      expect(await page.getByLabel('Yes, it is really so').first().isVisible()).toBe(true);
      await look(walker);
      await bore.fill('25.01');
      await walker.sees('inside the limits');
      expect(await page.getByLabel('Yes, it is really so').first().isVisible()).toBe(false);
      await page.context().setOffline(false);

      await page.getByText('Measure a sample: 8 of 26').click();
      await look(walker);
      await walker.press('Take the sample');
      await walker.sees('each is measured in every dimension. 8 to go.');
      const picture = await sharp({ create: { width: 60, height: 40, channels: 3, background: '#777' } })
        .jpeg()
        .toBuffer();
      for (let piece = 1; piece <= 8; piece += 1) {
        const form = walker.form(`Write down piece ${piece}`);
        await bore.fill('25.01');
        await length.fill('40.1');
        await form.getByLabel('accept').check();
        if (piece === 1) {
          await form.getByLabel('Measured with').fill('plug gauge 7');
          await form
            .getByLabel('Photos')
            .setInputFiles({ name: 'bore.jpg', mimeType: 'image/jpeg', buffer: picture });
        } else {
          expect(await form.getByLabel('Measured with').inputValue()).toBe('plug gauge 7');
        }
        await walker.press(`Write down piece ${piece}`);
      }
      await walker.sees('None of it was outside.');
      await look(walker);
      await walker.press('Accept the other 18 with it');
      await walker.sees('18 pieces accepted with the sample.');
      await look(walker);

      await walker.type('Look a piece up by its number', '1');
      await walker.press('Look');
      await look(walker);
      await page.getByText('Correct it').first().click();
      const form = walker.form('Correct it');
      await form.getByLabel('scrap').check();
      await form.getByLabel('Why').first().fill('cracked at the web');
      await form.getByLabel('What was wrong').fill('Seen under the lamp.');
      await look(walker);
      await walker.press('Correct it');
      await walker.sees('Before: accept');
      await look(walker);
      const row = await test.context.db.read.unitCheck.findFirstOrThrow({ where: { unitNo: 1 } });
      expect(row).toMatchObject({ disposition: 'scrap', version: 2 });
      expect(await test.context.db.read.photo.count({ where: { checkId: row.id } })).toBe(1);
      await walker.leave();
    },
  );

  it('works without JavaScript: what looks like inches is asked about at its field, and taken when ticked', async () => {
    const test = await startApp();
    const { lineId } = await aDeliveredClaim(test, { quantity: 2, jobWish: PART });
    const walker = await phone(test, { javaScript: false });
    const { page } = walker;
    await walker.go(`/receiving/lines/${lineId}`);
    const form = walker.form('Write down piece 1');
    await page.getByLabel('bore 25 H7').fill('0.985');
    await form.getByLabel('scrap').check();
    await form.getByLabel('Why').first().fill('far off');
    await form.getByLabel('Measured with').fill('rule');
    await walker.press('Write down piece 1');
    await walker.sees('A 25.4th of what the drawing says: is it in inches?');
    expect(await test.context.db.read.unitCheck.count()).toBe(0);
    await page.getByLabel('Yes, it is really so').first().check();
    await walker.press('Write down piece 1');
    await walker.sees('1 piece to go');
    expect((await test.context.db.read.measuredValue.findFirstOrThrow()).value).toBe(0.985);
    await walker.leave();
  });
});
