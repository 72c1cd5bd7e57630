/**
 * Files: how much more memory the server holds while 50 MB are sent to it, and how soon a model of 1 MB can be turned in
 * the page, as a ratio to the time its page takes to load.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { makeBuild, PASSWORD } from './build.mjs';
import { browser, residentMegabytes, serve, signIn } from './served.mjs';

const port = 8472;
const address = `http://127.0.0.1:${port}`;
const TRIANGLE_BYTES = 50;
const HEAD_BYTES = 84;

/** A binary STL of about so many bytes: a wavy sheet, so that no two triangles are alike. */
function aSheet(bytes) {
  const count = Math.floor((bytes - HEAD_BYTES) / TRIANGLE_BYTES);
  const side = Math.floor(Math.sqrt(count / 2));
  const triangles = side * side * 2;
  const content = Buffer.alloc(HEAD_BYTES + triangles * TRIANGLE_BYTES);
  content.writeUInt32LE(triangles, 80);
  const height = (x, y) => 3 * Math.sin(x / 7) + 2 * Math.cos(y / 5);
  let at = HEAD_BYTES;
  const corner = (x, y) => {
    for (const value of [x, y, height(x, y)]) at = content.writeFloatLE(value, at);
  };
  for (let x = 0; x < side; x++) {
    for (let y = 0; y < side; y++) {
      for (const three of [
        [
          [x, y],
          [x + 1, y],
          [x + 1, y + 1],
        ],
        [
          [x, y],
          [x + 1, y + 1],
          [x, y + 1],
        ],
      ]) {
        at += 12;
        for (const [cx, cy] of three) corner(cx, cy);
        at += 2;
      }
    }
  }
  return content;
}

async function aDraft(ask) {
  const part = await (await ask('/parts/LB-0100')).text();
  const token = /name="_csrf" value="([^"]+)"/.exec(part)[1];
  const reply = await ask('/parts/LB-0100/revisions', {
    method: 'POST',
    body: new URLSearchParams({ _csrf: token, _once: 'bench-draft' }),
  });
  return reply.headers.get('location');
}

async function send(ask, revision, name, content) {
  const page = await (await ask(revision)).text();
  const token = /name="_csrf" value="([^"]+)"/.exec(page)[1];
  const form = new FormData();
  form.set('kind', 'model');
  form.set('file', new Blob([content]), name);
  const reply = await ask(`${revision}/documents?_csrf=${encodeURIComponent(token)}`, {
    method: 'POST',
    body: form,
  });
  if (reply.status !== 303) throw new Error(`${name} was answered ${reply.status}`);
}

/** Sends a large file and shows a small one. */
export async function bench() {
  const folder = mkdtempSync(join(tmpdir(), 'farwright-files-'));
  const lines = [];
  let server = null;
  try {
    await makeBuild(folder, { parts: 200, jobs: 50, seed: 20_261_125 });
    server = await serve(folder, port);
    const ask = browser(address);
    await signIn(ask);
    const revision = await aDraft(ask);
    // What is loaded once with the first upload is no cost of a large one.
    await send(ask, revision, 'small.stl', aSheet(1_000_000));
    await new Promise((resolve) => setTimeout(resolve, 3000));
    lines.push(await viewer(ask, revision));
    const before = residentMegabytes(server.pid);
    let peak = before;
    const watch = setInterval(() => {
      peak = Math.max(peak, residentMegabytes(server.pid));
    }, 10);
    const large = aSheet(50 * 1024 * 1024);
    const begun = performance.now();
    await send(ask, revision, 'large.stl', large);
    const taken = performance.now() - begun;
    clearInterval(watch);
    lines.push(
      `${(large.length / 1e6).toFixed(1)} MB sent in ${(taken / 1000).toFixed(2)} s: resident ${before.toFixed(0)} MB before, ${peak.toFixed(0)} at the most, ${(peak - before).toFixed(1)} MB more (${((peak - before) / (large.length / 1e6)).toFixed(2)} of the file)`,
    );
  } finally {
    server?.kill();
    rmSync(folder, { recursive: true, force: true });
  }
  return lines;
}

async function viewer(ask, revision) {
  const page = await (await ask(revision)).text();
  const [, view] = /href="(\/documents\/\d+\/view)">small\.stl/.exec(page);
  const chrome = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--headless', '--no-sandbox', '--disable-gpu'],
  });
  try {
    const tab = await chrome.newPage();
    await tab.goto(`${address}/sign-in`);
    await tab.getByLabel('Mail address').fill('lead@example.org');
    await tab.getByLabel('Password').fill(PASSWORD);
    await tab.locator('main form button').first().click();
    await tab.waitForLoadState();
    const times = [];
    for (let round = 0; round < 5; round++) {
      const from = performance.now();
      await tab.goto(address + view, { waitUntil: 'commit' });
      await tab.locator('#viewer h1, h1').first().waitFor();
      const shown = performance.now() - from;
      await tab.locator('#viewer[data-ready]').waitFor();
      times.push({ shown, ready: performance.now() - from - shown });
    }
    const middle = (name) => times.map((one) => one[name]).sort((a, b) => a - b)[2];
    const [first] = times;
    return `an STL of 1 MB can be turned ${Math.round(middle('ready'))} ms after its page is seen (${(middle('ready') / middle('shown')).toFixed(1)} × the page's own ${Math.round(middle('shown'))} ms; the first time ${Math.round(first.ready)} ms)`;
  } finally {
    await chrome.close();
  }
}
