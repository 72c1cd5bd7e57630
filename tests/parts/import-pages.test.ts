import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { changePart, structureGraph } from '../../src/parts/index.ts';
import { type Browser, startApp, type TestApp } from '../support/app.ts';
import { START } from '../support/cast.ts';
import { formOn } from '../support/form-on.ts';
import { anAssembly, aPart, asLead } from '../support/parts.ts';

// 17 rows of the public master parts list of an open-source rover; see the README beside it.
const ROVER = readFileSync(new URL('../checks/real/rover_master_excerpt.csv', import.meta.url));

async function uploaded(lead: Browser, content: Buffer | string, filename = 'list.csv'): Promise<string> {
  const answer = await lead.upload('/import', {}, [
    { name: 'file', filename, content: Buffer.from(content) },
  ]);
  expect(answer.status).toBe(303);
  return answer.headers.location!;
}

const takeForm = (text: string, at: string) => ({ ...formOn(text, `${at}/take`) });

async function counts({ context }: TestApp) {
  const { read } = context.db;
  return { parts: await read.part.count(), uses: await read.use.count() };
}

describe('importing the master list of a rover', () => {
  it('guesses the columns, shows 17 rows, asks how the totals split, takes them, and knows them again', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const at = await uploaded(lead, ROVER, 'rover_master_excerpt.csv');
    const first = await lead.get(at);
    expect(first.status).toBe(200);
    expect(first.text).toContain('Bring in rover_master_excerpt.csv');
    expect(first.text).toContain('17 rows');
    expect(first.text).toContain('92949A144');
    // The build counts in euro, the list in dollars, and no rate is given.
    expect(first.text).toContain('The price is in USD and is left out');
    // The last row of the file has one field too few.
    expect(first.text).toContain('One cell is missing at the end');
    expect(await counts(app)).toEqual({ parts: 0, uses: 0 });

    const said = { ...formOn(first.text, at), listCurrency: 'USD', exchangeRate: '0,5' };
    expect((await lead.post(at, said)).headers.location).toBe(at);
    const priced = await lead.get(at);
    expect(priced.text).toContain('price 1.73 EUR');
    expect(priced.text).not.toContain('is left out: the build counts');

    const form = takeForm(priced.text, at);
    const taken = await lead.post(`${at}/take`, { ...form, line: '18' });
    expect(taken.headers.location).toBe(at);
    const parts = await app.context.db.read.part.findMany();
    expect(parts.filter(({ kind }) => kind !== 'assembly')).toHaveLength(17);
    const assemblies = parts.filter(({ kind }) => kind === 'assembly').map(({ name }) => name);
    expect(assemblies.sort()).toEqual([
      'Body',
      'Corner Steering',
      'Differential Pivot',
      'Electrical Build',
      'Head Assembly',
      'Mechanical Integration',
      'PCB Assembly',
      'Rocker-Bogie',
      'Wheel Assembly',
    ]);
    const screw = parts.find(({ number }) => number === 'B1')!;
    expect(screw).toMatchObject({
      name: '#6-32 x 1/4 Button Head Screw',
      supplierNumber: '92949A144',
      packMilli: 100_000,
      listedMilli: 228_000,
      priceCents: 173,
    });
    // 228 screws go into five assemblies, and the list does not say how many into each.
    expect(await app.context.db.read.use.count({ where: { childId: screw.id } })).toBe(0);
    const motor = parts.find(({ number }) => number === 'E46')!;
    const [use] = await app.context.db.read.use.findMany({
      where: { childId: motor.id },
      include: { parent: true },
    });
    expect(use).toMatchObject({ milli: 4000, parent: { name: 'Corner Steering' } });

    const answered = await lead.get(at);
    const questions = [
      ...answered.text.matchAll(
        /name="line" value="(\d+)"><input type="hidden" name="assembly" value="([^"]+)"/g,
      ),
    ];
    expect(questions.length).toBeGreaterThan(4);
    const wrong = await lead.post(`${at}/answers`, {
      line: questions.map(([, line]) => line!),
      assembly: questions.map(([, , name]) => name!),
      quantity: questions.map((_, n) => (n === 0 ? '2.5' : n === 1 ? '40' : '')),
    });
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('pieces are counted whole');
    expect(wrong.text).toContain('value="40"');
    const right = await lead.post(`${at}/answers`, {
      line: questions.map(([, line]) => line!),
      assembly: questions.map(([, , name]) => name!),
      quantity: questions.map((_, n) => (n < 5 ? String(40 + n) : '')),
    });
    expect(right.headers.location).toBe(at);
    const again = await lead.get(at);
    const before = await counts(app);
    expect((await lead.post(`${at}/take`, { ...takeForm(again.text, at) })).status).toBe(303);
    const after = await counts(app);
    expect([after.parts - before.parts, after.uses - before.uses]).toEqual([0, 5]);
    expect(
      await app.context.db.read.use.findMany({ where: { childId: screw.id }, select: { milli: true } }),
    ).toEqual([40, 41, 42, 43, 44].map((pieces) => ({ milli: pieces * 1000 })));

    // The same file once more: nothing is new, nothing doubles.
    const second = await uploaded(lead, ROVER);
    const same = await lead.get(second);
    expect(same.text).toMatch(/New parts<\/dt><dd>0</);
    const nothing = await lead.post(`${second}/take`, { ...takeForm(same.text, second), allUnusual: 'yes' });
    expect(nothing.status).toBe(409);
    expect(nothing.text).toContain('There is nothing to take');
    expect(await counts(app)).toEqual(after);
    // One row of the log for each part and one for each import.
    const logged = await app.context.db.read.act.groupBy({
      by: ['kind'],
      _count: true,
      where: { kind: { startsWith: 'import' } },
    });
    expect(Object.fromEntries(logged.map(({ kind, _count }) => [kind, _count]))).toEqual({
      'import-part': 27,
      'import-parts': 2,
    });
    expect((await lead.get('/parts/B1')).text).toContain('228 pieces');
    expect((await lead.get('/structure')).status).toBe(200);
  });
});

const HEADER = 'Part number,Name,Kind,Goes into,Quantity,Material\n';

describe('bad and odd rows', () => {
  it('are shown with line and reason; the good ones beside them come in only when that is said', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const at = await uploaded(
      lead,
      `${HEADER}A-1,<script>alert(1)</script>,made,Frame,2,Brass of the shed\nA-1,Twice,made,Frame,1,\nA-2,Fine,made,Frame,3,\nA-3,Half,made,Frame,half,\nA-4,Odd,gearish,Frame,1,\n`,
    );
    const page = await lead.get(at);
    expect(page.text).toContain('The part number A-1 is on the lines 2 and 3.');
    expect(page.text).toContain('&quot;half&quot; is not a quantity');
    expect(page.text).toContain('The kind &quot;gearish&quot; is none of assembly, made, bought, stock.');
    expect(page.text).not.toContain('<script>alert');
    const form = takeForm(page.text, at);
    const { despiteBad: _, ...unsaid } = form;
    const refused = await lead.post(`${at}/take`, unsaid);
    expect([refused.status, refused.text.includes('4 rows are bad (lines 2, 3, 5, 6)')]).toEqual([409, true]);
    expect(await counts(app)).toEqual({ parts: 0, uses: 0 });
    expect((await lead.post(`${at}/take`, { ...unsaid, despiteBad: 'yes' })).status).toBe(303);
    expect(await counts(app)).toEqual({ parts: 2, uses: 1 });
  });

  it('leave lines out that are named, refuse nonsense there', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const at = await uploaded(lead, `${HEADER}A-1,One,made,,,\nA-2,Two,made,,,\nA-3,Three,made,,,\n`);
    const form = takeForm((await lead.get(at)).text, at);
    const wrong = await lead.post(`${at}/take`, { ...form, leaveOut: 'the last' });
    expect([wrong.status, wrong.text.includes('Write lines as 12, 15-18.')]).toEqual([422, true]);
    expect((await lead.post(`${at}/take`, { ...form, leaveOut: '3-4' })).status).toBe(303);
    expect((await app.context.db.read.part.findMany()).map(({ number }) => number)).toEqual(['A-1']);
  });

  it('never change a unit that quantities are told in, nor put parts into what is bought', async () => {
    const app = await startApp();
    const rod = await aPart(app, { number: 'ROD', name: 'Rod', kind: 'stock', unit: 'm' });
    await anAssembly(app, { number: 'BOX', name: 'Box', children: [{ id: rod.id, milli: 1500 }] });
    await aPart(app, { number: 'MOT', name: 'Motor', kind: 'bought' });
    const lead = await app.as('lead');
    const at = await uploaded(
      lead,
      'Part number,Name,Goes into,Quantity each,Unit\nROD,Rod,,,kg\nPIN,Pin,Motor,2,pieces\nCAP,Cap,BOX,1,pieces\n',
    );
    const page = await lead.get(at);
    const done = await lead.post(`${at}/take`, { ...takeForm(page.text, at), allUnusual: 'yes' });
    expect(done.status).toBe(303);
    const { parts, uses } = structureGraph(app.context.db.hot);
    expect(parts.get(rod.id)!.unit).toBe('m');
    const lines = uses.map(
      ({ parentId, childId }) => `${parts.get(parentId)!.number} ${parts.get(childId)!.number}`,
    );
    expect(lines.sort()).toEqual(['BOX CAP', 'BOX ROD']);
    expect([...parts.values()].some(({ number }) => number === 'PIN')).toBe(true);
  });

  it('are refused with the loop they would close', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const at = await uploaded(
      lead,
      'Part number,Name,Kind,Goes into,Quantity each\nA,Arm,assembly,B,1\nB,Base,assembly,A,1\n',
    );
    const { text } = await lead.get(at);
    expect(text).toContain('It would close a loop');
    expect(text).toMatch(/Bad<\/dt><dd>2</);
  });
});

describe('a list that is hard to read', () => {
  it('is refused at the field when it is no list at all', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const files: [string | Buffer, string][] = [
      [Buffer.from([0x50, 0x4b, 3, 4, 0, 0]), 'save the sheet as CSV first'],
      [Buffer.alloc(5 * 1024 * 1024 + 1, 'a'), 'larger than 5 MB'],
      ['   \n \n', 'nothing in the file but blanks'],
      ['', 'is empty'],
    ];
    for (const [content, sentence] of files) {
      const answer = await lead.upload('/import', {}, [
        { name: 'file', filename: 'x.csv', content: Buffer.from(content) },
      ]);
      expect([answer.status, answer.text.includes(sentence)], sentence).toEqual([422, true]);
    }
    const none = await lead.upload('/import', {}, []);
    expect([none.status, none.text.includes('Choose the file of the list.')]).toEqual([422, true]);
    expect(await app.context.db.read.importDraft.count()).toBe(0);
  });

  it('is read as the person says: encoding, delimiter, header and columns', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const at = await uploaded(
      lead,
      Buffer.from('ein Zahnrad klein;12;Rahmen\nZw\u00f6lfkant;3;Rahmen\n', 'latin1'),
    );
    const first = await lead.get(at);
    expect(first.text).toContain('which is a guess');
    expect(first.text).toContain('header on line 1');
    const form = { ...formOn(first.text, at), header: 'none', encoding: 'iso-8859-15' };
    expect((await lead.post(at, form)).status).toBe(303);
    const second = await lead.get(at);
    expect(second.text).toContain('no header');
    const columns = formOn(second.text, at);
    const twice = await lead.post(at, { ...columns, 'column-name': '0', 'column-number': '0' });
    expect([twice.status, twice.text.includes('is already chosen for')]).toEqual([422, true]);
    const none = await lead.post(at, { ...columns, 'column-name': '', 'column-number': '' });
    expect(none.status).toBe(422);
    const beyond = await lead.post(at, { ...columns, 'column-name': '77' });
    expect([beyond.status, beyond.text.includes('There is no column 78')]).toEqual([422, true]);
    const bent = await lead.post(at, {
      ...columns,
      encoding: 'klingon',
      massUnit: 'stone',
      exchangeRate: '-2',
      listCurrency: 'QQQ',
    });
    expect(bent.status).toBe(422);
    expect(bent.text).toContain('A rate is above zero.');
    const said = { ...columns, 'column-name': '0', 'column-quantity': '1', 'column-goesInto': '2' };
    expect((await lead.post(at, said)).status).toBe(303);
    const third = await lead.get(at);
    expect(third.text).toContain('Zw\u00f6lfkant');
    expect(third.text).toContain('12 pieces into Rahmen');
    expect((await lead.post(`${at}/take`, takeForm(third.text, at))).status).toBe(303);
    expect(await counts(app)).toEqual({ parts: 3, uses: 2 });
  });

  it('can be mended by saying that quotes are inch signs', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const at = await uploaded(lead, 'Part number,Name\nA,"Rod\nB,Pin\n');
    const first = await lead.get(at);
    expect(first.text).toContain('A quote opens in the row on line 2 and never closes.');
    const form = formOn(first.text, at);
    expect((await lead.post(at, form)).status).toBe(422);
    expect((await lead.post(at, { ...form, quotes: 'inch' })).status).toBe(303);
    expect((await lead.get(at)).text).toContain('&quot;Rod');
  });
});

describe('taking a list', () => {
  it('is for the lead alone', async () => {
    const app = await startApp();
    const at = await uploaded(await app.as('lead'), `${HEADER}A-1,One,made,,,\n`);
    const crew = await app.as('crew');
    expect((await crew.get(at)).status).toBe(403);
    expect((await crew.post(`${at}/take`, {})).status).toBe(403);
    expect((await (await app.as('lead')).get('/import/999')).status).toBe(404);
    expect((await (await app.as('lead')).get('/import/x')).status).toBe(404);
  });

  it('is refused when the build has changed since the person looked', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const at = await uploaded(lead, `${HEADER}A-1,One,made,,,\n`);
    const form = takeForm((await lead.get(at)).text, at);
    await aPart(app, { number: 'A-1', name: 'Another one' });
    const late = await lead.post(`${at}/take`, form);
    expect([late.status, late.text.includes('The build was changed since this list was looked at.')]).toEqual(
      [409, true],
    );
    expect(await counts(app)).toEqual({ parts: 1, uses: 0 });
    const now = await lead.post(`${at}/take`, takeForm(late.text, at));
    expect(now.status).toBe(303);
    expect(await app.context.db.read.part.findFirst()).toMatchObject({ name: 'One' });
  });

  it('changes only what differs, keeps materials by name, and adds names the library does not have', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const { name: known } = await app.context.db.read.material.findFirstOrThrow();
    const list = (mass: string) =>
      `Part number,Name,Material,Mass (g)\nA-1,One,${known.toUpperCase()},${mass}\nA-2,Two,Bell metal of the old tower,3\n`;
    const first = await uploaded(lead, list('2'));
    await lead.post(`${first}/take`, takeForm((await lead.get(first)).text, first));
    const materials = await app.context.db.read.material.count();
    const note = 'two\nlines';
    const { id: partId } = await app.context.db.read.part.findFirstOrThrow({ where: { number: 'A-1' } });
    await asLead(app, (act) => changePart(act, { partId, fields: { note, leadDays: 3 } }));
    const second = await uploaded(lead, list('2,5').replaceAll('2,5', '"2,5"'));
    const page = await lead.get(second);
    expect(page.text).toContain('mass 2 g to 2.5 g');
    expect(page.text).toMatch(/Changes<\/dt><dd>1</);
    expect(page.text).toMatch(/As they are<\/dt><dd>1</);
    await lead.post(`${second}/take`, takeForm(page.text, second));
    expect(await app.context.db.read.material.count()).toBe(materials);
    const one = await app.context.db.read.part.findFirstOrThrow({ where: { number: 'A-1' } });
    expect(one).toMatchObject({ massGrams: 2.5, note, leadDays: 3 });
    const two = await lead.get('/parts/A-2');
    expect(two.text).toContain('Bell metal of the old tower');
    expect((await lead.get('/parts/A-1/history')).text).toContain('mass 2 g to 2.5 g');
  });

  it('leaves nothing behind when it breaks in the middle', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const at = await uploaded(lead, `${HEADER}A-1,One,made,Frame,2,\nA-2,Two,made,Frame,3,\n`);
    const form = takeForm((await lead.get(at)).text, at);
    const acts = await app.context.db.read.act.count();
    // The last statement of the transaction fails, after parts, lines and log rows were written.
    await app.context.db.write.$executeRawUnsafe(
      "CREATE TRIGGER broken BEFORE INSERT ON Act WHEN NEW.kind = 'import-parts' BEGIN SELECT RAISE(ABORT, 'broken'); END",
    );
    const broken = await lead.post(`${at}/take`, form);
    expect(broken.status).toBe(500);
    expect(broken.text).not.toContain('broken');
    expect(app.faults.splice(0)).toHaveLength(1);
    expect(await counts(app)).toEqual({ parts: 0, uses: 0 });
    expect(await app.context.db.read.act.count()).toBe(acts);
    await app.context.db.write.$executeRawUnsafe('DROP TRIGGER broken');
    expect((await lead.post(`${at}/take`, form)).status).toBe(303);
    expect(await counts(app)).toEqual({ parts: 3, uses: 2 });
  });

  it('takes 2,000 rows in one go', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const rows = Array.from(
      { length: 2000 },
      (_, n) => `P-${n},Part number ${n},made,Frame ${n % 40},${(n % 7) + 1},`,
    );
    const at = await uploaded(lead, HEADER + rows.join('\n'));
    const page = await lead.get(at);
    expect(page.text.length).toBeLessThan(200_000);
    expect((await lead.post(`${at}/take`, takeForm(page.text, at))).status).toBe(303);
    expect(await counts(app)).toEqual({ parts: 2040, uses: 2000 });
    const logged = await app.context.db.read.act.findMany({ where: { kind: 'import-part' } });
    expect(logged).toHaveLength(2040);
    expect(logged[7]!.at).toEqual(START);
    const part = await app.context.db.read.part.findFirstOrThrow({ where: { number: 'P-7' } });
    expect(part).toMatchObject({ name: 'Part number 7', createdAt: START, shelfMilli: 0, unit: 'piece' });

    // And 2,000 changes: another quantity in each line, another name for each part.
    const changed = rows.map((row) => row.replace('Part number', 'Piece').replace(/,(\d),$/, ',9,'));
    const second = await uploaded(lead, HEADER + changed.join('\n'));
    const again = await lead.get(second);
    expect(again.text).toMatch(/Changes<\/dt><dd>2000</);
    expect((await lead.post(`${second}/take`, takeForm(again.text, second))).status).toBe(303);
    expect(await counts(app)).toEqual({ parts: 2040, uses: 2000 });
    expect(await app.context.db.read.use.count({ where: { milli: 9000 } })).toBe(2000);
    expect(await app.context.db.read.part.count({ where: { name: { startsWith: 'Piece ' } } })).toBe(2000);
  });
});
