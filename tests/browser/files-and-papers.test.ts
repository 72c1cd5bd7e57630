import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { aPdf } from '../support/drawings.ts';
import { aCube, aDxf } from '../support/models.ts';
import { type Served, serveEmpty, startBrowser, Walker } from './walk.ts';

const PASSWORD = 'correct horse battery';
const square = aDxf([
  [0, 'LWPOLYLINE', 8, 'CUT', 90, 4, 70, 1, 10, 0, 20, 0, 10, 100, 20, 0, 10, 100, 20, 100, 10, 0, 20, 100],
]);

describe('files in the page, and papers', () => {
  let browser: Browser;
  let served: Served;
  let folder: string;
  let lead: Walker;
  let revision = '';
  const views: Record<string, string> = {};

  beforeAll(async () => {
    browser = await startBrowser();
    served = await serveEmpty();
    folder = mkdtempSync(join(tmpdir(), 'farwright-files-'));
    const write = (name: string, content: Buffer) => writeFileSync(join(folder, name), content);
    write('cube.stl', aCube(10));
    write('plate.dxf', square);
    write('sheet.pdf', aPdf('Bracket'));
    lead = await Walker.at(browser, served);
    await lead.go('/');
    await lead.setUp({ email: 'ottilie@example.org', password: PASSWORD });
  });
  afterAll(async () => {
    await lead?.leave();
    await served?.stop();
    await browser?.close();
    rmSync(folder, { recursive: true, force: true });
  });

  it('three files are added and read', async () => {
    await lead.go('/parts/new');
    await lead.fill('Add the part', { Name: 'Bracket' });
    await lead.form('Add the part').getByLabel('Kind').selectOption('made');
    await lead.press('Add the part');
    await lead.go('/parts/CL-0001');
    await lead.press('Begin revision A');
    await lead.sees('Before it is released');
    revision = new URL(lead.page.url()).pathname;
    for (const [name, kind] of [
      ['cube.stl', 'model'],
      ['plate.dxf', 'flat pattern'],
      ['sheet.pdf', 'drawing'],
    ] as const) {
      await lead.go(revision);
      const form = lead.page.locator('form[action*="/documents?"]');
      await form.locator('select').selectOption(kind);
      await form.locator('input[type=file]').setInputFiles(join(folder, name));
      await form.getByRole('button', { name: 'Add' }).click();
      await lead.page.getByRole('link', { name }).first().waitFor();
      views[name] = (await lead.page.getByRole('link', { name }).first().getAttribute('href')) ?? '';
    }
    await expect
      .poll(
        async () => {
          await lead.go(revision);
          return lead.page.locator('.files img').count();
        },
        { timeout: 20_000, interval: 500 },
      )
      .toBe(2);
    await lead.isAccessible();
  });

  it('the model turns by keyboard, is cut, and measured', async () => {
    await lead.go(views['cube.stl']!);
    const canvas = lead.page.locator('#viewer[data-ready] canvas');
    await canvas.waitFor();
    await lead.isAccessible();
    const picture = async () => (await canvas.screenshot()).toString('base64');
    const before = await picture();
    await canvas.focus();
    for (let turn = 0; turn < 4; turn++) await lead.page.keyboard.press('ArrowLeft');
    await lead.page.waitForTimeout(200);
    const turned = await picture();
    expect(turned).not.toBe(before);
    await lead.page.keyboard.press('0');
    await lead.page.waitForTimeout(200);
    expect(await picture()).toBe(before);
    await lead.page.getByLabel('Section across').selectOption('x');
    await lead.page.waitForTimeout(200);
    expect(await picture()).not.toBe(before);
    await lead.page.getByLabel('Section across').selectOption('');
    // From the front the face of the cube fills the middle: two of its corners are 10 mm apart.
    await lead.page.getByRole('button', { name: 'Front' }).click();
    await lead.page.getByLabel('Measure between two points').check();
    const box = (await canvas.boundingBox())!;
    const half = ((box.height / 2) * 5) / (1.08 * Math.hypot(5, 5, 5));
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await lead.page.mouse.click(x - half + 3, y + half - 3);
    await lead.sees('First point: X 0.000 mm, Y 0.000 mm, Z 0.000 mm.');
    await lead.page.mouse.click(x + half - 3, y + half - 3);
    await lead.sees('10.000 mm apart (X 10.000 mm, Y 0.000 mm, Z 0.000 mm)');
    await lead.page.locator('[data-length-unit]').selectOption('in');
    await lead.sees('0.3937 in apart');
  });

  it('works by touch on a phone in the dark, and shows its picture without a script', async () => {
    const phone = await Walker.at(browser, served, { as: lead, width: 360, dark: true });
    await phone.go(views['cube.stl']!);
    await phone.page.locator('#viewer[data-ready] canvas').waitFor();
    await phone.isAccessible();
    await phone.fitsTheScreen();
    await phone.leave();
    const plain = await Walker.at(browser, served, { as: lead, javaScript: false });
    await plain.go(views['cube.stl']!);
    const shown = plain.page.locator('#viewer img');
    expect(await shown.evaluate((image) => (image as unknown as { naturalWidth: number }).naturalWidth)).toBe(
      480,
    );
    await plain.leave();
  });

  it('the flat pattern and the drawing are shown', async () => {
    await lead.go(views['plate.dxf']!);
    expect(await lead.page.locator('svg.flat path').count()).toBe(1);
    await lead.isAccessible();
    await lead.go(views['sheet.pdf']!);
    const sheet = lead.page.locator('#sheet[data-ready] canvas');
    await sheet.waitFor();
    await lead.sees('Sheet 1 of 1');
    // 420 by 200 points
    const box = (await sheet.boundingBox())!;
    expect(box.width / box.height).toBeCloseTo(2.1, 1);
    await lead.isAccessible();
  });
});
