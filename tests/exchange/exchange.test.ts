import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { exportedTables, keptTables } from '../../src/exchange/everything.ts';
import { structureGraph } from '../../src/parts/index.ts';
import { type Browser, startApp } from '../support/app.ts';
import { anAssembly, aPart } from '../support/parts.ts';

async function list(lead: Browser, path: string): Promise<Record<string, string>[]> {
  const answer = await lead.get(path).buffer(true);
  expect(answer.status, path).toBe(200);
  expect(answer.headers['content-type']).toContain('text/csv');
  expect(answer.headers['content-disposition']).toMatch(
    /^attachment; filename="farwright-\w+-2026-03-02\.csv"$/,
  );
  expect(answer.text.startsWith('\ufeff'), 'a byte order mark').toBe(true);
  return parse(answer.text, { bom: true, columns: true });
}

async function aSmallBuild() {
  const app = await startApp();
  const pin = await aPart(app, {
    number: 'PIN',
    name: '=SUM(A1)',
    kind: 'bought',
    priceCents: 345,
    packMilli: 100_000,
    supplier: '@shop',
  });
  const rod = await aPart(app, {
    number: 'ROD',
    name: 'Rod, 20 "bright"',
    kind: 'stock',
    unit: 'm',
    massGrams: 2466,
    note: 'two\nlines',
  });
  const arm = await anAssembly(app, {
    number: 'ARM',
    name: 'Arm',
    children: [
      { id: pin.id, milli: 4000 },
      { id: rod.id, milli: 750 },
    ],
  });
  await anAssembly(app, { number: 'TOP', name: 'Machine', children: [{ id: arm.id, milli: 2000 }] });
  await app.context.db.write.job.create({
    data: {
      kind: 'fabricate',
      title: 'Turn it',
      partId: rod.id,
      milli: 1500,
      createdAt: new Date('2026-03-01'),
    },
  });
  return app;
}

describe('the lists taken out', () => {
  it('hold the parts with figures plain programs can read, and no formula a spreadsheet would run', async () => {
    const lead = await (await aSmallBuild()).as('lead');
    const parts = await list(lead, '/exchange/parts.csv');
    expect(parts.map((row) => row['Part number'])).toEqual(['ARM', 'PIN', 'ROD', 'TOP']);
    expect(parts[1]).toMatchObject({
      Name: "'=SUM(A1)",
      Supplier: "'@shop",
      'Needed in all': '8',
      'Pack size': '100',
      'Price (EUR)': '3.45',
    });
    expect(parts[2]).toMatchObject({
      Name: 'Rod, 20 "bright"',
      'Needed in all': '1.5',
      'Mass (g)': '2466',
      Note: 'two\nlines',
    });
    const structure = await list(lead, '/exchange/structure.csv');
    expect(
      structure.map((row) => [row['Goes into'], row['Part number'], row['Quantity each'], row.Unit]),
    ).toEqual([
      ['TOP', 'ARM', '2', 'piece'],
      ['ARM', 'PIN', '4', 'piece'],
      ['ARM', 'ROD', '0.75', 'm'],
    ]);
    const jobs = await list(lead, '/exchange/jobs.csv');
    expect(jobs).toMatchObject([
      {
        Job: '1',
        Kind: 'fabricate',
        'Part number': 'ROD',
        Quantity: '1.5',
        Unit: 'm',
        Stage: 'preparing',
        Open: '1.5',
      },
    ]);
    const log = await list(lead, '/exchange/log.csv');
    expect(log.map((row) => row.Act)).toContain('add-use');
    expect(log[0]!.Act).toBe('set-up-build');
    expect(log.map((row) => Number(row.Number))).toEqual(log.map((_, at) => at + 1));
  });

  it('come in again without changing anything', async () => {
    const app = await aSmallBuild();
    const lead = await app.as('lead');
    for (const [path, options] of [
      ['/exchange/parts.csv', {}],
      ['/exchange/structure.csv', { repeatedNumbers: 'further-use' }],
    ] as const) {
      const { text } = await lead.get(path).buffer(true);
      const { headers } = await lead.upload('/import', {}, [
        { name: 'file', filename: 'again.csv', content: Buffer.from(text) },
      ]);
      const at = headers.location!;
      const first = await lead.get(at);
      const form = Object.fromEntries(
        [
          ...first.text
            .split(`action="${at}"`)[1]!
            .split('</form>')[0]!
            .matchAll(/<select[^>]* name="([^"]+)"[^>]*>([\s\S]*?)<\/select>/g),
        ].map(([, name, choices]) => [
          name!,
          (/<option value="([^"]*)" selected/.exec(choices!) ??
            /<option value="([^"]*)"/.exec(choices!))![1]!,
        ]),
      );
      await lead.post(at, { ...form, listCurrency: 'EUR', createAssemblies: 'yes', ...options });
      const plan = await lead.get(at);
      expect(plan.text, path).toMatch(/New parts<\/dt><dd>0</);
      expect(plan.text, path).toMatch(/Changes<\/dt><dd>0</);
      expect(plan.text, path).toMatch(/Bad<\/dt><dd>0</);
      expect(plan.text, path).toMatch(/Unusual<\/dt><dd>0</);
    }
    expect(structureGraph(app.context.db.hot).uses).toHaveLength(3);
  });
});

describe('everything as JSON', () => {
  it('holds every table of the build and no secret', async () => {
    const app = await aSmallBuild();
    const lead = await app.as('lead');
    const answer = await lead.get('/exchange/everything.json').buffer(true);
    expect(answer.status).toBe(200);
    expect(answer.text).not.toMatch(/passwordHash|argon2|farwright_session/);
    const { tables, format, at } = JSON.parse(answer.text);
    expect([format, at]).toEqual(['farwright 1', '2026-03-02T08:00:00.000Z']);
    const there = app.context.db.hot
      .prepare<[], { name: string }>(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'",
      )
      .all()
      .map(({ name }) => name);
    expect([...exportedTables, ...keptTables, 'AppliedMigration'].sort()).toEqual(there.sort());
    expect(Object.keys(tables)).toEqual([...exportedTables]);
    expect(tables.Part).toHaveLength(4);
    expect(tables.Use).toHaveLength(3);
    expect(tables.Person.find(({ id }: { id: number }) => id === 3)).toMatchObject({
      address: '1 Hill Road, Wellington',
    });
    expect(tables.Act.find(({ kind }: { kind: string }) => kind === 'add-use').after).toMatchObject({
      child: 'PIN',
      parent: 'ARM',
    });
    expect(tables.Material.length).toBeGreaterThan(10);
  });
});

describe('who may take lists out', () => {
  it('is the lead alone', async () => {
    const app = await startApp();
    const paths = ['', '/parts.csv', '/structure.csv', '/jobs.csv', '/log.csv', '/everything.json'].map(
      (path) => `/exchange${path}`,
    );
    for (const who of ['crew', 'imre'] as const) {
      const one = await app.as(who);
      for (const path of paths) expect((await one.get(path)).status, `${who} ${path}`).toBe(403);
    }
    for (const path of paths)
      expect((await app.visitor().get(path)).headers.location, path).toContain('/sign-in');
    const lead = await app.as('lead');
    const page = await lead.get('/exchange');
    for (const path of [...paths.slice(1), '/import']) expect(page.text).toContain(`href="${path}"`);
    for (const path of paths) expect((await lead.get(path)).status, path).toBe(200);
  });
});
