import { describe, expect, it } from 'vitest';
import { graphOf, type PartRow, type UseRow } from '../../src/parts/index.ts';
import { likelyDoubles, likeness, tellingWords } from '../../src/problems/problem-doubles.ts';
import {
  foundParts,
  levelOf,
  MOST_OF_LEVEL,
  partsWithin,
  placeOfPart,
} from '../../src/problems/problem-pick.ts';
import { part } from '../schedule/derive-facts.ts';
import { startApp } from '../support/app.ts';
import { aClaim, anOfferedJob } from '../support/jobs.ts';
import { anAssembly, aPart } from '../support/parts.ts';
import { aGathering, aProblem } from '../support/problems.ts';

const parts: PartRow[] = [
  part(1, { number: 'M-1', name: 'Machine', kind: 'assembly' }),
  part(2, { number: 'M-2', name: 'Drive', kind: 'assembly' }),
  part(3, { number: 'M-3', name: 'Arm', kind: 'assembly' }),
  part(4, { number: 'M-4', name: 'Zahnrad, Größe 2' }),
  part(5, { number: 'M-5', name: 'Loose thing' }),
];
const use = (id: number, parentId: number, childId: number): UseRow => ({
  id,
  parentId,
  childId,
  milli: 1000,
  note: '',
});
const graph = graphOf(parts, [use(1, 1, 2), use(2, 1, 3), use(3, 2, 4), use(4, 3, 4)]);
const numbers = (list: readonly { number: string }[]) => list.map(({ number }) => number);

describe('placeOfPart', () => {
  it('is one way down from a top, and how many other assemblies hold the part', () => {
    expect(placeOfPart(graph, 4)).toMatchObject({ elsewhere: 1 });
    expect(numbers(placeOfPart(graph, 4)!.path)).toEqual(['M-1', 'M-2', 'M-4']);
    expect(numbers(placeOfPart(graph, 1)!.path)).toEqual(['M-1']);
    expect(placeOfPart(graph, 5)).toMatchObject({ elsewhere: 0 });
    expect(placeOfPart(graph, 99)).toBeNull();
  });
});

describe('partsWithin', () => {
  it('is the part and all below it, each once', () => {
    expect(partsWithin(graph, 1).sort()).toEqual([1, 2, 3, 4]);
    expect(partsWithin(graph, 4)).toEqual([4]);
    expect(partsWithin(graph, 99)).toEqual([99]);
  });

  it('makes the list of an assembly that of everything in it', async () => {
    const app = await startApp();
    const inner = await anAssembly(app, { number: 'W-2', children: [{ number: 'W-3' }] });
    await anAssembly(app, { number: 'W-1', children: [{ id: inner.id }] });
    await aProblem(app, { partId: inner.childIds[0]!, title: 'Deep down' });
    await aProblem(app, { title: 'Elsewhere' });
    const crew = await app.as('crew');
    const list = (await crew.get('/problems?part=w-1')).text;
    expect(list).toContain('Deep down');
    expect(list).not.toContain('Elsewhere');
    expect(list).toContain('and of what is in it, <span class="num">2</span> parts.');
  });
});

describe('levelOf', () => {
  it('shows what is in a part, the ways up, and the tops where no part is named', () => {
    const drive = levelOf(graph, 'm-2');
    expect(drive.at).toMatchObject({ number: 'M-2', holds: 1 });
    expect([numbers(drive.above), numbers(drive.below)]).toEqual([['M-1'], ['M-4']]);
    expect(numbers(levelOf(graph, 'M-4').above)).toEqual(['M-2', 'M-3']);
    for (const none of ['', 'nothing']) {
      const top = levelOf(graph, none);
      expect([top.at, numbers(top.below)]).toEqual([null, ['M-1', 'M-5']]);
    }
  });

  it('shows so many of a level and says that there are more', () => {
    const many = Array.from({ length: MOST_OF_LEVEL + 1 }, (_, at) => part(at + 2, { number: `P-${at}` }));
    const wide = graphOf(
      [part(1, { number: 'W', kind: 'assembly' }), ...many],
      many.map(({ id }) => use(id, 1, id)),
    );
    expect(levelOf(wide, 'W').below).toHaveLength(MOST_OF_LEVEL);
    expect(levelOf(wide, 'W').more).toBe(true);
    expect(foundParts(wide, 'p-').more).toBe(true);
    expect(levelOf(graph, 'M-1').more).toBe(false);
  });
});

describe('foundParts', () => {
  it('finds by every word of number and name, without marks and in any case', () => {
    expect(numbers(foundParts(graph, 'zahnrad große').parts)).toEqual(['M-4']);
    expect(numbers(foundParts(graph, 'zahnrad arm').parts)).toEqual([]);
    expect(numbers(foundParts(graph, 'GROß m-4').parts)).toEqual(['M-4']);
    expect(numbers(foundParts(graph, '  ').parts)).toEqual([]);
    expect(numbers(foundParts(graph, 'm-').parts)).toHaveLength(5);
  });
});

describe('likelyDoubles', () => {
  const known = [
    { id: 1, title: 'The planet gear binds on its pin', partId: 7 },
    { id: 2, title: 'Planet gears are binding', partId: 8 },
    { id: 3, title: 'Paint flakes', partId: 7 },
    { id: 4, title: 'Rattles', partId: 8 },
  ];
  const ids = (title: string, partId: number | null, id?: number) =>
    likelyDoubles({ title, partId, id }, known).map((one) => one.id);

  it('suggests of the same part what shares a word in three, elsewhere only what nearly says the same', () => {
    expect(ids('Gear binds when warm', 7)).toEqual([1, 2]);
    expect(ids('Gear binds when warm', null)).toEqual([1, 2]);
    expect(ids('The gear hums', 7)).toEqual([1]);
    expect(ids('The gear hums', null)).toEqual([]);
    expect(ids('It rattles', null)).toEqual([]);
    expect(ids('It rattles', 8)).toEqual([4]);
    expect(ids('Something else entirely', 7)).toEqual([]);
    expect(ids('', 7)).toEqual([]);
  });

  it('never suggests the problem itself, and three at most', () => {
    expect(ids('The planet gear binds on its pin', 7, 1)).toEqual([2]);
    const many = Array.from({ length: 9 }, (_, at) => ({ id: at + 1, title: 'Gear binds', partId: 7 }));
    expect(likelyDoubles({ title: 'Gear binds', partId: 7 }, many).map(({ id }) => id)).toEqual([1, 2, 3]);
  });

  it('is the same both ways, and whole for the same words', () => {
    expect(likeness('Gears binding', 'the gear binds')).toEqual({ common: 2, share: 1 });
    expect(likeness('a b', 'c d')).toEqual({ common: 0, share: 0 });
    for (const { title } of known) {
      for (const other of known) expect(likeness(title, other.title)).toEqual(likeness(other.title, title));
    }
    expect([...tellingWords('The gear’s TEETH are Größer')]).toEqual(['gear', 'teeth', 'großer']);
  });
});

/** The names and values of the hidden fields of a page's main form. */
const hidden = (html: string) =>
  Object.fromEntries(
    [...html.matchAll(/<input type="hidden" name="([^"]+)" value="([^"]*)">/g)].map(([, name, value]) => [
      name!,
      value!,
    ]),
  );

describe('where a problem is', () => {
  it('is chosen a level at a time or by words, and what was typed is there when one comes back', async () => {
    const app = await startApp();
    const inner = await anAssembly(app, {
      number: 'W-2',
      name: 'Inner',
      children: [{ number: 'W-3', name: 'Pin <i>' }],
    });
    await anAssembly(app, { number: 'W-1', name: 'Outer', children: [{ id: inner.id }] });
    const crew = await app.as('crew');
    const form = (await crew.get('/problems/new')).text;
    expect(form).toContain(
      'formaction="/problems/new/where" formenctype="application/x-www-form-urlencoded"',
    );
    const typed = {
      title: 'It "sticks" <b>',
      severity: '7',
      words: 'line one\nline two',
      often: '3 of 10',
      occurrence: '4',
      detection: '',
      photos: 'IMG_1.jpg',
    };
    const top = await crew.post('/problems/new/where', typed);
    expect(top.status).toBe(200);
    expect(top.text).toContain('name="in" value="W-1"');
    expect(top.text).toContain('Choose the photos again');
    const kept = hidden(top.text);
    expect(kept).toMatchObject({ title: 'It &quot;sticks&quot; &lt;b&gt;', severity: '7', often: '3 of 10' });
    expect(kept.photos).toBeUndefined();
    const down = (await crew.post('/problems/new/where', { ...typed, in: 'W-2' })).text;
    expect(down).toContain('name="pick" value="W-3"');
    expect(down).toContain('Up to W-1 Outer');
    expect(down).toContain('Pin &lt;i&gt;');
    const found = (await crew.post('/problems/new/where', { ...typed, q: 'pin' })).text;
    expect(found).toContain('name="pick" value="W-3"');
    expect(found).toContain('in Outer › Inner');
    expect((await crew.post('/problems/new/where', { ...typed, q: 'zebra' })).text).toContain(
      'No part is called so',
    );
    const back = (await crew.post('/problems/new', { ...typed, part: 'W-1', pick: 'W-3' })).text;
    expect(back).toContain('name="part" type="text" value="W-3"');
    expect(back).toContain('W-1 Outer › W-2 Inner › W-3 Pin &lt;i&gt;');
    expect(back).toContain('value="It &quot;sticks&quot; &lt;b&gt;"');
    expect(back).toMatch(/<option value="7" selected>7: hinders badly/);
    expect(back).toContain('line one\nline two');
    expect(back).toContain('<details class="more" id="more" open>');
    const unchosen = (await crew.post('/problems/new', { ...typed, part: 'W-1' })).text;
    expect(unchosen).toContain('name="part" type="text" value="W-1"');
    expect(await app.context.db.read.problem.count()).toBe(0);
  });

  it('can be looked up by an address, says what does not fit, and is for people signed in', async () => {
    const app = await startApp();
    const crew = await app.as('crew');
    expect((await crew.get('/problems/new/where')).text).toContain('The structure is empty');
    await anAssembly(app, { number: 'W-1', children: [{ number: 'W-2' }] });
    expect((await crew.get('/problems/new/where?in=W-1')).text).toContain('value="W-2"');
    expect((await crew.get('/problems/new/where?in=nonsense')).text).toContain('The whole build');
    const long = await crew.get(`/problems/new/where?q=${'x'.repeat(121)}`);
    expect(long.status).toBe(422);
    expect(long.text).toContain('At most 120 characters; this has 121.');
    expect((await app.visitor().get('/problems/new/where')).headers.location).toContain('/sign-in');
    expect((await (await app.as('imre')).get('/problems/new/where?in=W-1')).status).toBe(200);
  });

  it('is looked up for a problem that is being changed as well, by who may change it', async () => {
    const app = await startApp();
    const { number } = await aPart(app, { number: 'W-9' });
    const id = await aProblem(app);
    const crew = await app.as('crew');
    const page = (await crew.get(`/problems/${id}/change`)).text;
    expect(page).toContain(`<input type="hidden" name="problem" value="${id}">`);
    const back = await crew.post('/problems/new', {
      title: 'Typed',
      seen: '0',
      problem: String(id),
      pick: number,
    });
    expect(back.text).toContain(`action="/problems/${id}/change`);
    expect(back.text).toContain('value="W-9"');
    expect(back.text).toContain('value="Typed"');
    const fields = { problem: String(id), pick: number };
    expect((await (await app.as('imre')).post('/problems/new', fields)).status).toBe(403);
    expect((await crew.post('/problems/new', { ...fields, problem: '99' })).status).toBe(404);
  });

  it('is there when a code at the machine is read, after signing in where one has to', async () => {
    const app = await startApp();
    await anAssembly(app, { number: 'W-1', name: 'Outer', children: [{ number: 'W-2', name: 'Pin' }] });
    const visitor = app.visitor();
    const sent = await visitor.get('/problems/new?part=W-2');
    expect(sent.status).toBe(303);
    const back = new URL(sent.headers.location!, 'http://x').searchParams.get('back')!;
    expect(back).toBe('/problems/new?part=W-2');
    const signIn = await visitor.post('/sign-in', {
      email: 'crew@example.org',
      password: 'correct horse battery',
      back,
      _back: back,
    });
    expect(signIn.headers.location).toBe(back);
    const page = (await visitor.get(back)).text;
    expect(page).toContain('name="part" type="text" value="W-2"');
    expect(page).toContain('W-1 Outer › W-2 Pin');
    expect(page).toMatch(/type="file" accept="image\/\*"[^>]* capture="environment"/);
    expect((await visitor.get('/problems/new?part=%3Ci%3E')).text).toContain('value="&lt;i&gt;"');
  });

  it('may be anywhere for a maker who is at a gathering, and a week after it', async () => {
    const app = await startApp();
    const { id: partId, number } = await aPart(app);
    const gatheringId = await aGathering(app);
    const imre = await app.as('imre');
    const see = () =>
      imre.upload('/problems', { title: 'Rubs', severity: '5', part: number, words: '', job: '' }, []);
    expect((await imre.post(`/gatherings/${gatheringId}/come`, { skills: '' })).status).toBe(303);
    // Before anything is typed: the code on a piece is read by whoever stands before it.
    const before = 'Makers write down what is wrong with what they make';
    expect((await imre.get(`/problems/new?part=${number}`)).text).toContain(before);
    const refused = (await see()).text;
    expect(refused).toContain(`You have no work on ${number}. Tell the lead`);
    expect(refused).not.toContain(before);
    app.setNow('2026-03-14T10:00:00Z');
    expect((await imre.get(`/parts/${number}`)).text).toContain(`/problems/new?part=${number}`);
    expect((await imre.get(`/problems/new?part=${number}`)).text).not.toContain(before);
    const first = await see();
    expect(first.status).toBe(303);
    expect((await imre.get(first.headers.location!)).status).toBe(200);
    app.setNow('2026-03-22T10:00:00Z');
    expect((await see()).status).toBe(303);
    app.setNow('2026-03-23T10:00:00Z');
    expect((await see()).status).toBe(422);
    expect(await app.context.db.read.problem.count({ where: { partId, seenById: 3 } })).toBe(2);
  });
});

describe('likely doubles', () => {
  it('are shown on the form of a part, while one types, and on the page with a button to merge', async () => {
    const app = await startApp();
    const { id: partId, number } = await aPart(app);
    const first = await aProblem(app, { partId, title: 'Gear <binds> on its pin' });
    const second = await aProblem(app, { partId, title: 'The gear binds' });
    const crew = await app.as('crew');
    expect((await crew.get(`/problems/new?part=${number}`)).text).toContain('Known here already.');
    const typing = await crew.get(`/problems/likely?title=gear+binding&part=${number}`);
    expect(typing.text).toContain(`/problems/${first}`);
    expect(typing.text).toContain('Gear &lt;binds&gt;');
    expect((await crew.get('/problems/likely?title=zebra')).text.trim()).toBe('');
    expect((await crew.get(`/problems/likely?title=${'x'.repeat(300)}`)).status).toBe(200);
    const page = (await crew.get(`/problems/${second}`)).text;
    expect(page).toContain('Is it written down twice?');
    expect(page).toContain(`It is the same as ${first}`);
    expect((await crew.post(`/problems/${second}/merge`, { sameAsId: first })).status).toBe(303);
    expect((await crew.get(`/problems/${first}`)).text).not.toContain('Is it written down twice?');
  });

  it('are no business of makers, who see what is known of their part without its pages', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app);
    await aClaim(app, { who: 'imre', jobId: job.jobId });
    const id = await aProblem(app, { partId: job.partId, title: 'Known one' });
    const imre = await app.as('imre');
    expect((await imre.get('/problems/likely?title=known+one')).status).toBe(403);
    const form = (await imre.get(`/problems/new?part=${job.number}`)).text;
    expect(form).toContain('Known one');
    expect(form).not.toContain(`href="/problems/${id}"`);
  });
});
