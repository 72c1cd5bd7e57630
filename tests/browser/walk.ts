import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { AxeBuilder } from '@axe-core/playwright';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';
import { expect } from 'vitest';

const MAIN = resolve(import.meta.dirname, '../../dist/src/main.js');
const CHROMIUM = process.env.CHROMIUM ?? '/usr/bin/chromium';
const QUIET = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

export interface Served {
  address: string;
  stop(): Promise<void>;
}

async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const { port } = server.address() as { port: number };
  await new Promise((done) => server.close(done));
  return port;
}

/** The built program as a newcomer starts it: an empty data folder, a process of its own. */
export async function serveEmpty(): Promise<Served> {
  const folder = mkdtempSync(join(tmpdir(), 'farwright-walk-'));
  const port = await freePort();
  const child: ChildProcess = spawn(process.execPath, [MAIN], {
    // Not the runner's own environment: it sets BASE_URL for purposes of its own.
    env: {
      PATH: process.env.PATH,
      HOME: process.env.HOME,
      DATA_DIR: folder,
      PORT: String(port),
      RATE_LIMIT: 'off',
    },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  await new Promise<void>((ready, failed) => {
    child.stdout?.once('data', () => ready());
    child.once('exit', (code) => failed(new Error(`the program ended with ${code}`)));
  });
  return {
    address: `http://127.0.0.1:${port}`,
    async stop() {
      const ended = new Promise((done) => child.once('close', done));
      child.kill('SIGTERM');
      await ended;
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

export function startBrowser(): Promise<Browser> {
  return chromium.launch({ executablePath: CHROMIUM, args: QUIET });
}

/** A person at a browser of their own. What the page's console calls an error fails the walk. */
export class Walker {
  private constructor(
    readonly page: Page,
    private readonly context: BrowserContext,
    private readonly address: string,
    private readonly complaints: string[],
  ) {}

  /** @param how.as  somebody who is signed in already, at another browser of theirs */
  static async at(
    browser: Browser,
    { address }: Served,
    how: { javaScript?: boolean; width?: number; dark?: boolean; as?: Walker } = {},
  ): Promise<Walker> {
    const context = await browser.newContext({
      javaScriptEnabled: how.javaScript ?? true,
      viewport: { width: how.width ?? 1280, height: 900 },
      colorScheme: how.dark ? 'dark' : 'light',
      ...(how.as ? { storageState: await how.as.context.storageState() } : {}),
    });
    context.setDefaultTimeout(15_000);
    const page = await context.newPage();
    const complaints: string[] = [];
    page.on('pageerror', (fault) => complaints.push(String(fault)));
    page.on('console', (message) => {
      // A refused form is shown with 409 or 422, which Chromium reports as a failed load: that is meant.
      if (message.type() === 'error' && !/status of 4(09|22)/.test(message.text()))
        complaints.push(message.text());
    });
    return new Walker(page, context, address, complaints);
  }

  /** Goes to an address. Where the answer to a form sent just before still comes in, it goes when that is there. */
  async go(path: string): Promise<void> {
    const address = path.startsWith('http') ? path : this.address + path;
    const reply = await this.page.goto(address).catch(async (fault: Error) => {
      if (!fault.message.includes('interrupted by another navigation')) throw fault;
      await this.page.waitForLoadState('load');
      return this.page.goto(address);
    });
    expect(reply?.status(), path).toBeLessThan(400);
  }

  /** Types into the box with this label. */
  async type(label: string, text: string): Promise<void> {
    await this.page.getByLabel(label, { exact: false }).first().fill(text);
  }

  /** Types into the box with this label inside the form that has this button. */
  async fill(button: string, boxes: Record<string, string>): Promise<void> {
    const form = this.form(button);
    for (const [label, text] of Object.entries(boxes)) await form.getByLabel(label).first().fill(text);
  }

  /** Sets the build up as its first page asks: a clock in Norway, whose lead this person becomes. */
  async setUp({ password, email }: { password: string; email: string }): Promise<void> {
    await this.fill('Set up the build', {
      'Name of the machine': 'Clock',
      'Prefix of part numbers': 'CL',
      'Country it is built in': 'NO',
      'Time zone': 'Europe/Oslo',
      Currency: 'EUR',
      'Your name': 'Ottilie',
      'Your mail address': email,
      'A password': password,
    });
    await this.press('Set up the build');
  }

  form(button: string) {
    return this.page
      .locator('form')
      .filter({ has: this.page.getByRole('button', { name: button, exact: true }) })
      .first();
  }

  /** Presses a button and waits for the page it leads to. */
  async press(name: string): Promise<void> {
    await Promise.all([
      this.page.waitForLoadState('load'),
      this.page.getByRole('button', { name, exact: true }).first().click(),
    ]);
    await this.page.waitForLoadState('load');
  }

  async follow(name: string): Promise<void> {
    await this.page.locator('main').getByRole('link', { name, exact: true }).first().click();
    await this.page.waitForLoadState('load');
  }

  async sees(text: string | RegExp): Promise<void> {
    await this.page.getByText(text).filter({ visible: true }).first().waitFor();
  }

  /** No finding of axe-core that is serious or worse (WCAG A and AA, up to 2.2). */
  async isAccessible(): Promise<void> {
    const { violations } = await new AxeBuilder({ page: this.page })
      .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'])
      // Our pages have no frames of other origins: the findings are gathered without opening a page for it.
      .setLegacyMode(true)
      .analyze();
    const grave = violations.filter(({ impact }) => impact === 'serious' || impact === 'critical');
    expect(
      grave.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' | ')}`),
      this.page.url(),
    ).toEqual([]);
  }

  /** Nothing sticks out sideways. */
  async fitsTheScreen(): Promise<void> {
    const over = await this.page.evaluate(
      'document.documentElement.scrollWidth - document.documentElement.clientWidth',
    );
    expect(over, this.page.url()).toBeLessThanOrEqual(0);
  }

  async leave(): Promise<void> {
    await this.context.close();
    expect(this.complaints).toEqual([]);
  }
}
