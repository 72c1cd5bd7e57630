import { describe, expect, it } from 'vitest';
import { calculators } from '../../src/bench/calculators.ts';
import { startApp } from '../support/app.ts';

const query = (values: Record<string, unknown>) =>
  new URLSearchParams(values as Record<string, string>).toString();

/** Words as a reader sees them. */
const words = (html: string) =>
  html
    .replace(/<(script|style)[\s\S]*?<\/\1>/g, '')
    .replace(/<[^>]+>/g, ' ')
    .replace(/&quot;/g, '"')
    .replace(/&#39;/g, "'")
    .replace(/&nbsp;/g, ' ')
    .replace(/\s+/g, ' ');

it('the bench lists every calculator, for visitors and before set-up', async () => {
  for (const empty of [true, false]) {
    const { visitor } = await startApp({ empty });
    const one = visitor();
    const index = await one.get('/bench');
    expect(index.status).toBe(200);
    for (const { name, title, line } of calculators) {
      expect(index.text).toContain(`href="/bench/${name}"`);
      expect(words(index.text)).toContain(title);
      expect(words(index.text)).toContain(line);
    }
    expect(index.text).toContain('id="does-not-fit"');
    expect(words(index.text)).toContain('activities[3].predecessors[0].id');
    const missing = await one.get('/bench/nothing');
    expect(missing.status).toBe(404);
    if (!empty) {
      const nav = /<nav aria-label="Sheets">[\s\S]*?<\/nav>/.exec(index.text)?.[0];
      expect(nav).toContain('<a href="/bench" aria-current="page">');
    }
  }
});

it('every page has its form, its example, the standing note and the same as JSON', async () => {
  const { visitor } = await startApp({ empty: true });
  const one = visitor();
  for (const { name, title, page } of calculators) {
    const fresh = await one.get(`/bench/${name}`);
    expect(fresh.status, name).toBe(200);
    expect(fresh.text).toContain(`<h1>${title}</h1>`);
    expect(fresh.text).not.toContain('class="error"');
    expect(words(fresh.text)).toContain('An aid to checking, not a certificate.');
    expect(words(fresh.text)).toContain(`POST /api/v1/calculate/${name} HTTP/1.1`);
    const example =
      page.method === 'get'
        ? await one.get(`/bench/${name}?${query(page.example)}`)
        : await one.post(`/bench/${name}`, page.example);
    expect(example.status, name).toBe(200);
    expect(example.text).toContain('id="result"');
    expect(words(example.text)).toContain('What you typed, as a request:');
    expect(example.text).not.toContain('undefined');
    expect(example.text).not.toContain('NaN');
    expect(example.text).not.toContain('style=');
    if (page.method === 'post') {
      const filled = await one.get(`/bench/${name}?example=yes`);
      expect(filled.text).toContain(String(Object.values(page.example)[0]).split('\n')[0]);
    }
  }
});

describe('a result', () => {
  it('of limits stands with units, its source and an address to share', async () => {
    const { visitor } = await startApp({ empty: true });
    const one = visitor();
    const page = await one.get('/bench/limits?nominal=25&unit=mm&zone=H7&generalClass=&kind=linear');
    const text = words(page.text);
    expect(text).toContain('25 H7');
    expect(text).toMatch(/Upper limit \+0\.021 25\.0210/);
    expect(text).toContain('From limit to limit: 0.021 mm');
    expect(text).toContain('After ISO 286-1:2010');
    expect(page.text).toContain(
      'href="http://127.0.0.1/bench/limits?nominal=25&amp;unit=mm&amp;zone=H7&amp;kind=linear"',
    );
    const comma = await one.get('/bench/limits?nominal=25,5&generalClass=m&kind=linear');
    expect(words(comma.text)).toMatch(/Upper limit \+0\.2 25\.700/);
    const angle = await one.get('/bench/limits?nominal=60&generalClass=m&kind=angle');
    expect(words(angle.text)).toContain('± 0.3333° , which is 20 minutes of arc');
    const inch = await one.get('/bench/limits?nominal=1&unit=in&zone=h7');
    expect(words(inch.text)).toContain('deviation, in');
  });

  it('of a fit takes materials from the library, and from the build once it is set up', async () => {
    const { visitor } = await startApp({ empty: true });
    const one = visitor();
    const fresh = await one.get('/bench/fit');
    expect(fresh.text).toContain('carbon steel C45');
    const warm = await one.get(
      '/bench/fit?nominal=25&holeZone=H7&shaftZone=g6&celsius=60&holeExpansion=23&shaftExpansion=11,5',
    );
    expect(words(warm.text)).toContain('25 H7/g6: clearance fit at 60 °C');
    expect(words(warm.text)).toMatch(/Tightest clearance 0\.0185 mm/);
    expect(words(warm.text)).toMatch(/Loosest clearance 0\.0525 mm/);
    expect(warm.text).toContain('<svg class="chart sketch"');
    const steel = await one.get(
      '/bench/fit?nominal=25&holeZone=H7&shaftZone=p6&celsius=20&holeMaterial=steel-c45&shaftMaterial=steel-c45',
    );
    expect(words(steel.text)).toMatch(/Loosest interference 0\.001 mm/);

    const build = await startApp();
    const { id } = await build.context.db.write.material.create({
      data: { name: 'moon <b>rock</b>', family: 'stone', expansion: 7.25 },
    });
    const own = await build
      .visitor()
      .get(
        `/bench/fit?nominal=25&holeZone=H7&shaftZone=g6&celsius=120&holeMaterial=own-${id}&shaftExpansion=7,25`,
      );
    expect(own.status).toBe(200);
    expect(own.text).toContain('moon &lt;b&gt;rock&lt;/b&gt;: 7.25');
    expect(words(own.text)).toContain('hole 7.25, shaft 7.25');
  });

  it('of a chain tells worst case, chance and shares; rows are added without a script', async () => {
    const { visitor } = await startApp({ empty: true });
    const one = visitor();
    const rows =
      'label-1=depth&nominal-1=42&plus-1=0,1&direction-1=1&nominal-3=41,5&minus-3=0.05&direction-3=-1';
    const more = await one.get(`/bench/chain?rows=4&${rows}&more=yes`);
    expect(more.status).toBe(200);
    expect(more.text).toContain('name="nominal-8"');
    expect(more.text).toContain('value="0,1"');
    expect(more.text).not.toContain('class="error"');
    const page = await one.get(`/bench/chain?rows=4&${rows}&wantedMin=0.4&wantedMax=0.7`);
    const text = words(page.text);
    expect(text).toContain('Even the worst case keeps what is wanted. Chance that it is kept: over 99.99 %');
    expect(text).toMatch(/Worst case 0\.500 0\.650/);
    expect(text).toMatch(/depth 80 % row 3 20 %/);
    expect((await one.get('/bench/chain?rows=999999&more=yes')).text).not.toContain('name="nominal-61"');
  });

  it('of a pasted table reads links, headings and decimal commas', async () => {
    const { visitor } = await startApp({ empty: true });
    const one = visitor();
    const page = await one.post('/bench/network', {
      activities: 'id\tdays\tafter\ncut <b>\t2,5\nweld\t4\tcut <b> FS+1,5\t\npaint\t1\tweld SS, cut <b>\t10',
      finishBy: '12',
    });
    expect(page.status).toBe(200);
    expect(words(page.text)).toContain('Finished after 11 days');
    expect(page.text).toContain('cut &lt;b&gt;');
    expect(page.text).not.toContain('<b>\t');
    const risk = await one.post('/bench/risk', {
      activities: 'a; 1; 2; 4\nb; 2; 3; 9; a',
      targets: '6 8,5',
      distribution: 'triangular',
      runs: '500',
      seed: '7',
    });
    expect(risk.status).toBe(200);
    expect(words(risk.text)).toContain('500 runs, seed 7');
    expect(words(risk.text)).toMatch(/finished by day chance by hand 6 /);
  });

  it('of a lead time counts those still open, and says what the history does not tell', async () => {
    const { visitor } = await startApp({ empty: true });
    const one = visitor();
    const page = await one.post('/bench/lead-time', {
      history: '9 12\n14; yes\n20+\n30; no\n26',
      elapsed: '10',
      due: '20',
    });
    const text = words(page.text);
    expect(page.status).toBe(200);
    expect(text).toContain('Given that it has not come in 10 days: 5 of the earlier ones took longer.');
    expect(text).toContain('Half have come by day 26');
    expect(text).toContain('Come by day 20: 40 %');
    expect(text).toMatch(/95 % not reached/);
    const far = await one.post('/bench/lead-time', { history: '9\n20+', due: '40' });
    expect(words(far.text)).toContain('What happens by day 40 the history does not tell.');
  });

  it('of a comparison says which way and how sure', async () => {
    const { visitor } = await startApp({ empty: true });
    const one = visitor();
    const page = await one.post('/bench/comparison', {
      before: '10,1\n10,3\n10,2\n9,9',
      after: '8,0 8,2 7.9',
      unit: 'mm/s',
    });
    expect(words(page.text)).toContain('After is lower by');
    expect(words(page.text)).toContain('mm/s');
    const same = await one.post('/bench/comparison', { before: '10 11 12', after: '10 11 12,1' });
    expect(words(same.text)).toContain('no larger than chance alone makes it');
  });
});

describe('a form that does not fit', () => {
  const cases: [string, Record<string, string>, string, string][] = [
    [
      'limits',
      { nominal: 'abc', zone: 'H7' },
      'nominal',
      '"abc" is not a number; type it like 12.5 or 12,5.',
    ],
    ['limits', { nominal: '', zone: 'H7' }, 'nominal', 'Type the nominal size.'],
    ['limits', { nominal: '25' }, 'zone', 'Type a zone such as H7'],
    ['limits', { nominal: '25', zone: 'H7', generalClass: 'm' }, 'generalClass', 'not both'],
    ['limits', { nominal: '25', zone: 'H99' }, 'zone', 'not 99'],
    ['limits', { nominal: '1e300', zone: 'H7' }, 'nominal', 'mm'],
    ['limits', { nominal: '0', zone: 'H7' }, 'nominal', 'Nominal 0 mm'],
    ['limits', { nominal: '5000', zone: 'H7' }, 'nominal', 'over 0 and up to 3150 mm'],
    ['limits', { nominal: '5000', generalClass: 'm' }, 'nominal', 'Length 5000 mm'],
    ['limits', { nominal: '25 mm', zone: 'H7' }, 'nominal', 'is not a number; type it like 12.5 or 12,5.'],
    ['limits', { nominal: '25', zone: 'Q7' }, 'zone', 'no letter Q'],
    ['fit', { nominal: '0', holeZone: 'H7', shaftZone: 'g6' }, 'nominal', 'a size is over 0'],
    ['fit', { nominal: '5000', holeZone: 'H7', shaftZone: 'g6' }, 'nominal', 'above 4000 mm'],
    ['fit', { nominal: '25', holeZone: 'H7', shaftZone: 'H7' }, 'shaftZone', 'zone of a hole'],
    [
      'fit',
      { nominal: '25', holeUpper: '0', holeLower: '0,1', shaftZone: 'g6' },
      'holeUpper',
      'lower deviation 0.1 mm lies above upper deviation 0 mm',
    ],
    ['limits', { nominal: '25', generalClass: 'z' }, 'generalClass', 'Choose one of the list.'],
    ['limits', { nominal: '25', zone: 'H7\u202e' }, 'zone', 'cannot be seen'],
    ['fit', { nominal: '25', holeZone: 'g6', shaftZone: 'g6' }, 'holeZone', 'zone of a shaft'],
    ['fit', { nominal: '25', holeZone: 'H7' }, 'shaftZone', 'Type a zone such as g6'],
    ['fit', { nominal: '25', holeZone: 'H7', shaftUpper: '0' }, 'shaftLower', 'lower deviation too'],
    [
      'fit',
      { nominal: '25', holeZone: 'H7', shaftZone: 'g6', celsius: '60' },
      'holeMaterial',
      'Choose what the hole is made of',
    ],
    [
      'fit',
      { nominal: '25', holeZone: 'H7', shaftZone: 'g6', holeExpansion: '3' },
      'celsius',
      'Type the temperature',
    ],
    [
      'fit',
      {
        nominal: '25',
        holeZone: 'H7',
        shaftZone: 'g6',
        celsius: '-300',
        holeExpansion: '3',
        shaftExpansion: '3',
      },
      'celsius',
      'absolute zero',
    ],
    [
      'fit',
      { nominal: '25', holeZone: 'H7', shaftZone: 'g6', celsius: '20', holeMaterial: 'cheese' },
      'holeMaterial',
      'Choose one of the list.',
    ],
    ['chain', { 'nominal-1': '', 'label-1': 'rod' }, 'nominal-1', 'Row 1: type the nominal size.'],
    ['chain', { 'nominal-1': '3', 'plus-1': '-1' }, 'plus-1', 'Row 1: plus is a size, 0 or more.'],
    [
      'chain',
      { 'nominal-1': '3', wantedMin: '2', wantedMax: '1' },
      'wantedMin',
      'min 2 mm lies above max 1 mm',
    ],
    ['chain', { 'nominal-1': '' }, 'nominal-1', 'Type the first size'],
    ['thread', { thread: 'M<6>' }, 'thread', 'a metric thread is written M6'],
  ];
  it('comes back with 422, the sentence at the field and what was typed', async () => {
    const { visitor } = await startApp({ empty: true });
    const one = visitor();
    for (const [name, values, field, sentence] of cases) {
      const page = await one.get(`/bench/${name}?${query(values)}`);
      const about = `${name} ${JSON.stringify(values)}`;
      expect(page.status, about).toBe(422);
      const error = new RegExp(`id="f-${field}-error">([^<]*)<`).exec(page.text)?.[1] ?? '';
      expect(words(error), about).toContain(sentence);
      expect(page.text).not.toContain('What you typed, as a request');
      for (const [typed, value] of Object.entries(values)) {
        if (!/Class|Material|thread/.test(typed) && value) {
          expect(page.text, about).toContain(`value="${value}"`);
        }
      }
      expect(page.text).not.toContain('<6>');
    }
  });

  it('keeps pasted tables and names the line', async () => {
    const { visitor } = await startApp({ empty: true });
    const one = visitor();
    for (const [name, values, field, sentence] of [
      ['network', { activities: '' }, 'activities', 'Paste at least one activity'],
      [
        'network',
        { activities: 'a; 1\nb; <i>four</i>; a' },
        'activities',
        'Line 2: "<i>four</i>" is not a number of days',
      ],
      ['network', { activities: 'a; -1' }, 'activities', 'Line 1: the duration is below 0.'],
      [
        'network',
        { activities: 'a; 1; b' },
        'activities',
        'Activity a waits for b, which is not in the list.',
      ],
      ['network', { activities: 'a; 1; b\nb; 1; a' }, 'activities', 'circle'],
      ['network', { activities: 'a; 1; b; 1; 7' }, 'activities', 'Line 1 has 5 cells'],
      ['network', { activities: 'a; 1', finishBy: 'soon' }, 'finishBy', 'is not a number'],
      ['network', { activities: 'a; 1\n'.repeat(5001) }, 'activities', 'At most 5,000 lines'],
      ['lead-time', { history: '' }, 'history', 'Paste how long'],
      ['lead-time', { history: '12\nsoon' }, 'history', 'Line 2: "soon" is not a number of days.'],
      ['lead-time', { history: '12; perhaps' }, 'history', 'says neither yes'],
      ['lead-time', { history: '12\n-3' }, 'history', 'is below 0'],
      ['lead-time', { history: '12', due: '-1' }, 'due', 'Days are 0 or more.'],
      ['risk', { activities: 'a; 1; 2' }, 'activities', 'Line 1: the latest is missing.'],
      ['risk', { activities: 'a; 3; 2; 4' }, 'activities', 'must not fall'],
      ['risk', { activities: 'a; 1; 2; 3', runs: '0' }, 'runs', 'from 1 to 50,000'],
      ['risk', { activities: 'a; 1; 2; 3', targets: 'x' }, 'targets', 'Value 1, "x", is not a number'],
      ['comparison', { before: '1 2', after: '1' }, 'after', 'at least 2 are needed'],
      ['comparison', { before: '1 2', after: '' }, 'after', 'Paste at least two values.'],
      ['comparison', { before: '1 1', after: '1 1' }, '', 'no spread'],
    ] as const) {
      const page = await one.post(`/bench/${name}`, values);
      const about = `${name} ${JSON.stringify(values).slice(0, 80)}`;
      expect(page.status, about).toBe(422);
      const told = page.text.replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&quot;', '"');
      if (field) expect(told, about).toContain(`id="f-${field}-error">`);
      expect(told, about).toContain(sentence);
      expect(page.text).not.toContain('<i>four');
      const typed = Object.values(values)[0] as string;
      if (typed.length < 100) expect(told.replaceAll('\r', ''), about).toContain(typed);
    }
  });

  it('is refused without its token, as every form that is posted', async () => {
    const { visitor } = await startApp({ empty: true });
    const { agent } = visitor();
    expect((await agent.post('/bench/risk').type('form').send({ activities: 'a;1;2;3' })).status).toBe(403);
  });
});
