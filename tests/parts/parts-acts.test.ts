import { join } from 'node:path';
import Sqlite from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import {
  addUse,
  changePart,
  createPart,
  removePart,
  removeUse,
  requiredMilli,
  restorePart,
  structureGraph,
} from '../../src/parts/index.ts';
import { NotFound, Refused, WrongField } from '../../src/platform/refusal.ts';
import { startApp } from '../support/app.ts';
import { anAssembly, aPart, asLead } from '../support/parts.ts';

const noJobs = () => [];

describe('createPart', () => {
  it('gives the next number of the prefix, one above the highest ever given', async () => {
    const app = await startApp();
    expect((await aPart(app)).number).toBe('TB-0001');
    await aPart(app, { number: 'tb-0041' });
    const { id, number } = await aPart(app);
    expect(number).toBe('TB-0042');
    await asLead(app, (act) => removePart(act, id, noJobs));
    expect((await aPart(app)).number).toBe('TB-0043');
  });

  it('refuses a number that another part has in other letters, and one of a part taken out', async () => {
    const app = await startApp();
    const { id } = await aPart(app, { number: 'Arm-7', name: 'Saturn arm' });
    await expect(aPart(app, { number: 'ARM-7' })).rejects.toThrow('Arm-7 is "Saturn arm" already');
    await asLead(app, (act) => removePart(act, id, noJobs));
    await expect(aPart(app, { number: 'arm-7' })).rejects.toThrow('a number is given once');
    await expect(aPart(app, { number: 'arm 7' })).rejects.toThrow(WrongField);
  });

  it('logs what was made, and puts it into an assembly in the same act or not at all', async () => {
    const app = await startApp();
    const base = await anAssembly(app);
    const { id } = await aPart(app, {
      unit: 'm',
      kind: 'stock',
      goesInto: { parentId: base.id, milli: 2500 },
    });
    expect(requiredMilli(app.context.db.hot).get(id)).toBe(2500);
    const before = await app.context.db.read.part.count();
    await expect(aPart(app, { goesInto: { parentId: 99, milli: 1000 } })).rejects.toThrow(NotFound);
    expect(await app.context.db.read.part.count()).toBe(before);
    const acts = await app.context.db.read.act.findMany({ where: { partId: id } });
    expect(acts.map(({ kind }) => kind)).toEqual(['create-part']);
    expect(JSON.parse(acts[0]!.after!)).toMatchObject({ kind: 'stock', unit: 'm' });
  });
});

describe('addUse', () => {
  it('refuses a loop and names it by part numbers in order', async () => {
    const app = await startApp();
    const screw = await anAssembly(app, { number: 'C' });
    const arm = await anAssembly(app, { number: 'B', children: [{ id: screw.id }] });
    const top = await anAssembly(app, { number: 'A', children: [{ id: arm.id }] });
    const closing = asLead(app, (act) => addUse(act, { parentId: screw.id, childId: top.id, milli: 1000 }));
    await expect(closing).rejects.toThrow('A cannot go into C, because A already holds it (A > B > C)');
    await expect(closing).rejects.toThrow(Refused);
    await expect(
      asLead(app, (act) => addUse(act, { parentId: top.id, childId: top.id, milli: 1000 })),
    ).rejects.toThrow('A cannot go into itself.');
  });

  it('puts a part into many assemblies, each once', async () => {
    const app = await startApp();
    const pin = await aPart(app, { number: 'PIN' });
    const left = await anAssembly(app, { number: 'L', children: [{ id: pin.id, milli: 4000 }] });
    const right = await anAssembly(app, { number: 'R', children: [{ id: pin.id, milli: 3000 }] });
    await anAssembly(app, { number: 'TOP', children: [{ id: left.id, milli: 2000 }, { id: right.id }] });
    expect(requiredMilli(app.context.db.hot).get(pin.id)).toBe(11_000);
    await expect(
      asLead(app, (act) => addUse(act, { parentId: left.id, childId: pin.id, milli: 1000 })),
    ).rejects.toThrow('PIN goes into L already, 4 pieces: change that line.');
  });

  it('refuses parts in bought parts and stock', async () => {
    const app = await startApp();
    const motor = await aPart(app, { number: 'M', kind: 'bought' });
    const pin = await aPart(app);
    await expect(
      asLead(app, (act) => addUse(act, { parentId: motor.id, childId: pin.id, milli: 1000 })),
    ).rejects.toThrow('M is bought: parts go into assemblies and made parts.');
  });
});

describe('removePart', () => {
  it('is refused while the part is used, saying where, and while jobs go on, saying which', async () => {
    const app = await startApp();
    const { childIds } = await anAssembly(app, { number: 'BOX', children: [{ number: 'LID' }] });
    const lid = childIds[0]!;
    await expect(asLead(app, (act) => removePart(act, lid, noJobs))).rejects.toThrow(
      'LID goes into BOX: take it out there first.',
    );
    const [line] = structureGraph(app.context.db.hot).uses;
    await asLead(app, (act) => removeUse(act, line!.id));
    const jobs = () => [{ id: 7, title: 'Bend it' }];
    await expect(asLead(app, (act) => removePart(act, lid, jobs))).rejects.toThrow(
      'Job 7 (Bend it) of LID still go',
    );
    await asLead(app, (act) => removePart(act, lid, noJobs));
    expect(structureGraph(app.context.db.hot).parts.has(lid)).toBe(false);
  });

  it('keeps the lines of what it takes out, and restorePart brings them back unless that closes a loop', async () => {
    const app = await startApp();
    const c = await anAssembly(app, { number: 'C' });
    const b = await anAssembly(app, { number: 'B', children: [{ id: c.id }] });
    const a = await anAssembly(app, { number: 'A', children: [{ id: b.id }] });
    const take = (id: number) => asLead(app, (act) => removePart(act, id, noJobs));
    const back = (id: number) => asLead(app, (act) => restorePart(act, id));
    await take(a.id);
    await take(b.id);
    await back(a.id);
    expect(structureGraph(app.context.db.hot).uses).toEqual([]);
    await asLead(app, (act) => addUse(act, { parentId: c.id, childId: a.id, milli: 1000 }));
    await expect(back(b.id)).rejects.toThrow(
      /would close a loop, (A > B > C > A|B > C > A > B|C > A > B > C)\./,
    );
    const [line] = structureGraph(app.context.db.hot).uses;
    await asLead(app, (act) => removeUse(act, line!.id));
    await back(b.id);
    expect(requiredMilli(app.context.db.hot).get(c.id)).toBe(1000);
  });
});

describe('changePart', () => {
  it('refuses a unit that quantities are told in, and a kind that cannot hold what it holds', async () => {
    const app = await startApp();
    const { id, childIds } = await anAssembly(app, { children: [{}] });
    const change = (partId: number, fields: object) =>
      asLead(app, (act) => changePart(act, { partId, fields }));
    await expect(change(childIds[0]!, { unit: 'm' })).rejects.toThrow('because it goes into other parts');
    await expect(change(id, { kind: 'bought' })).rejects.toThrow('1 part goes into');
    await expect(change(id, { unit: 'kg' })).rejects.toThrow('Assemblies are counted in pieces.');
    await change(childIds[0]!, { name: 'Rail', massGrams: 12.5 });
    const last = await app.context.db.read.act.findFirstOrThrow({ orderBy: { id: 'desc' } });
    expect([last.kind, JSON.parse(last.before!), JSON.parse(last.after!)]).toEqual([
      'change-part',
      { name: expect.any(String), massGrams: null },
      { name: 'Rail', massGrams: 12.5 },
    ]);
  });
});

describe('two connections to one database', () => {
  it('cannot give a number twice: from its first look an act keeps others from writing', async () => {
    const app = await startApp();
    const other = new Sqlite(join(app.context.settings.dataDir, 'farwright.db'), { timeout: 0 });
    const insert = (number: string) =>
      other
        .prepare('INSERT INTO Part (number, numberKey, name, kind, createdAt) VALUES (?, ?, ?, ?, ?)')
        .run(number, number.toUpperCase(), 'Sun wheel', 'made', '2026-03-02T08:00:00.000+00:00');
    try {
      await asLead(app, async (act) => {
        expect(() => insert('SUN')).toThrow('database is locked');
        await createPart(act, { name: 'Sun gear', kind: 'made', number: 'SUN' });
        expect(() => insert('SUN')).toThrow('database is locked');
      });
      expect(() => insert('sun')).toThrow('UNIQUE constraint failed: Part.numberKey');
      insert('MOON');
      await expect(aPart(app, { number: 'moon' })).rejects.toThrow('MOON is "Sun wheel" already');
      expect([...structureGraph(app.context.db.hot).parts.values()].map(({ number }) => number)).toEqual([
        'MOON',
        'SUN',
      ]);
    } finally {
      other.close();
    }
  });
});
