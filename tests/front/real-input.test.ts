import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { type Browser, startApp } from '../support/app.ts';
import { aPdf } from '../support/drawings.ts';
import { formOn } from '../support/form-on.ts';

const checks = new URL('../checks/', import.meta.url);
// Part of the public master parts list of an open-source rover, and a cube that others modelled: see the READMEs there.
const ROVER = readFileSync(new URL('real/rover_master_excerpt.csv', checks));
const STEP = readFileSync(new URL('step/cube-10mm.stp', checks));
const DAY = '2026-03-02';

async function done(
  answer: Promise<{ status: number; headers: Record<string, string>; text: string }>,
): Promise<string> {
  const { status, headers, text } = await answer;
  expect(status, text.replace(/<[^>]+>|\s+/g, ' ').slice(0, 600)).toBe(303);
  return headers.location!;
}

/** Draws and releases a part that the list named, with a model and a drawing. */
async function released(lead: Browser, number: string): Promise<void> {
  const edit = `/parts/${number}/edit`;
  const form = formOn((await lead.get(edit)).text, edit);
  await done(lead.post(edit, { ...form, kind: 'made' }));
  const revision = await done(lead.post(`/parts/${number}/revisions`));
  const change = formOn((await lead.get(`${revision}/change`)).text, revision);
  await done(lead.post(revision, { ...change, materialId: '1', processId: '1', generalTolerance: 'm' }));
  await done(lead.post(`${revision}/characteristics`, { text: '12,5 +0,1 -0', label: 'bore' }));
  const add = (kind: string, filename: string, content: Buffer) =>
    done(lead.upload(`${revision}/documents`, { kind }, [{ name: 'file', filename, content }]));
  await add('model', `${number}.stp`, STEP);
  await add('drawing', `${number}.pdf`, aPdf(number));
  const release = formOn((await lead.get(revision)).text, `${revision}/release`);
  await done(lead.post(`${revision}/release`, release));
}

it('a rover’s own parts list becomes a build: rows hung, three parts released, made by two makers, told to the audience', async () => {
  const test = await startApp();
  const { read } = test.context.db;
  const lead = await test.as('lead');
  const list = await done(
    lead.upload('/import', {}, [{ name: 'file', filename: 'rover_master_excerpt.csv', content: ROVER }]),
  );
  await done(
    lead.post(`${list}/take`, { ...formOn((await lead.get(list)).text, `${list}/take`), line: '18' }),
  );
  expect(await read.part.count({ where: { kind: { not: 'assembly' } } })).toBe(17);

  await done(lead.post('/parts', { number: 'ROVER', name: 'Rover', kind: 'assembly', unit: 'piece' }));
  const assemblies = await read.part.findMany({ where: { kind: 'assembly', number: { not: 'ROVER' } } });
  expect(assemblies).toHaveLength(9);
  for (const { number } of assemblies)
    await done(lead.post('/parts/ROVER/uses', { child: number, quantity: '1' }));
  expect((await lead.get('/structure')).text).toContain('ROVER');

  const jobs: string[] = [];
  for (const number of ['S24', 'S35', 'S39']) {
    await released(lead, number);
    const job = await done(
      lead.post('/jobs', { kind: 'fabricate', part: number, quantity: '2', strangers: 'yes' }),
    );
    await done(lead.post(`${job}/offer`, { asked: 'yes', strangers: 'yes' }));
    jobs.push(job);
  }
  expect((await test.visitor().get('/offers')).text).toContain('Laser Cut Body Front Panel');

  for (const who of ['imre', 'farid'] as const) {
    const maker = await test.as(who);
    const parcel: Record<string, string> = { sentOn: DAY, carrier: 'post', tracking: '', note: '' };
    for (const job of jobs) {
      await done(
        maker.post(`${job}/claims`, {
          quantity: '1',
          soonestDays: '2',
          likelyDays: '4',
          latestDays: '8',
          note: '',
        }),
      );
    }
    const person = await read.person.findUniqueOrThrow({ where: { email: `${who}@example.org` } });
    for (const { id } of await read.claim.findMany({ where: { personId: person.id } })) {
      await done(maker.post(`/claims/${id}/report`, { quantity: '1', hours: '', words: 'Done.' }));
      parcel[`q-${id}`] = '1';
    }
    await done(maker.post('/parcels', parcel));
  }
  for (const { id, items } of await read.parcel.findMany({ include: { items: true } })) {
    const arrival = { arrivedOn: DAY, note: '', counting: 'as posted' };
    await done(lead.post(`/receiving/parcels/${id}/arrival`, arrival));
    for (const item of items) {
      const line = `/receiving/lines/${item.id}`;
      const units = /name="units" value="([\d,]+)"/.exec((await lead.get(line)).text)![1]!;
      const verdict = { form: 'one', units, disposition: 'accept', reason: '', gauge: '' };
      await done(lead.post(`${line}/checks`, verdict));
    }
  }
  for (const job of jobs) {
    const page = await lead.get(job);
    expect(page.text).toContain('2 accepted');
  }

  const week = '/bulletin/2026-03-08';
  const draft = await lead.get(week);
  expect(draft.text).toContain('Imre Kovacs finished 1 piece of Laser Cut Body Front Panel.');
  await done(lead.post(`${week}/publish`, { version: '0' }));
  const told = (await test.visitor().get(week)).text;
  expect(told).toContain('9 x 12 Top Plate: 2 pieces accepted.');
  expect(told).toMatch(/Farid Amiri, for [^<]*making/);
  expect(told).not.toContain('example.org');
}, 120_000);
