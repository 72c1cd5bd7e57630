import { describe, expect, it } from 'vitest';
import { structureGraph } from '../../src/parts/index.ts';
import { startApp } from '../support/app.ts';
import { anAssembly, aPart, asLead } from '../support/parts.ts';

const blank = {
  number: '',
  kind: 'made',
  unit: 'piece',
  note: '',
  materialId: '',
  processId: '',
  massGrams: '',
  supplier: '',
  supplierNumber: '',
  pack: '',
  price: '',
  leadDays: '',
  designHours: '',
  makeDays: '',
  into: '',
  quantity: '',
};

const hostile = '<img src=x onerror=alert(1)>"\'&';

describe('adding a part', () => {
  it('makes it with all its fields, puts it into an assembly and leads to its page', async () => {
    const app = await startApp();
    const top = await anAssembly(app, { number: 'ORR' });
    const crew = await app.as('crew');
    const material = await app.context.db.read.material.findFirstOrThrow();
    const done = await crew.post('/parts', {
      ...blank,
      name: hostile,
      kind: 'stock',
      unit: 'm',
      materialId: material.id,
      massGrams: '1,5',
      supplier: 'Rod & Son',
      pack: '250 mm',
      price: '3,45',
      leadDays: '14',
      into: 'orr',
      quantity: '75 cm',
    });
    expect(done.status).toBe(303);
    expect(done.headers.location).toBe('/parts/TB-0001');
    const part = await app.context.db.read.part.findUniqueOrThrow({ where: { numberKey: 'TB-0001' } });
    expect(part).toMatchObject({
      name: hostile,
      materialId: material.id,
      massGrams: 1.5,
      packMilli: 250,
      priceCents: 345,
      leadDays: 14,
    });
    const { uses } = structureGraph(app.context.db.hot);
    expect(uses).toMatchObject([{ parentId: top.id, childId: part.id, milli: 750 }]);
    const page = await crew.get('/parts/tb-0001');
    expect(page.status).toBe(200);
    expect(page.text).toContain('&lt;img src=x');
    expect(page.text).not.toContain('<img src=x');
    expect(page.text).toContain('0.75 m');
    expect(page.text).toContain('3 packs, 10.35 EUR');
    expect(page.text).toContain('added the part');
    expect((await crew.get('/structure')).text).not.toContain('<img src=x');
  });

  it('shows the form again with a sentence at each field and what was typed, and stores nothing', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const wrong = await lead.post('/parts', {
      ...blank,
      name: 'n'.repeat(121),
      kind: 'gear',
      unit: 'furlong',
      note: 'bell \u0007',
      materialId: '-3',
      massGrams: '-2',
      price: '3 USD',
      leadDays: '1e9',
      designHours: 'many',
      makeDays: '2.5',
    });
    expect(wrong.status).toBe(422);
    for (const sentence of [
      'At most 120 characters; this has 121.',
      'Choose what kind of part it is.',
      'Choose what it is counted or measured in.',
      'This holds characters that cannot be seen',
      'Choose a material of the list.',
      'At least 0.001 g; this is -2.',
      'The build counts in EUR',
      'Type a number.',
      'Type a whole number.',
    ]) {
      expect(wrong.text).toContain(sentence);
    }
    expect(wrong.text).toContain('value="many"');
    expect(wrong.text).toContain('value="3 USD"');
    const cases: [Record<string, unknown>, string][] = [
      [{ pack: '-1' }, 'is below zero'],
      [{ quantity: '0', into: 'X' }, 'is zero'],
      [{ into: 'NOBODY' }, 'No part has this number or name.'],
      [{ materialId: '99999' }, 'This material is not in the library.'],
      [{ kind: 'assembly', unit: 'm' }, 'Assemblies are counted in pieces.'],
      [{ number: '-x-' }, 'begins or ends with a sign'],
      [{ number: 'n'.repeat(41) }, 'At most 40 characters'],
      [{ name: '' }, 'Give the part a name.'],
    ];
    for (const [fields, sentence] of cases) {
      const again = await lead.post('/parts', { ...blank, name: 'Kept words', ...fields });
      expect([again.status, again.text.includes(sentence)], sentence).toEqual([422, true]);
    }
    expect(await app.context.db.read.part.count()).toBe(0);
    expect(await app.context.db.read.act.count({ where: { kind: 'create-part' } })).toBe(0);
  });

  it('is done once when the form is sent twice', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const form = { ...blank, name: 'Once', _once: 'one-form' };
    const [first, second] = [await lead.post('/parts', form), await lead.post('/parts', form)];
    expect([first.headers.location, second.headers.location]).toEqual(['/parts/TB-0001', '/parts/TB-0001']);
    expect(await app.context.db.read.part.count()).toBe(1);
  });

  it('is for lead and crew; makers look, visitors sign in', async () => {
    const app = await startApp();
    await anAssembly(app, { number: 'BOX', children: [{ number: 'LID' }] });
    const maker = await app.as('imre');
    expect((await maker.post('/parts', { ...blank, name: 'No' })).status).toBe(403);
    expect((await maker.get('/parts/BOX/edit')).status).toBe(403);
    expect((await maker.post('/parts/LID/remove')).status).toBe(403);
    const page = await maker.get('/parts/BOX');
    expect(page.status).toBe(200);
    expect(page.text).not.toContain('/parts/BOX/edit');
    expect(page.text).not.toContain('Put a part in');
    expect((await maker.get('/structure')).text).not.toContain('Add a part');
    expect((await app.visitor().get('/structure')).headers.location).toContain('/sign-in');
    expect((await app.visitor().get('/parts/BOX')).headers.location).toContain('/sign-in');
  });
});

describe('changing a part', () => {
  it('keeps what is typed, tells the change in the history, and refuses a form loaded before another change', async () => {
    const app = await startApp();
    await aPart(app, { number: 'ARM', name: 'Arm' });
    const [lead, crew] = [await app.as('lead'), await app.as('crew')];
    const page = await lead.get('/parts/ARM/edit');
    const seen = /name="seen" value="(\d+)"/.exec(page.text)![1];
    const form = { ...blank, name: 'Arm, cast', seen };
    expect((await crew.post('/parts/ARM/edit', form)).headers.location).toBe('/parts/ARM');
    const late = await lead.post('/parts/ARM/edit', { ...form, name: 'Arm, milled' });
    expect(late.status).toBe(409);
    expect(late.text).toContain('changed by somebody while you typed');
    expect(late.text).toContain('value="Arm, milled"');
    const now = /name="seen" value="(\d+)"/.exec(late.text)![1];
    expect((await lead.post('/parts/ARM/edit', { ...form, name: 'Arm, milled', seen: now })).status).toBe(
      303,
    );
    const history = await lead.get('/parts/ARM/history');
    expect(history.text).toContain('changed name');
    expect(history.text).toContain('name &quot;Arm, cast&quot; to &quot;Arm, milled&quot;');
  });

  it('shows a maker the history of the part, not what the log says of jobs and drafts', async () => {
    const app = await startApp();
    const { id: partId } = await aPart(app, { number: 'ARM' });
    await asLead(app, (act) => act.log({ kind: 'start-revision', partId, after: { letter: 'B' } }));
    await asLead(app, (act) => act.log({ kind: 'release-revision', partId, after: { letter: 'A' } }));
    const [crew, maker] = [await app.as('crew'), await app.as('imre')];
    for (const path of ['/parts/ARM', '/parts/ARM/history']) {
      const [all, some] = [(await crew.get(path)).text, (await maker.get(path)).text];
      for (const text of [all, some]) {
        expect(text).toContain('added the part');
        expect(text).toMatch(/released ARM [^<]* revision A/);
      }
      expect(all).toMatch(/began ARM [^<]* revision B/);
      expect(some).not.toContain('revision B');
    }
  });

  it('leads to a 404 for a number nobody has', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    for (const path of ['/parts/NONE', '/parts/NONE/edit', '/parts/NONE/history', '/uses/1', '/uses/x']) {
      expect((await lead.get(path)).status, path).toBe(404);
    }
    expect((await lead.post('/parts/NONE/uses', { child: 'A', quantity: '1' })).status).toBe(404);
  });
});

describe('the lines of the structure', () => {
  it('are added by number or name, changed, and taken out; each says where it went', async () => {
    const app = await startApp();
    await anAssembly(app, { number: 'BOX' });
    await aPart(app, { number: 'PIN', name: 'Dowel pin' });
    const crew = await app.as('crew');
    expect((await crew.post('/parts/BOX/uses', { child: 'dowel pin', quantity: '4', note: '' })).status).toBe(
      422,
    );
    const added = await crew.post('/parts/BOX/uses', {
      child: 'Dowel pin',
      quantity: '4',
      note: 'two a side',
    });
    expect(added.headers.location).toBe('/parts/BOX');
    const [use] = structureGraph(app.context.db.hot).uses;
    expect(use).toMatchObject({ milli: 4000, note: 'two a side' });
    const at = `/uses/${use!.id}`;
    expect((await crew.get(at)).text).toContain('value="4 pieces"');
    const half = await crew.post(at, { quantity: '4.5', note: '' });
    expect(half.status).toBe(422);
    expect(half.text).toContain('pieces are counted whole');
    expect((await crew.post(at, { quantity: '6', note: '' })).headers.location).toBe('/parts/BOX');
    expect((await crew.get('/parts/PIN')).text).toContain('6 pieces in one');
    const out = { _once: 'taking-out' };
    expect((await crew.post(`${at}/remove`, out)).headers.location).toBe('/parts/BOX');
    expect((await crew.post(`${at}/remove`, out)).headers.location).toBe('/parts/BOX');
    expect((await crew.post(`${at}/remove`)).status).toBe(404);
    const history = (await crew.get('/parts/PIN/history')).text;
    for (const words of ['put 4 pieces into BOX', 'made it 6 pieces in BOX', 'took it out of BOX']) {
      expect(history).toContain(words);
    }
  });

  it('refuse a loop with its way in part numbers, keeping what was typed', async () => {
    const app = await startApp();
    const arm = await anAssembly(app, { number: 'ARM' });
    await anAssembly(app, { number: 'TOP', children: [{ id: arm.id }] });
    const crew = await app.as('crew');
    const loop = await crew.post('/parts/ARM/uses', { child: 'TOP', quantity: '1', note: '' });
    expect(loop.status).toBe(409);
    expect(loop.text).toContain('TOP cannot go into ARM, because TOP already holds it (TOP &gt; ARM)');
    expect(loop.text).toContain('value="TOP"');
    const twice = await crew.post('/parts/TOP/uses', { child: 'ARM', quantity: '2', note: '' });
    expect([twice.status, twice.text.includes('ARM goes into TOP already, 1 piece')]).toEqual([422, true]);
  });
});

describe('the shelf', () => {
  it('is counted in the unit of the part, also as empty', async () => {
    const app = await startApp();
    await aPart(app, { number: 'ROD', kind: 'stock', unit: 'm' });
    const crew = await app.as('crew');
    const shelf = () => app.context.db.read.part.findFirstOrThrow().then((part) => part.shelfMilli);
    expect((await crew.post('/parts/ROD/shelf', { quantity: '120 cm' })).status).toBe(303);
    expect(await shelf()).toBe(1200);
    for (const quantity of ['-1', 'some', '2 kg', '1e12', '']) {
      expect((await crew.post('/parts/ROD/shelf', { quantity })).status, quantity).toBe(422);
    }
    expect(await shelf()).toBe(1200);
    expect((await crew.post('/parts/ROD/shelf', { quantity: '0' })).status).toBe(303);
    expect(await shelf()).toBe(0);
  });
});

describe('taking a part out', () => {
  it('is refused with the reason while it is used; after that it has a page and can come back', async () => {
    const app = await startApp();
    await anAssembly(app, { number: 'BOX', children: [{ number: 'LID' }] });
    const lead = await app.as('lead');
    const used = await lead.post('/parts/LID/remove');
    expect([used.status, used.text.includes('LID goes into BOX: take it out there first.')]).toEqual([
      409,
      true,
    ]);
    expect((await lead.post('/parts/BOX/remove')).headers.location).toBe('/structure');
    expect((await lead.get('/structure')).text).not.toContain('<span class="no">BOX</span>');
    const gone = await lead.get('/parts/BOX');
    expect(gone.text).toContain('Taken out of the build.');
    expect((await lead.post('/parts/LID/uses', { child: 'BOX', quantity: '1', note: '' })).text).toContain(
      'BOX was taken out of the build.',
    );
    expect((await lead.post('/parts/BOX/restore')).headers.location).toBe('/parts/BOX');
    expect((await lead.get('/parts/BOX')).text).toContain('LID');
  });

  it('is refused while a job goes on, naming the job', async () => {
    const app = await startApp();
    const { id } = await aPart(app, { number: 'CAM' });
    await app.context.db.write.job.create({
      data: { kind: 'design', title: 'Draw the cam', partId: id, createdAt: new Date() },
    });
    const lead = await app.as('lead');
    const refused = await lead.post('/parts/CAM/remove');
    expect([refused.status, refused.text.includes('Job 1 (Draw the cam) of CAM still go')]).toEqual([
      409,
      true,
    ]);
  });
});

describe('two at once', () => {
  it('one of two people gets a number, the other is told whose it is', async () => {
    const app = await startApp();
    const [lead, crew] = [await app.as('lead'), await app.as('crew')];
    const form = { ...blank, number: 'SUN-1' };
    const answers = await Promise.all([
      lead.post('/parts', { ...form, name: 'Sun gear' }),
      crew.post('/parts', { ...form, name: 'Sun wheel' }),
    ]);
    expect(answers.map(({ status }) => status).sort()).toEqual([303, 422]);
    expect(answers.find(({ status }) => status === 422)!.text).toMatch(
      /SUN-1 is &quot;Sun (gear|wheel)&quot; already/,
    );
    const given = await Promise.all(['a', 'b', 'c'].map((name) => lead.post('/parts', { ...blank, name })));
    expect(given.map(({ headers }) => headers.location).sort()).toEqual([
      '/parts/TB-0001',
      '/parts/TB-0002',
      '/parts/TB-0003',
    ]);
  });

  it('two lines that would close a loop together: one is refused', async () => {
    const app = await startApp();
    await anAssembly(app, { number: 'A' });
    await anAssembly(app, { number: 'B' });
    const [lead, crew] = [await app.as('lead'), await app.as('crew')];
    const answers = await Promise.all([
      lead.post('/parts/A/uses', { child: 'B', quantity: '1', note: '' }),
      crew.post('/parts/B/uses', { child: 'A', quantity: '1', note: '' }),
    ]);
    expect(answers.map(({ status }) => status).sort()).toEqual([303, 409]);
    expect(structureGraph(app.context.db.hot).uses).toHaveLength(1);
  });
});

describe('the structure page', () => {
  it('shows the tree with quantities, roll-ups and what is unknown, and parts hung nowhere apart', async () => {
    const app = await startApp();
    const pin = await aPart(app, {
      number: 'PIN',
      massGrams: 2,
      priceCents: 345,
      packMilli: 100_000,
      kind: 'bought',
    });
    const arm = await anAssembly(app, {
      number: 'ARM',
      children: [{ id: pin.id, milli: 3000 }, { number: 'LAMP' }],
    });
    await anAssembly(app, {
      number: 'TOP',
      children: [
        { id: arm.id, milli: 4000 },
        { id: pin.id, milli: 1000 },
      ],
    });
    await aPart(app, { number: 'SPARE', name: 'Left over' });
    const lead = await app.as('lead');
    const { text } = await lead.get('/structure');
    expect(text).toMatch(/Mass<\/dt><dd>26 g<small>1 part not known, not in it/);
    expect(text).toMatch(/To pay in whole packs<\/dt><dd>3\.45 EUR/);
    expect(text).toContain('data-label="in all here">12 pieces<');
    expect(text).toContain('0 of 13 pieces');
    expect(text).toMatch(/Parts hung nowhere[\s\S]*SPARE Left over/);
    expect(text.match(/<span class="no">PIN<\/span>/g)).toHaveLength(2);
    const below = await lead.get('/structure?from=ARM');
    expect(below.text).not.toContain('<span class="no">TOP</span>');
    const found = await lead.get('/structure?q=lamp');
    expect(found.text).toContain('1 part found');
    expect(found.text).toContain('<span class="no">TOP</span>');
    expect(found.text).not.toContain('<span class="no">PIN</span>');
    expect((await lead.get('/structure?q=zeppelin')).text).toContain('Nothing found.');
    expect((await lead.get('/structure?depth=1')).text).toContain('2 below');
    expect((await lead.get('/structure?kind=<b>&depth=x&page=-4&from=%00')).status).toBe(200);
  });

  it('says what to do first when there is nothing', async () => {
    const app = await startApp();
    expect((await (await app.as('lead')).get('/structure')).text).toContain('Add the first part');
    expect((await (await app.as('imre')).get('/parts')).text).toContain('No parts yet');
  });

  it('stays below 200 kB with 2,000 parts, whatever is asked', async () => {
    const app = await startApp();
    await asLead(app, async (act) => {
      const name = 'A part with a name of usual length';
      await act.tx.part.createMany({
        data: Array.from({ length: 2000 }, (_, at) => ({
          number: `TB-${String(at + 1).padStart(4, '0')}`,
          numberKey: `TB-${String(at + 1).padStart(4, '0')}`,
          name,
          kind: at < 200 ? 'assembly' : 'made',
          massGrams: at % 3 === 0 ? 12.5 : null,
          createdAt: act.at,
        })),
      });
      const uses = [];
      for (let child = 2; child <= 2000; child++) {
        const parents = new Set(
          [Math.floor(child / 10), Math.floor(child / 13)].filter((parent) => parent >= 1),
        );
        for (const parentId of parents.size > 0 ? parents : [1])
          uses.push({ parentId, childId: child, milli: 2000 });
      }
      await act.tx.use.createMany({ data: uses });
      await act.log({ kind: 'import-parts' });
    });
    const lead = await app.as('lead');
    for (const path of [
      '/structure',
      '/structure?depth=9&page=2',
      '/structure?q=part',
      '/parts?page=3',
      '/parts/TB-0001',
      '/structure?from=TB-0002',
    ]) {
      const { status, text } = await lead.get(path);
      expect(status, path).toBe(200);
      expect(text.length, path).toBeLessThan(200_000);
    }
    const second = await lead.get('/structure?depth=9&page=2');
    expect(second.text).toContain(', continued');
    expect((await lead.get('/parts?q=tb-19')).text).toContain('TB-1999');
  });
});

describe('suggestions', () => {
  it('give numbers and names for what is typed, to those who may edit', async () => {
    const app = await startApp();
    await aPart(app, { number: 'PIN', name: 'Dowel <pin>' });
    const crew = await app.as('crew');
    expect((await crew.get('/parts/suggest?child=dow')).text.trim()).toBe(
      '<option value="PIN">Dowel &lt;pin&gt;</option>',
    );
    expect((await crew.get('/parts/suggest?child=')).text.trim()).toBe('');
    expect((await (await app.as('imre')).get('/parts/suggest?child=dow')).status).toBe(403);
  });
});
