import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { type Browser, startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aClaim, asPerson } from '../support/jobs.ts';

const WEEK = '/bulletin/2026-03-08';
const TEXT = { title: 'First', opening: '', closing: '', version: '0' };

/** Two photos reported by Imre in the week that the cast's clock stands in. */
async function twoPhotos(): Promise<{ app: TestApp; lead: Browser; ids: number[] }> {
  const app = await startApp();
  const { claimId } = await aClaim(app, {});
  const picture = await sharp({ create: { width: 90, height: 60, channels: 3, background: '#a85' } })
    .jpeg()
    .toBuffer();
  const imre = await app.as('imre');
  const sent = await imre.upload(
    `/claims/${claimId}/report`,
    { quantity: '', words: 'On the lathe', hours: '' },
    [
      { name: 'photos', filename: 'a.jpg', content: picture },
      { name: 'photos', filename: 'b.jpg', content: picture },
    ],
  );
  expect(sent.status).toBe(303);
  const rows = await app.context.db.read.photo.findMany({ orderBy: { id: 'asc' } });
  return { app, lead: await app.as('lead'), ids: rows.map(({ id }) => id) };
}

describe('photos of the bulletin', () => {
  it('are chosen from the week’s, kept with their words, and open to all once published', async () => {
    const { app, lead, ids } = await twoPhotos();
    const [first, second] = ids as [number, number];
    const draft = (await lead.get(WEEK)).text;
    expect(draft).toContain(`name="photo" value="${first}"`);
    expect(draft).toMatch(/a report on job \d+,/);
    const kept = await lead.post(WEEK, {
      ...TEXT,
      photo: String(second),
      [`said-${second}`]: 'The <b>ring</b>',
    });
    expect(kept.status).toBe(303);
    const again = (await lead.get(WEEK)).text;
    expect(again).toContain(`value="${second}" checked`);
    expect(again).not.toContain(`value="${first}" checked`);
    const address = `${WEEK}/photos/${second}`;
    expect((await app.visitor().get(address)).status).toBe(404);
    expect((await lead.post(`${WEEK}/publish`, { version: '1' })).status).toBe(303);
    const page = (await app.visitor().get(WEEK)).text;
    expect(page).toContain('The &lt;b&gt;ring');
    expect(page).toContain('Photo: Imre');
    const photo = await app.visitor().get(address);
    expect(photo.status).toBe(200);
    expect(photo.headers['content-type']).toBe('image/jpeg');
    // The one that was not chosen stays where it was.
    expect((await app.visitor().get(`${WEEK}/photos/${first}`)).status).toBe(404);
    expect((await app.visitor().get(`/photos/${second}`)).status).toBe(303);
  });

  it('name who took them as that person wishes, also later', async () => {
    const { app, lead, ids } = await twoPhotos();
    await lead.post(WEEK, { ...TEXT, photo: ids.map(String) });
    await lead.post(`${WEEK}/publish`, { version: '1' });
    await asPerson(app, 'imre', async (act) => {
      await act.tx.person.update({ where: { id: castId.imre }, data: { thanksBy: 'none' } });
      await act.log({ kind: 'change-person' });
    });
    const page = (await app.visitor().get(WEEK)).text;
    expect(page).toContain('A photo of the week');
    expect(page).not.toContain('Photo: Imre');
  });

  it('are gone from a published week when they are taken off', async () => {
    const { app, lead, ids } = await twoPhotos();
    await lead.post(WEEK, { ...TEXT, photo: ids.map(String) });
    await lead.post(`${WEEK}/publish`, { version: '1' });
    await app.context.db.write.photo.update({ where: { id: ids[0] }, data: { removedAt: new Date() } });
    const page = (await app.visitor().get(WEEK)).text;
    expect(page).not.toContain(`photos/${ids[0]}`);
    expect(page).toContain(`photos/${ids[1]}`);
    expect((await app.visitor().get(`${WEEK}/photos/${ids[0]}`)).status).toBe(404);
  });

  it('refuse what does not fit, at the field, and keep what was typed', async () => {
    const { app, lead, ids } = await twoPhotos();
    const long = await lead.post(WEEK, {
      ...TEXT,
      photo: String(ids[0]),
      [`said-${ids[0]}`]: 'x'.repeat(201),
    });
    expect(long.status).toBe(422);
    expect(long.text).toContain('At most 200 characters');
    expect(long.text).toContain(`value="${ids[0]}" checked`);
    expect(long.text).toContain('x'.repeat(201));
    const none = await lead.post(WEEK, { ...TEXT, photo: '9999' });
    expect(none.status).toBe(422);
    expect(none.text).toContain('One of these photos is not there any more.');
    expect(await app.context.db.read.bulletin.count()).toBe(0);
  });
});
