import { expect, it } from 'vitest';
import { startApp } from '../support/app.ts';

/** Words as a reader sees them. */
const words = (html: string) =>
  html
    .replace(/<[^>]+>/g, ' ')
    .replace(/&quot;/g, '"')
    .replace(/\s+/g, ' ');

it('the page of level shows starts by their day, what is in use, and that no order of work is shorter', async () => {
  const { visitor } = await startApp({ empty: true });
  const page = await visitor().post('/bench/level', {
    resources: 'crane; 1\nbay 2; 3',
    activities:
      'id; days; needs; predecessors\nfit; 2; crane, bay 2; mast\nmast; 3; crane, bay 2 2\npaint; 1; ; mast',
    seconds: '0,5',
    seed: '3',
  });
  expect(page.status).toBe(200);
  const text = words(page.text);
  expect(text).toContain('Finished after 5 days');
  expect(text).toContain('no order of work is shorter');
  expect(text).toMatch(/mast 0 3 3 crane, bay 2 2 paint 3 4 1 fit 3 5 2 crane, bay 2/);
  expect(text).toMatch(/crane 1 100 % bay 2 3 53\.3 %/);
  expect(page.text).toContain('<svg');
  expect(text).toContain('"seconds": 0.5');
});

it('the page of level keeps what was typed and says what is wrong at its field', async () => {
  const { visitor } = await startApp({ empty: true });
  const one = visitor();
  const good = { resources: 'crane; 1', activities: 'mast; 2; crane', seconds: '1', seed: '1' };
  for (const [typed, field, sentence] of [
    [{ activities: '' }, 'activities', 'Paste at least one activity'],
    [{ activities: 'mast; two' }, 'activities', 'Line 1: "two" is not a whole number of days.'],
    [{ activities: 'mast; 1.5' }, 'activities', 'Line 1: "1.5" is not a whole number of days.'],
    [{ activities: 'mast' }, 'activities', 'Line 1: the number of days is missing.'],
    [{ activities: 'mast; 2; crane, crane' }, 'activities', 'Line 1 names "crane" twice among its needs.'],
    [{ activities: 'mast; 2; crane 2' }, 'activities', 'Activity mast needs 2 of crane; there are only 1.'],
    [{ activities: 'mast; 2; <i>winch</i>' }, 'activities', 'needs <i>winch</i>, which is not in the list'],
    [
      { activities: 'mast; 2; ; keel' },
      'activities',
      'Activity mast waits for keel, which is not in the list.',
    ],
    [{ activities: 'a; 1; ; b\nb; 1; ; a' }, 'activities', 'in a circle: a -&gt; b -&gt; a'],
    [{ activities: 'a; 200000' }, 'activities', 'activities[0].duration: at most 100,000 days'],
    [{ resources: 'crane; few' }, 'resources', 'Line 1: "few" is not a whole number of units.'],
    [{ resources: 'crane; 1; 2' }, 'resources', 'Line 1 has 3 cells'],
    [{ resources: 'crane; 1\ncrane; 2' }, 'resources', 'Resource crane is in the list more than once.'],
    [{ seconds: '11' }, 'seconds', 'Type more than 0 and at most 10 seconds.'],
    [{ seconds: 'soon' }, 'seconds', '"soon" is not a number'],
    [{ seed: '-1' }, 'seed', 'Type a whole number from 0'],
  ] as const) {
    const values = { ...good, ...typed };
    const page = await one.post('/bench/level', values);
    const about = JSON.stringify(typed);
    expect(page.status, about).toBe(422);
    const error = new RegExp(`id="f-${field}-error">([\\s\\S]*?)</`).exec(page.text)?.[1] ?? '';
    const plain = error.replaceAll('&lt;', '<').replaceAll('&quot;', '"');
    expect(plain.replaceAll('i&gt;', 'i>'), about).toContain(sentence);
    expect(page.text, about).not.toContain('<i>winch');
    const [kept] = Object.values(typed);
    if (kept !== '') expect(page.text.replaceAll('&lt;', '<').replaceAll('&gt;', '>'), about).toContain(kept);
  }
});
