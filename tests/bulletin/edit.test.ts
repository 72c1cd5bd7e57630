import { describe, expect, it } from 'vitest';
import { type Browser, startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { asPerson } from '../support/jobs.ts';

const WEEK = '/bulletin/2026-03-08';
const TEXT = { title: 'First', opening: '', closing: '', version: '0' };

/** Notes acts in the log as if they had just been done. */
async function acted(
  test: TestApp,
  ...rows: { kind: string; personId: number; after?: object; aboutId?: number }[]
) {
  for (const { after, ...row } of rows) {
    await test.context.db.write.act.create({
      data: { at: test.context.clock.now(), ...row, after: after ? JSON.stringify(after) : null },
    });
  }
}

/** The form of the page as a browser would send it: every field with what stands in it. */
function fieldsOf(html: string): Record<string, string | string[]> {
  const form = /<form method="post" action="\/bulletin\/[\d-]+" class="form" id="text"[\s\S]*?<\/form>/.exec(
    html,
  )![0];
  const fields: Record<string, string[]> = {};
  const add = (name: string, value: string) => {
    fields[name] = [...(fields[name] ?? []), unescaped(value)];
  };
  for (const [tag] of form.matchAll(/<input [^>]*>/g)) {
    const name = /name="([^"]+)"/.exec(tag)?.[1];
    const value = /value="([^"]*)"/.exec(tag)?.[1] ?? '';
    if (!name || name.startsWith('_')) continue;
    if (/type="checkbox"/.test(tag) && !/ checked/.test(tag)) continue;
    add(name, value);
  }
  for (const [, name, value] of form.matchAll(
    /<textarea [^>]*name="([^"]+)"[^>]*>\n?([\s\S]*?)<\/textarea>/g,
  ))
    add(name!, value!);
  return fields;
}
const unescaped = (text: string) =>
  text
    .replace(/&lt;/g, '<')
    .replace(/&gt;/g, '>')
    .replace(/&quot;/g, '"')
    .replace(/&#39;/g, "'")
    .replace(/&amp;/g, '&');

async function started(): Promise<{ test: TestApp; lead: Browser }> {
  const test = await startApp();
  await acted(
    test,
    { kind: 'see-problem', personId: castId.crew, after: { title: 'Gear binds' } },
    { kind: 'see-problem', personId: castId.imre, after: { title: 'Lid rattles' } },
    { kind: 'set-password', personId: castId.farid },
  );
  return { test, lead: await test.as('lead') };
}

describe('words to the computed sections', () => {
  it('stand above what stays live until it is published, and then stands still', async () => {
    const { test, lead } = await started();
    const own = 'Both on *Tuesday*. <i>Sorry</i> ![the lid](https://elsewhere.example/lid.png)';
    const fields = { ...fieldsOf((await lead.get(WEEK)).text), 'own-failed': own, version: '0' };
    expect((await lead.post(WEEK, fields)).status).toBe(303);
    await acted(test, { kind: 'see-problem', personId: castId.imre, after: { title: 'Foot is loose' } });
    const preview = (await lead.get(`${WEEK}/preview`)).text;
    expect(preview).toContain('Both on <em>Tuesday</em>. &lt;i&gt;Sorry&lt;/i&gt;');
    expect(preview).toContain('<a href="https://elsewhere.example/lid.png">the lid</a>');
    expect(preview).not.toContain('<img src="https://elsewhere');
    expect(preview).toContain('Seen: Foot is loose.');
    expect((await test.visitor().get(`${WEEK}/preview`)).status).toBe(303);
    expect((await (await test.as('crew')).get(`${WEEK}/preview`)).status).toBe(403);

    expect((await lead.post(`${WEEK}/publish`, { version: '1' })).status).toBe(303);
    await acted(test, { kind: 'see-problem', personId: castId.imre, after: { title: 'Too late' } });
    await test.context.db.write.build.update({
      where: { id: 1 },
      data: { bulletinWeekday: 3, speakPace: 90 },
    });
    const page = (await test.visitor().get(WEEK)).text;
    expect(page).toContain('Both on <em>Tuesday</em>.');
    expect(page).toContain('Seen: Foot is loose.');
    expect(page).not.toContain('Too late');
    expect(page).toContain('2 Mar to 8 Mar 2026');
    // The title block: which text, when, by whom, and how far into the log.
    expect(page).toMatch(/<dt>Revision<\/dt><dd class="num">1</);
    expect(page).toMatch(/<dt>Date<\/dt><dd class="num">2026-03-02</);
    expect(page).toMatch(/<dt>Drawn by<\/dt><dd>Ottilie Brandt</);
    expect(page).toMatch(/<dt>Log up to act<\/dt><dd class="num">\d+</);
    expect((await lead.get(`${WEEK}/preview`)).status).toBe(303);
  });

  it.each([
    [{ 'own-failed': 'x'.repeat(5001) }, 'At most 5000 characters; this has 5001.'],
    [{ opening: 'x'.repeat(10_001) }, 'At most 10000 characters'],
    [{ minutes: '0' }, 'At least 0.5 minutes'],
    [{ minutes: 'long' }, 'Type a number.'],
    [{ newPerson: '99', newFor: 'the van' }, 'Choose a person of this build.'],
    [{ newFor: 'the van' }, 'Choose who is thanked for this.'],
    [{ newPerson: '5' }, 'Say what they are thanked for.'],
    [{ thankable: '2', thank: [] }, 'Say why, for yourself'],
    [{ 'own-next': 'a\u202eb' }, 'characters that cannot be seen'],
  ])('refuse what does not fit at the field (%#)', async (fields, sentence) => {
    const { test, lead } = await started();
    const answer = await lead.post(WEEK, { ...TEXT, closing: 'kept as typed', 'own-late': 'too', ...fields });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain(sentence);
    expect(answer.text).toContain('kept as typed');
    expect(fieldsOf(answer.text)['own-late']).toEqual(['too']);
    expect(await test.context.db.read.bulletin.count()).toBe(0);
  });
});

describe('two who edit one bulletin', () => {
  it('have both texts side by side, field by field, and nothing of either is lost', async () => {
    const { test, lead } = await started();
    await test.context.db.write.person.update({ where: { id: castId.crew }, data: { role: 'lead' } });
    const second = await test.as('crew');
    const [first, theirs] = [fieldsOf((await lead.get(WEEK)).text), fieldsOf((await second.get(WEEK)).text)];
    const [binds, rattles] = first.all as [string, string];
    const kept = await second.post(WEEK, {
      ...theirs,
      title: 'By Tor',
      opening: 'Tor opens',
      closing: 'The same',
      'own-failed': 'Tor on failing',
      kept: [rattles],
      thank: [],
      [`why-${castId.imre}`]: 'is shy',
      minutes: '5',
    });
    expect(kept.status).toBe(303);
    const mine = {
      ...first,
      title: 'By Ottilie',
      opening: 'Ottilie opens',
      closing: 'The same',
      'own-failed': 'Ottilie on failing',
      kept: [binds],
    };
    const told = await lead.post(WEEK, mine);
    expect(told.status).toBe(409);
    expect(told.text).toContain('Tor Eide kept theirs while you wrote.');
    const both = /<section id="both">[\s\S]*?<\/section>/.exec(told.text)![0];
    expect([...both.matchAll(/<legend>([^<]+)<\/legend>/g)].map(([, label]) => label)).toEqual([
      'Title',
      'Opening',
      'Your words: Failed',
      'Lines left out',
      'Thanks',
      'Minutes to say',
    ]);
    const areas = [...both.matchAll(/readonly>\n([^<]*)<\/textarea>/g)].map(([, text]) => text);
    expect(areas).toEqual([
      'By Tor',
      'By Ottilie',
      'Tor opens',
      'Ottilie opens',
      'Tor on failing',
      'Ottilie on failing',
      'Seen: Gear binds.',
      'Seen: Lid rattles.',
      'Imre Kovacs not thanked: is shy',
      '',
      '5 minutes',
      '',
    ]);
    // What was typed stands in the form, with the version it would go on top of.
    const again = fieldsOf(told.text);
    expect(again).toMatchObject({
      title: ['By Ottilie'],
      version: ['1'],
      'own-failed': ['Ottilie on failing'],
      kept: [binds],
    });
    expect(await test.context.db.read.bulletin.findFirst()).toMatchObject({ version: 1, title: 'By Tor' });

    // Theirs is taken for two fields, one's own goes on top of the rest.
    expect((await lead.post(WEEK, { ...again, take: ['opening', 'thanks'] })).status).toBe(303);
    const row = await test.context.db.read.bulletin.findFirstOrThrow();
    expect(row).toMatchObject({ version: 2, title: 'By Ottilie', opening: 'Tor opens', minutes: null });
    expect(JSON.parse(row.omitted)).toEqual([rattles]);
    expect(JSON.parse(row.passedOver)).toEqual([{ person: castId.imre, why: 'is shy' }]);
    expect(JSON.parse(row.sections)).toEqual({ failed: 'Ottilie on failing' });
  });

  it('what the second had not touched is ticked to be taken from the first', async () => {
    const { test, lead } = await started();
    const first = fieldsOf((await lead.get(WEEK)).text);
    const theirs = { ...first, title: 'Theirs', opening: 'They open', 'own-failed': 'They say' };
    expect((await lead.post(WEEK, theirs)).status).toBe(303);
    const told = await lead.post(WEEK, { ...first, title: 'Mine', closing: 'I close' });
    expect(told.status).toBe(409);
    const ticks = [...told.text.matchAll(/name="take" value="([^"]+)" form="text"( checked)?/g)];
    expect(ticks.map(([, field, ticked]) => [field, Boolean(ticked)])).toEqual([
      ['title', false],
      ['opening', true],
      ['own-failed', true],
      ['closing', false],
    ]);
    const take = ticks.filter(([, , ticked]) => ticked).map(([, field]) => field!);
    expect((await lead.post(WEEK, { ...fieldsOf(told.text), take })).status).toBe(303);
    const row = await test.context.db.read.bulletin.findFirstOrThrow();
    expect(row).toMatchObject({ title: 'Mine', opening: 'They open', closing: 'I close' });
    expect(JSON.parse(row.sections)).toEqual({ failed: 'They say' });
  });

  it('a wrong field does not bring the second past what the first kept', async () => {
    const { test, lead } = await started();
    const first = fieldsOf((await lead.get(WEEK)).text);
    expect((await lead.post(WEEK, { ...first, opening: 'They open' })).status).toBe(303);
    const wrong = await lead.post(WEEK, { ...first, title: 'Mine', minutes: '900' });
    expect(wrong.status).toBe(422);
    const again = fieldsOf(wrong.text);
    expect(again).toMatchObject({ version: ['0'], title: ['Mine'] });
    const told = await lead.post(WEEK, { ...again, minutes: '5' });
    expect(told.status).toBe(409);
    expect(told.text).toMatch(/name="take" value="opening" form="text" checked/);
    expect(await test.context.db.read.bulletin.findFirst()).toMatchObject({ opening: 'They open' });
  });

  it('at the same moment: exactly one is kept, the other is told', async () => {
    const { test, lead } = await started();
    const fields = fieldsOf((await lead.get(WEEK)).text);
    const answers = await Promise.all(['a', 'b', 'c'].map((title) => lead.post(WEEK, { ...fields, title })));
    expect(answers.map(({ status }) => status).sort()).toEqual([303, 409, 409]);
    expect(await test.context.db.read.bulletin.findFirst()).toMatchObject({ version: 1 });
  });

  it('publish once: whoever comes second sees what is published, and nothing is changed by it', async () => {
    const { test, lead } = await started();
    const both = await Promise.all([1, 2].map(() => lead.post(`${WEEK}/publish`, { version: '0' })));
    expect(both.map(({ status }) => status).sort()).toEqual([303, 409]);
    const told = both.find(({ status }) => status === 409)!.text;
    expect(told).toContain('This bulletin is published already.');
    expect(told).toContain('Seen: Gear binds.');
    expect(told).not.toContain('Publish the bulletin');
    const rows = await test.context.db.read.act.findMany({ where: { kind: 'publish-bulletin' } });
    expect(rows.length).toBe(1);
    const late = await lead.post(WEEK, { ...TEXT, opening: 'Typed too late' });
    expect(late.status).toBe(409);
    expect(late.text).toContain('Typed too late');
    expect(late.text).not.toContain('Publish the bulletin');
    expect((await test.visitor().get(WEEK)).text).not.toContain('Typed too late');
  });

  it('publish nothing that was changed, or came in, since they looked', async () => {
    const { test, lead } = await started();
    const { text } = await lead.get(WEEK);
    const seen = /name="seen" value="([^"]+)"/.exec(text)![1]!;
    await acted(test, { kind: 'see-problem', personId: castId.imre, after: { title: 'Unread' } });
    const refused = await lead.post(`${WEEK}/publish`, { version: '0', seen });
    expect(refused.status).toBe(409);
    expect(refused.text).toContain('Since you looked, something came in or changed.');
    expect(refused.text).toContain('Seen: Unread.');
    expect(await test.context.db.read.bulletin.count()).toBe(0);
    const now = /name="seen" value="([^"]+)"/.exec(refused.text)![1]!;
    expect((await lead.post(`${WEEK}/publish`, { version: '0', seen: now })).status).toBe(303);
  });
});

describe('thanks', () => {
  it('name everyone of the log who is not thanked, and why; the lead takes off and adds by hand', async () => {
    const { test, lead } = await started();
    const draft = (await lead.get(WEEK)).text;
    expect(draft).toContain('<li>Farid Amiri: did nothing but their own affairs</li>');
    const fields = fieldsOf(draft);
    expect(fields.thank).toEqual([String(castId.crew), String(castId.imre)]);
    const kept = await lead.post(WEEK, {
      ...fields,
      thank: [String(castId.crew)],
      [`why-${castId.imre}`]: 'asked me not to',
      newPerson: String(castId.sunniva),
      newFor: 'the van',
    });
    expect(kept.status).toBe(303);
    const again = fieldsOf((await lead.get(WEEK)).text);
    expect(again[`why-${castId.imre}`]).toEqual(['asked me not to']);
    expect(again[`for-${castId.sunniva}`]).toEqual(['the van']);
    expect(again.thank).toEqual([String(castId.crew)]);
    // The form sent once more as it stands keeps all of it.
    expect((await lead.post(WEEK, again)).status).toBe(303);
    expect((await lead.post(`${WEEK}/publish`, { version: '2' })).status).toBe(303);
    const page = (await test.visitor().get(WEEK)).text;
    expect(page).toContain('<li>Tor Eide, for finding what is wrong</li>');
    expect(page).toContain('<li>Sunniva Dahl, for the van</li>');
    expect(page).not.toContain('Imre');
    expect(page).not.toContain('asked me not to');
  });

  it('go by hand to somebody who is taken off in the same form', async () => {
    const { lead } = await started();
    const fields = fieldsOf((await lead.get(WEEK)).text);
    const kept = await lead.post(WEEK, {
      ...fields,
      thank: [String(castId.crew)],
      [`why-${castId.imre}`]: '',
      newPerson: String(castId.imre),
      newFor: 'the van',
    });
    expect(kept.status).toBe(303);
    expect((await lead.get(`${WEEK}/preview`)).text).toContain('<li>Imre Kovacs, for the van</li>');
  });

  it('can be kept again when what was said of somebody went with them', async () => {
    const { lead } = await started();
    const fields = fieldsOf((await lead.get(WEEK)).text);
    const kept = { ...fields, thank: [String(castId.crew)], [`why-${castId.imre}`]: 'is in Wellington' };
    expect((await lead.post(WEEK, kept)).status).toBe(303);
    expect((await lead.post(`/people/${castId.imre}/forget`, { sure: 'yes' })).status).toBe(303);
    const page = (await lead.get(WEEK)).text;
    expect(page).not.toContain('Wellington');
    expect(page).not.toContain('Imre');
    expect((await lead.post(WEEK, fieldsOf(page))).status).toBe(303);
    expect((await lead.get(`${WEEK}/preview`)).text).not.toContain('has left');
  });

  it('follow how people wish to be named, in weeks published long ago too, and who has left', async () => {
    const { test, lead } = await started();
    await lead.post(WEEK, fieldsOf((await lead.get(WEEK)).text));
    await lead.post(`${WEEK}/publish`, { version: '1' });
    const page = async () => (await test.visitor().get(WEEK)).text;
    expect(await page()).toContain('Imre Kovacs, for finding what is wrong');
    const wish = (data: object) =>
      asPerson(test, 'imre', async (act) => {
        await act.tx.person.update({ where: { id: castId.imre }, data });
        await act.log({ kind: 'change-person' });
      });
    await wish({ thanksBy: 'alias', alias: 'The <Hill>' });
    expect(await page()).toContain('The &lt;Hill&gt;, for finding what is wrong');
    expect(await page()).not.toContain('Imre');
    await wish({ thanksBy: 'none' });
    expect(await page()).toContain('1 more who would rather not be named');
    await wish({ forgottenAt: test.context.clock.now() });
    expect(await page()).toContain('1 more who has left');
    expect(await page()).not.toContain('Hill');
  });

  it('go to who came to a gathering that was held', async () => {
    const { test, lead } = await started();
    const at = test.context.clock.now();
    await test.context.db.write.gathering.create({
      data: {
        title: 'First fitting',
        fromOn: '2026-03-03',
        untilOn: '2026-03-04',
        createdAt: at,
        comers: { create: [{ personId: castId.farid }, { personId: castId.sunniva, cancelledAt: at }] },
      },
    });
    expect((await lead.get(WEEK)).text).not.toContain('First fitting was held');
    test.setNow('2026-03-06T08:00:00Z');
    const { text } = await lead.get(WEEK);
    expect(text).toContain(
      'The gathering First fitting was held, 3 Mar to 4 Mar, with 1 person on its list.',
    );
    expect(text).toContain('Farid Amiri, for coming to First fitting');
    expect(text).not.toContain('Sunniva Dahl, for');
  });
});
