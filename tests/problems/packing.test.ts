import { describe, expect, it } from 'vitest';
import { createJob } from '../../src/jobs/index.ts';
import { setShelf } from '../../src/parts/index.ts';
import {
  bringToGathering,
  comeToGathering,
  dropGathering,
  leaveGathering,
  packForGathering,
  unpackForGathering,
  writePackingLine,
} from '../../src/problems/index.ts';
import { packingKey, partsToPack, processesToPack } from '../../src/problems/packing.ts';
import { gatheringWork } from '../../src/schedule/index.ts';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import { claim, facts, type Given, job, part } from '../schedule/derive-facts.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { type CastName, castId } from '../support/cast.ts';
import { asPerson } from '../support/jobs.ts';
import { anAssembly } from '../support/parts.ts';
import { aGathering } from '../support/problems.ts';

const come = (app: TestApp, gatheringId: number, who: CastName) =>
  asPerson(app, who, (act) => comeToGathering(act, { gatheringId, personId: castId[who] }));

describe('partsToPack', () => {
  /** Two frames of three posts and a plate go into a machine; the frames are fitted at the gathering. */
  const build = (over: Partial<Given> = {}): Given => ({
    parts: [
      part(1, { kind: 'assembly' }),
      part(2, { kind: 'assembly', name: 'Frame' }),
      part(3, { name: 'Post' }),
      part(4, { name: 'Plate', shelfMilli: 2000 }),
    ],
    uses: [
      [1, 2, 2],
      [2, 3, 3],
      [2, 4, 1],
    ],
    released: [3, 4],
    gatherings: [[1, '2026-03-28', '2026-03-29']],
    ...over,
  });
  const packed = (given: Given) => {
    const work = gatheringWork(scheduleOf(facts(given)), 1, 8)!;
    return partsToPack(work, work.tasks);
  };

  it('counts what the fit-ups there take, not what is fitted up there itself', () => {
    const found = packed(
      build({ jobs: [job(2, { kind: 'fit-up', partId: 2, milli: 2000, gatheringId: 1 })] }),
    );
    expect(found.map(({ partId, milli }) => [partId, milli])).toEqual([
      [3, 6000],
      [4, 2000],
    ]);
    expect(found[1]!.where).toEqual([{ kind: 'on the shelf', milli: 2000, personId: null, expected: null }]);
    expect(found[0]!.where).toEqual([{ kind: 'with nobody', milli: 6000, personId: null, expected: null }]);
  });

  it('finds each piece once: on the shelf, to inspect, in the post, with its maker, with nobody', () => {
    const claims = [
      claim(1, { milli: 1000, doneMilli: 1000, arrivedMilli: 1000, acceptedMilli: 1000 }),
      claim(2, { milli: 1000, doneMilli: 1000, arrivedMilli: 1000 }),
      claim(3, {
        milli: 1000,
        doneMilli: 1000,
        travellingMilli: 1000,
        lastSentAt: '2026-02-28T08:00:00.000Z',
      }),
      claim(4, { milli: 2000, personId: 4 }),
    ];
    const found = packed(
      build({
        jobs: [
          job(1, { partId: 3, milli: 6000, offeredAt: '2026-02-01T08:00:00.000Z', claims }),
          job(2, { kind: 'fit-up', partId: 2, milli: 2000, gatheringId: 1 }),
        ],
      }),
    );
    expect(found[0]!.where.map(({ kind, milli, personId }) => [kind, milli, personId])).toEqual([
      ['on the shelf', 1000, null],
      ['to inspect', 1000, 3],
      ['in the post', 1000, 3],
      ['with a maker', 2000, 4],
      ['with nobody', 1000, null],
    ]);
  });

  it('takes along what other work waits for', () => {
    const found = packed(
      build({
        jobs: [
          job(1, { partId: 3, milli: 6000, offeredAt: 'x', claims: [claim(1, { milli: 6000 })] }),
          job(3, { kind: 'other', gatheringId: 1 }),
        ],
        links: [{ fromId: 1, toId: 3, type: 'FS', lag: 0 }],
      }),
    );
    expect(found.map(({ partId, milli }) => [partId, milli])).toEqual([[3, 6000]]);
  });

  it('names the ways of working of the parts, and reads keys', () => {
    const given = build({
      jobs: [job(2, { kind: 'fit-up', partId: 2, milli: 2000, gatheringId: 1 })],
      revisions: [{ id: 8, partId: 2, letter: 'A', state: 'released', processId: 5, drawn: true }],
    });
    const work = gatheringWork(scheduleOf(facts(given)), 1, 8)!;
    expect(processesToPack(work, work.tasks).map(({ processId }) => processId)).toEqual([5]);
    expect(packingKey('part:12')).toEqual({ kind: 'part', id: 12 });
    for (const odd of ['', 'part:0', 'part:-1', 'other:1', 'typed:new', 'part:12 ', 'part:1e9']) {
      expect(packingKey(odd)).toBeNull();
    }
  });
});

/** A gathering at which a frame is fitted; its post lies on the shelf. The lead and Imre come. */
async function aFitUp(app: TestApp) {
  const frame = await anAssembly(app, { name: 'Frame', children: [{ name: 'Post', milli: 2000 }] });
  const top = await anAssembly(app, { name: 'Machine', children: [{ id: frame.id }] });
  await asPerson(app, 'lead', (act) => setShelf(act, { partId: frame.childIds[0]!, quantity: '2' }));
  const gatheringId = await aGathering(app);
  const jobId = await asPerson(app, 'lead', (act) =>
    createJob(act, { kind: 'fit-up', title: '', partId: frame.id, milli: 1000, gatheringId, hours: 2 }),
  );
  await come(app, gatheringId, 'lead');
  await come(app, gatheringId, 'imre');
  return { gatheringId, jobId, frame, top, key: `part:${frame.childIds[0]}` };
}

describe('the packing list', () => {
  it('has the parts of the fit-ups with where they are; they are ticked and unticked', async () => {
    const app = await startApp();
    const { gatheringId, key } = await aFitUp(app);
    const lead = await app.as('lead');
    const page = `/gatherings/${gatheringId}/packing`;
    const before = await lead.get(page);
    expect(before.status).toBe(200);
    expect(before.text).toContain('0 of 1');
    expect(before.text).toContain('2 pieces on the shelf');
    const reply = await lead.post(`${page}/pack`, { key });
    expect(reply.status).toBe(303);
    expect(reply.headers.location).toBe(`${page}#${key.replace(':', '-')}`);
    expect((await lead.get(page)).text).toContain('packed by Ottilie Brandt on 2 Mar');
    const again = await lead.post(`${page}/pack`, { key });
    expect(again.status).toBe(409);
    expect(again.text).toContain('Ottilie Brandt has packed it already.');
    expect((await lead.post(`${page}/unpack`, { key })).status).toBe(303);
    expect((await lead.post(`${page}/unpack`, { key })).status).toBe(409);
    const log = await app.context.db.read.act.findMany({ where: { kind: { contains: 'pack-for' } } });
    expect(log.map(({ kind }) => kind)).toEqual(['pack-for-gathering', 'unpack-for-gathering']);
    expect(log[0]!.after).toContain('Post, 2 pieces');
    await lead.post(`${page}/bring`, { key, personId: castId.imre });
    await lead.post(`${page}/bring`, { key, personId: '' });
    await lead.post(`${page}/lines`, { words: 'Rope', personId: castId.lead });
    const rope = await app.context.db.read.packingLine.findFirstOrThrow({ where: { words: 'Rope' } });
    await lead.post(`${page}/pack`, { key: rope.key });
    await lead.post(`${page}/drop`, { key: rope.key });
    const { text } = await lead.get('/log');
    for (const sentence of [
      / packed TB-\d+ Post, 2 pieces for a gathering: Spring fit-up/,
      / has not packed TB-\d+ Post, 2 pieces for a gathering after all: Spring fit-up/,
      / wrote down Imre Kovacs to bring TB-\d+ Post, 2 pieces to a gathering: Spring fit-up/,
      / left open who brings TB-\d+ Post, 2 pieces to a gathering: Spring fit-up/,
      / wrote down what is to be brought to a gathering: Spring fit-up/,
      / packed something for a gathering: Spring fit-up/,
      / took a line off the packing list of a gathering: Spring fit-up/,
    ]) {
      expect(text.replace(/<[^>]+>/g, '')).toMatch(sentence);
    }
  });

  it('is ticked by exactly one of two at the same moment', async () => {
    const app = await startApp();
    const { gatheringId, key } = await aFitUp(app);
    const pack = (who: CastName) =>
      asPerson(app, who, (act) => packForGathering(act, { gatheringId, key, words: 'Post, 2 pieces' }));
    const outcomes = await Promise.allSettled([pack('lead'), pack('crew'), pack('imre')]);
    expect(outcomes.filter(({ status }) => status === 'fulfilled')).toHaveLength(1);
    expect(await app.context.db.read.packingLine.count()).toBe(1);
    expect(await app.context.db.read.act.count({ where: { kind: 'pack-for-gathering' } })).toBe(1);
  });

  it('lets makers who come say what they bring, and nothing of what others bring', async () => {
    const app = await startApp();
    const { gatheringId, key } = await aFitUp(app);
    const page = `/gatherings/${gatheringId}/packing`;
    const imre = await app.as('imre');
    const written = await imre.post(`${page}/lines`, {
      words: 'A <b>torque</b> wrench',
      personId: castId.imre,
    });
    expect(written.status).toBe(303);
    expect((await imre.get(page)).text).toContain('A &lt;b&gt;torque&lt;/b&gt; wrench');
    expect((await imre.get(page)).text).toContain('You bring');
    const wrench = (
      await app.context.db.read.packingLine.findFirstOrThrow({ where: { personId: castId.imre } })
    ).key;
    expect((await imre.post(`${page}/pack`, { key: wrench })).status).toBe(303);
    // for others, not
    const hers = await imre.post(`${page}/lines`, { words: 'Bread', personId: castId.lead });
    expect([hers.status, hers.text.includes('Somebody else brings this')]).toEqual([409, true]);
    expect(hers.text).toContain('value="Bread"');
    const leads = await asPerson(app, 'lead', (act) =>
      writePackingLine(act, { gatheringId, words: 'Hoist', personId: castId.lead }),
    );
    for (const way of ['pack', 'unpack', 'bring', 'drop']) {
      const reply = await imre.post(`${page}/${way}`, { key: leads, personId: castId.imre });
      expect([way, reply.status]).toEqual([way, 409]);
    }
    // what nobody brings, they may take on
    await asPerson(app, 'lead', (act) => writePackingLine(act, { gatheringId, words: 'Rope' }));
    expect((await imre.get(page)).text).toMatch(/I bring it<\/button>\s+<button[^>]*>Take it off/);
    expect((await imre.post(`${page}/bring`, { key, personId: castId.imre })).status).toBe(303);
    const line = await app.context.db.read.packingLine.findFirstOrThrow({ where: { key } });
    expect([line.personId, line.words]).toEqual([castId.imre, expect.stringContaining('Post, 2 pieces')]);
    expect((await imre.post(`${page}/drop`, { key: wrench })).status).toBe(303);
    // and nothing they wrote is in the log, which is never changed
    expect(JSON.stringify(await app.context.db.read.act.findMany())).not.toMatch(/torque|Hoist/);
  });

  it('is not for makers who don’t come, nor for visitors', async () => {
    const app = await startApp();
    const { gatheringId, key } = await aFitUp(app);
    const farid = await app.as('farid');
    for (const sheet of ['agenda', 'packing']) {
      const { status, text } = await farid.get(`/gatherings/${gatheringId}/${sheet}`);
      expect([sheet, status]).toEqual([sheet, 404]);
      expect(text).toContain('told to those who come');
      expect((await app.visitor().get(`/gatherings/${gatheringId}/${sheet}`)).status).toBe(303);
    }
    expect((await farid.post(`/gatherings/${gatheringId}/packing/pack`, { key })).status).toBe(404);
    await expect(
      asPerson(app, 'farid', (act) => packForGathering(act, { gatheringId, key, words: 'Post' })),
    ).rejects.toThrow('Only who comes packs for it.');
    expect((await farid.get(`/gatherings/${gatheringId}`)).text).not.toContain(
      `/gatherings/${gatheringId}/packing`,
    );
    // crew see it without coming
    expect((await (await app.as('crew')).get(`/gatherings/${gatheringId}/packing`)).status).toBe(200);
  });

  it('refuses what is no line of it, and keeps what was typed when it does not fit', async () => {
    const app = await startApp();
    const { gatheringId, frame, key } = await aFitUp(app);
    const page = `/gatherings/${gatheringId}/packing`;
    const lead = await app.as('lead');
    for (const odd of ['part:999', `part:${frame.id}`, 'typed:77', 'tool:1', 'nonsense']) {
      expect([odd, (await lead.post(`${page}/pack`, { key: odd })).status]).toEqual([odd, 404]);
    }
    const blank = await lead.post(`${page}/pack`, { key: '' });
    expect([blank.status, blank.text.includes('Choose a line of the list.')]).toEqual([422, true]);
    const empty = await lead.post(`${page}/lines`, { words: '  ', personId: '' });
    expect([empty.status, empty.text.includes('Say what is to be brought.')]).toEqual([422, true]);
    const long = await lead.post(`${page}/lines`, { words: 'x'.repeat(201), personId: '' });
    expect([long.status, long.text.includes('x'.repeat(201))]).toEqual([422, true]);
    const gone = await lead.post(`${page}/lines`, { words: 'Rope', personId: castId.farid });
    expect([gone.status, gone.text.includes('Only who comes can bring something.')]).toEqual([422, true]);
    expect(gone.text).toContain('value="Rope"');
    const other = await lead.post(`${page}/bring`, { key, personId: castId.farid });
    expect([other.status, other.text.includes('Only who comes can bring something.')]).toEqual([422, true]);
    const asked = await lead.get(`${page}?line=${key}`);
    expect(asked.text).toContain(`<option value="${key}" selected>`);
    const worked = await lead.post(`${page}/drop`, { key });
    expect([worked.status, worked.text.includes('follows from the agenda')]).toEqual([409, true]);
    expect(await app.context.db.read.packingLine.count()).toBe(0);
    expect((await lead.get('/gatherings/999/packing')).status).toBe(404);
  });

  it('tells who was to bring something and comes no more, and keeps what was packed when the agenda changes', async () => {
    const app = await startApp();
    const { gatheringId, key, jobId } = await aFitUp(app);
    const page = `/gatherings/${gatheringId}/packing`;
    await asPerson(app, 'lead', (act) =>
      bringToGathering(act, { gatheringId, key, words: 'Post, 2 pieces', personId: castId.imre }),
    );
    await asPerson(app, 'imre', (act) =>
      packForGathering(act, { gatheringId, key, words: 'Post, 2 pieces' }),
    );
    await asPerson(app, 'imre', (act) => leaveGathering(act, { gatheringId, personId: castId.imre }));
    const lead = await app.as('lead');
    expect((await lead.get(page)).text).toContain(
      'Imre Kovacs is not on the list any more: ask somebody else.',
    );
    await app.context.db.write.job.update({ where: { id: jobId }, data: { droppedAt: new Date() } });
    await asPerson(app, 'lead', (act) => writePackingLine(act, { gatheringId, words: 'Rope' }));
    const { text } = await lead.get(page);
    expect(text).toContain('Post, 2 pieces');
    expect(text).toContain('nothing on the agenda asks for it now');
    await asPerson(app, 'lead', (act) => unpackForGathering(act, { gatheringId, key }));
    expect((await lead.get(page)).text).not.toContain('Post, 2 pieces');
  });

  it('stays as it was when it is over or called off', async () => {
    const app = await startApp();
    const { gatheringId, key } = await aFitUp(app);
    await asPerson(app, 'lead', (act) =>
      packForGathering(act, { gatheringId, key, words: 'Post, 2 pieces' }),
    );
    await asPerson(app, 'lead', (act) => writePackingLine(act, { gatheringId, words: 'Rope' }));
    app.passDays(20);
    const lead = await app.as('lead');
    const { text } = await lead.get(`/gatherings/${gatheringId}/packing`);
    expect(text).toContain('the list stays as it was');
    expect(text).toContain('Post, 2 pieces');
    expect(text).toContain('Rope');
    expect(text).not.toContain('name="key"');
    await expect(
      asPerson(app, 'lead', (act) => unpackForGathering(act, { gatheringId, key })),
    ).rejects.toThrow('is over');
    const off = await aGathering(app, { fromOn: '2026-05-01', untilOn: '2026-05-02' });
    await asPerson(app, 'crew', (act) => dropGathering(act, { gatheringId: off }));
    await expect(
      asPerson(app, 'lead', (act) => writePackingLine(act, { gatheringId: off, words: 'Rope' })),
    ).rejects.toThrow('called off');
  });

  it('takes so many lines and no more', async () => {
    const app = await startApp();
    const gatheringId = await aGathering(app);
    await app.context.db.write.packingLine.createMany({
      data: Array.from({ length: 200 }, (_, n) => ({ gatheringId, key: `typed:${n + 1000}`, words: 'Rope' })),
    });
    await expect(
      asPerson(app, 'lead', (act) => writePackingLine(act, { gatheringId, words: 'One more' })),
    ).rejects.toThrow('At most 200 lines');
    expect((await (await app.as('lead')).get(`/gatherings/${gatheringId}/packing`)).text).toContain(
      '0 of 200',
    );
  });
});
