import { describe, expect, it } from 'vitest';
import { type Browser, startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';

const WEEK = '/bulletin/2026-03-08';
const TEXT = { title: 'First', opening: '', closing: '', version: '0' };

/** A week with so many photos of one problem; their files do not matter here. */
async function photographed(count: number): Promise<{ app: TestApp; lead: Browser; ids: number[] }> {
  const app = await startApp();
  const { write, read } = app.context.db;
  const at = app.context.clock.now();
  const problem = await write.problem.create({
    data: { title: 'Gear binds', seenAt: at, severity: 5, occurrence: 5, detection: 5 },
  });
  await write.photo.createMany({
    data: Array.from({ length: count }, (_, n) => ({
      problemId: problem.id,
      sha256: String(n).padStart(64, '0'),
      bytes: 10,
      width: 90,
      height: 60,
      addedById: castId.imre,
      addedAt: at,
    })),
  });
  const rows = await read.photo.findMany({ orderBy: { id: 'asc' }, select: { id: true } });
  return { app, lead: await app.as('lead'), ids: rows.map(({ id }) => id) };
}

const offered = (html: string) =>
  [...html.matchAll(/name="photo" value="(\d+)"/g)].map(([, id]) => Number(id));

describe('a week of 400 photos', () => {
  it('lists the last of them, all where asked, and never loses one that was chosen', async () => {
    const { lead, ids } = await photographed(400);
    const [first] = ids as [number];
    const short = (await lead.get(WEEK)).text;
    expect(offered(short)).toEqual(ids.slice(-200));
    expect(short).toContain(`<a href="${WEEK}?photos=all#photos">Show all 400</a>`);
    const whole = (await lead.get(`${WEEK}?photos=all`)).text;
    expect(offered(whole)).toEqual(ids);
    expect(whole).not.toContain('Show all');

    const kept = await lead.post(WEEK, { ...TEXT, photo: String(first), [`said-${first}`]: 'The ring' });
    expect(kept.status).toBe(303);
    const again = (await lead.get(WEEK)).text;
    expect(offered(again)).toEqual([first, ...ids.slice(-200)]);
    expect(again).toContain(`value="${first}" checked`);
    expect(again).toContain('value="The ring"');
    // Refused for something else: what was ticked is shown with it.
    const refused = await lead.post(WEEK, { ...TEXT, version: '1', minutes: 'x', photo: String(ids[1]) });
    expect(refused.status).toBe(422);
    expect(offered(refused.text)).toEqual([first, ids[1], ...ids.slice(-200)]);
    expect(refused.text).toContain(`value="${ids[1]}" checked`);
    expect(refused.text).not.toContain(`value="${first}" checked`);
    const preview = (await lead.get(`${WEEK}/preview`)).text;
    expect(preview).toContain(`/photos/${first}`);
    expect(preview).toContain('Photo: Imre Kovacs');
  });

  it('shows one that was taken off nowhere, and goes on being edited and cut', async () => {
    const { app, lead, ids } = await photographed(2);
    await lead.post(WEEK, { ...TEXT, photo: ids.map(String) });
    await app.context.db.write.photo.update({ where: { id: ids[0] }, data: { removedAt: new Date() } });
    const cut = await lead.post(`${WEEK}/cut`, { version: '1', cut: 'late-1' });
    expect(cut.status).toBe(303);
    expect((await lead.get(`${WEEK}/preview`)).text).not.toContain(`/photos/${ids[0]}`);
    expect(offered((await lead.get(WEEK)).text)).toEqual([ids[1]]);
    expect((await lead.post(`${WEEK}/publish`, { version: '2' })).status).toBe(303);
    const page = (await app.visitor().get(WEEK)).text;
    expect(page).not.toContain(`photos/${ids[0]}`);
    expect(page).toContain(`photos/${ids[1]}`);
  });
});
