import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Served, serveEmpty, startBrowser, Walker } from './walk.ts';

const PASSWORD = 'a lantern for every planet';

let program: Served;
let browser: Browser;

beforeAll(async () => {
  [program, browser] = await Promise.all([serveEmpty(), startBrowser()]);
  const lead = await Walker.at(browser, program);
  await lead.go('/set-up');
  await lead.setUp({ email: 'jerica@example.org', password: PASSWORD });
  await lead.leave();
}, 60_000);

afterAll(async () => {
  await browser?.close();
  await program?.stop();
});

const LOOKS = [
  { width: 1280, dark: false },
  { width: 360, dark: true },
];

async function signedIn(how: { width?: number; dark?: boolean } = {}): Promise<Walker> {
  const lead = await Walker.at(browser, program, how);
  await lead.go('/sign-in');
  await lead.page.getByLabel('Mail address').fill('jerica@example.org');
  await lead.page.getByLabel('Password').fill(PASSWORD);
  await lead.press('Sign in');
  return lead;
}

async function looks(lead: Walker): Promise<void> {
  await lead.fitsTheScreen();
  await lead.isAccessible();
}

describe('will it fit', () => {
  it.each(LOOKS)(
    'a fit is made, fails, is mended; a chain is made; at $width px, dark $dark',
    async (how) => {
      const lead = await signedIn(how);
      await lead.go('/fits/new');
      await looks(lead);
      const form = { Coldest: '20', Warmest: '20' };
      const sized = lead.page.getByLabel('Or a size typed');
      await sized.nth(0).fill('25 H7');
      await sized.nth(1).fill('25 H7');
      await lead.fill('Add the fit', form);
      await lead.press('Add the fit');
      await lead.sees(/is a zone of a hole/);
      expect(await sized.nth(0).inputValue()).toBe('25 H7');
      await looks(lead);
      await sized.nth(1).fill('25 s6');
      await lead.press('Add the fit');
      await lead.sees('does not fit');
      await lead.sees('What to change');
      await looks(lead);
      await lead.follow('Change');
      await lead.page.getByLabel('Or a size typed').nth(1).fill('25 g6');
      await lead.press('Keep');
      await lead.sees(/0\.007 mm to spare/);
      await looks(lead);

      await lead.go('/chains/new');
      await looks(lead);
      await lead.fill('Add the chain', {
        'What gap it adds up to': `Cover to bearing ${how.width} ${how.dark}`,
        'Smallest gap wanted': '0',
        'Greatest gap wanted': '0,4',
        ...form,
      });
      await lead.press('Add the chain');
      await lead.sees('No links yet');
      for (const [text, direction] of [
        ['42 +0.1 0', 'Opens the gap'],
        ['41,8 ±0,05', 'Closes the gap'],
      ] as const) {
        await lead.page.getByLabel('Or a size typed').fill(text);
        await lead.page.getByLabel(direction).check();
        await lead.press('Add');
        await lead.sees(new RegExp(text.replace(',', '.').slice(0, 4)));
      }
      await lead.sees(/0\.15 to 0\.35 mm/);
      await looks(lead);
      await lead.go('/fits');
      await lead.sees(`Cover to bearing ${how.width} ${how.dark}`);
      await looks(lead);
      await lead.go('/specs/soundness');
      await looks(lead);
      await lead.leave();
    },
    120_000,
  );
});
