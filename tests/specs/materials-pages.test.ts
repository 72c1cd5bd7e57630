import { describe, expect, it } from 'vitest';
import { cautionsFor } from '../../src/specs/index.ts';
import { startApp } from '../support/app.ts';

const brass = {
  name: 'brass of our own',
  family: 'metal',
  density: '8500',
  densityLow: '8400',
  densityHigh: '8600',
  densitySource: 'data sheet of the bar in the rack',
  expansion: '18,5',
  expansionSource: 'from memory',
  cautions: 'chips like needles: eye protection\n\nno brushing off with the hand',
  cautionsSource: 'common workshop practice, from memory',
  water: '',
  source: '',
};

describe('GET /materials and /processes', () => {
  it('lists every entry of the library with usual values, for all who are signed in', async () => {
    const { as, visitor, context } = await startApp();
    const maker = await as('imre');
    const list = await maker.get('/materials');
    expect(list.status).toBe(200);
    for (const { name } of await context.db.read.material.findMany()) {
      expect(list.text).toContain(`>${name}</a>`);
    }
    expect(list.text).toContain('title="EN 1993-1-1 3.2.6');
    expect(list.text).not.toContain('Add a material');
    const processes = await maker.get('/processes');
    expect(processes.text).toContain('turning (lathe)');
    expect(processes.text).toContain('IT6 to IT13');
    expect((await visitor().get('/materials')).headers.location).toContain('/sign-in');
  });

  it('shows an entry with ranges, the source of each value and its cautions', async () => {
    const { as, context } = await startApp();
    const oak = await context.db.read.material.findFirstOrThrow({ where: { key: 'oak' } });
    const page = await (await as('imre')).get(`/materials/${oak.id}`);
    expect(page.text).toContain('4.9 (3 to 6)');
    expect(page.text).toContain('along the grain, 54 10⁻⁶/K across it.');
    expect(page.text).toContain('Local codes, the product’s data sheet and licensed practice come first.');
    for (const caution of JSON.parse(oak.cautions) as string[]) expect(page.text).toContain(caution);
    expect(page.text).toContain('3.7&nbsp;% ');
    expect(page.text).toContain('across a flat sawn board (tangential), 1.8 % radially.');
    expect(page.text).toContain('Wood Handbook');
    expect(page.text).toContain('<li>sawn 27, 35, 40, 50, 60, 80 mm</li>');
    expect(page.text).toContain('usual sizes of the trade in Europe, from memory');
    expect(page.text).toContain('checked by someone licensed to');
    for (const id of ['0', '-1', 'x', '99999999999999999999', '987654'])
      expect((await (await as('lead')).get(`/materials/${id}`)).status).toBe(404);
  });
});

describe('GET /processes/:id', () => {
  it('shows each figure with where it is from, and what usual machines take', async () => {
    const { as, context } = await startApp();
    const fdm = await context.db.read.process.findFirstOrThrow({ where: { key: 'fdm' } });
    const page = await (await as('imre')).get(`/processes/${fdm.id}`);
    expect(page.text).toContain('0.8 to 2&nbsp;mm');
    expect(page.text).toContain('walls from 0.8, holes and pins from 2. https://hycubeworks.in/design_guide');
    expect(page.text).toContain('200 × 200 × 200&nbsp;mm');
    expect(page.text).toContain('up to 900 × 600 × 900. 3D printing geometry restrictions');
    expect(page.text).toContain('Cautions: common workshop practice, from memory');
    const rows = await context.db.read.process.findMany();
    for (const { id, name } of rows) {
      const text = (await (await as('imre')).get(`/processes/${id}`)).text;
      expect(text, name).toContain('Smallest feature');
      expect(text, name).toContain('Largest piece');
      expect(text, name).not.toContain('no source named');
    }
  });
});

describe('POST /materials', () => {
  it('adds an entry as typed, with a decimal comma and HTML as text', async () => {
    const { as, context } = await startApp();
    const crew = await as('crew');
    const done = await crew.post('/materials', { ...brass, name: 'brass <b>x</b>' });
    expect(done.status).toBe(303);
    const page = await crew.get(done.headers.location as string);
    expect(page.text).toContain('brass &lt;b&gt;x&lt;/b&gt;');
    expect(page.text).toContain('8500 (8400 to 8600)');
    expect(page.text).toContain('data sheet of the bar in the rack');
    expect(page.text).toContain('Cautions: common workshop practice, from memory');
    const row = await context.db.read.material.findFirstOrThrow({ where: { name: 'brass <b>x</b>' } });
    expect(row).toMatchObject({ density: 8500, expansion: 18.5, stiffness: null });
    expect(JSON.parse(row.cautions)).toEqual([
      'chips like needles: eye protection',
      'no brushing off with the hand',
    ]);
  });

  it('keeps what was typed and stores nothing when a field does not fit', async () => {
    const { as, context } = await startApp();
    const lead = await as('lead');
    const before = await context.db.read.material.count();
    const wrong: [Record<string, string>, string][] = [
      [{ name: '' }, 'Give it a name.'],
      [{ name: 'x'.repeat(121) }, 'At most 120 characters; this has 121.'],
      [{ name: 'a\u202eb' }, 'characters that cannot be seen'],
      [{ name: 'MILD STEEL S235JR (1.0038)' }, 'is on the list already'],
      [{ family: 'stone' }, 'Choose a family.'],
      [{ density: 'heavy' }, 'Type a number.'],
      [{ density: '-7850' }, 'At least 1 kg/m³; this is -7850.'],
      [{ density: '99999' }, 'At most 25000 kg/m³'],
      [{ densityLow: '9000' }, 'lies above the highest, 8600.'],
      [{ density: '' }, 'Give the usual value as well as the range.'],
      [{ densitySource: '' }, 'Say where the value is from'],
      [{ cautionsSource: '' }, 'Say where this is from: a data sheet, a dealer, or from memory.'],
      [{ water: 'grows when wet' }, 'Say where this is from'],
      [{ stock: 'bar 10, 12 mm' }, 'Say where this is from'],
      [{ stock: 'x'.repeat(301), stockSource: 'dealer' }, 'At most 300 characters a line'],
      [{ swelling: '-1', swellingSource: 'memory' }, 'At least 0 %; this is -1.'],
      [{ swelling: '31', swellingSource: 'memory' }, 'At most 30 %; this is 31.'],
      [{ swelling: '1', swellingLow: '2', swellingSource: 'memory' }, 'The lowest, 2, lies above the usual'],
      [{ swelling: 'much' }, 'Type a number.'],
      [{ cautions: 'x\n'.repeat(21) }, 'At most 20 lines; these are 21.'],
    ];
    for (const [fields, sentence] of wrong) {
      const answer = await lead.post('/materials', { ...brass, ...fields });
      expect(answer.status, sentence).toBe(422);
      expect(answer.text).toContain(sentence);
      if (fields.cautions === undefined) expect(answer.text).toContain('no brushing off with the hand');
    }
    expect(await context.db.read.material.count()).toBe(before);
    expect((await (await as('imre')).post('/materials', brass)).status).toBe(403);
  });

  it('tells the second editor and keeps what they typed', async () => {
    const { as, context } = await startApp();
    const [lead, crew] = [await as('lead'), await as('crew')];
    const { headers } = await lead.post('/materials', brass);
    const path = headers.location as string;
    const seen = /name="seen" value="(\d+)"/.exec((await crew.get(`${path}/change`)).text)?.[1] ?? '';
    expect(Number(seen)).toBeGreaterThan(0);
    expect((await lead.post(path, { ...brass, seen, density: '8450' })).status).toBe(303);
    const late = await crew.post(path, { ...brass, seen, density: '8480', source: 'mine' });
    expect(late.status).toBe(409);
    expect(late.text).toContain('Somebody changed this entry while you were at it.');
    expect(late.text).toContain('value="8480"');
    const row = await context.db.read.material.findFirstOrThrow({ where: { name: brass.name } });
    expect(row.density).toBe(8450);
    const again = /name="seen" value="(\d+)"/.exec(late.text)?.[1] ?? '';
    expect((await crew.post(path, { ...brass, seen: again, density: '8480' })).status).toBe(303);
  });

  it('takes an entry off the list by marking, refuses its name, and brings it back', async () => {
    const { as, context } = await startApp();
    const lead = await as('lead');
    const path = (await lead.post('/materials', brass)).headers.location as string;
    expect((await lead.post(`${path}/remove`)).status).toBe(303);
    expect((await lead.post(`${path}/remove`)).status).toBe(404);
    expect((await lead.get('/materials')).text).toContain('Taken off the list: 1');
    const double = await lead.post('/materials', { ...brass, name: 'Brass of OUR own' });
    expect(double.status).toBe(422);
    expect(double.text).toContain('was taken off the list: bring it back there');
    expect((await lead.post(`${path}/restore`)).status).toBe(303);
    expect((await lead.post(`${path}/restore`)).status).toBe(409);
    const row = await context.db.read.material.findFirstOrThrow({ where: { name: brass.name } });
    expect(row.removedAt).toBeNull();
  });

  it('keeps the direction and the confidence of a value that is left as it was', async () => {
    const { as, context } = await startApp();
    const lead = await as('lead');
    const oak = await context.db.read.material.findFirstOrThrow({ where: { key: 'oak' } });
    const form = (await lead.get(`/materials/${oak.id}/change`)).text;
    const typed = (name: string) =>
      new RegExp(`name="${name}" type="text" value="([^"]*)"`).exec(form)?.[1]?.replaceAll('&amp;', '&') ??
      '';
    const fields = Object.fromEntries(
      [
        'name',
        ...['density', 'expansion', 'stiffness', 'swelling'].flatMap((p) => [
          p,
          `${p}Low`,
          `${p}High`,
          `${p}Source`,
        ]),
      ].map((name) => [name, typed(name)]),
    );
    const done = await lead.post(`/materials/${oak.id}`, {
      ...fields,
      family: 'wood',
      stiffness: '11.5',
      water: '',
      cautions: '',
      source: '',
    });
    expect(done.status).toBe(303);
    const row = await context.db.read.material.findUniqueOrThrow({ where: { id: oak.id } });
    const was = JSON.parse(oak.data) as Record<string, { confidence: string }>;
    const is = JSON.parse(row.data) as Record<string, { confidence?: string; direction?: string }>;
    expect(is.expansion).toEqual(was.expansion);
    expect(is.stiffness).toMatchObject({ typical: 11.5, direction: 'along the grain' });
    expect(is.stiffness?.confidence).toBeUndefined();
    expect(row.stiffness).toBe(11.5);
  });
});

describe('POST /processes', () => {
  const filing = {
    name: 'lapping',
    gradeBest: '3',
    gradeUsual: '4',
    gradeCoarsest: '6',
    source: 'from memory',
  };

  it('adds, changes and shows a process; grades in the wrong order are told at the field', async () => {
    const { as } = await startApp();
    const crew = await as('crew');
    const wrong = await crew.post('/processes', {
      ...filing,
      gradeCoarsest: '2',
      plusMinusLow: '3',
      plusMinusHigh: '1',
    });
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('The coarsest grade, IT2, is finer than the best, IT3.');
    expect(wrong.text).toContain('The lowest, 3, lies above the highest, 1.');
    const path = (await crew.post('/processes', filing)).headers.location as string;
    expect((await crew.get(path)).text).toContain('IT4');
    const seen = /name="seen" value="(\d+)"/.exec((await crew.get(`${path}/change`)).text)?.[1] ?? '';
    expect((await crew.post(path, { ...filing, seen, plusMinus: '0,002', kerfLow: '1' })).status).toBe(422);
    const more = {
      smallestLow: '0,5',
      smallestHigh: '2',
      smallestWhat: 'groove <i>',
      envelopeX: '200',
      envelopeY: '150',
      envelopeSource: 'the machine in the shed',
    };
    const odd: [Record<string, string>, string][] = [
      [{ smallestLow: '3' }, 'The lowest, 3, lies above the highest, 2.'],
      [{ smallestLow: '-1' }, 'At least 0.01 mm; this is -1.'],
      [{ envelopeY: '' }, 'Give length and width, or neither.'],
      [{ envelopeX: '', envelopeY: '', envelopeZ: '5' }, 'Give length and width, or neither.'],
      [{ envelopeX: 'big' }, 'Type a number.'],
      [{ envelopeWhat: 'x'.repeat(121) }, 'At most 120 characters; this has 121.'],
      [{ source: '' }, 'Say where the figures are from'],
    ];
    for (const [fields, sentence] of odd) {
      const answer = await crew.post(path, { ...filing, ...more, seen, ...fields });
      expect(answer.status, sentence).toBe(422);
      expect(answer.text).toContain(sentence);
      expect(answer.text).toContain('value="groove &lt;i&gt;"');
    }
    expect((await crew.post(path, { ...filing, ...more, seen, plusMinus: '0,002' })).status).toBe(303);
    const shown = (await crew.get(path)).text;
    expect(shown).toContain('± 0.002');
    expect(shown).toContain('0.5 to 2&nbsp;mm <small class="source">groove &lt;i&gt;. from memory</small>');
    expect(shown).toContain('200 × 150&nbsp;mm <small class="source">the machine in the shed</small>');
    expect((await crew.get(`${path}/change`)).text).toContain('value="the machine in the shed"');
    expect((await crew.post('/processes', { ...filing, name: 'Lapping' })).text).toContain(
      'is on the list already',
    );
  });
});

describe('cautionsFor', () => {
  it('gives the cautions of material and process, and that local codes come first', async () => {
    const { context } = await startApp();
    const { read } = context.db;
    const material = await read.material.findFirstOrThrow({ where: { key: 'steel-s235' } });
    const process = await read.process.findFirstOrThrow({ where: { key: 'turning' } });
    const { cautions, closing } = await cautionsFor(context.db, {
      materialId: material.id,
      processId: process.id,
      words: 'painted with two coats',
    });
    const all = [
      ...(JSON.parse(material.cautions) as string[]),
      ...(JSON.parse(process.cautions) as string[]),
    ];
    expect(cautions.map(({ text }) => text)).toEqual(expect.arrayContaining(all));
    expect(cautions.some(({ about }) => about === 'coating')).toBe(true);
    expect(closing).toContain('Local codes, the data sheet of the product and licensed practice come first');
    expect((await cautionsFor(context.db, { materialId: null, processId: null })).cautions).toEqual([]);
  });
});
