import { describe, expect, it } from 'vitest';
import { changeCharacteristic, startRevision } from '../../src/drawings/index.ts';
import { createJob, factsReader, finishJob, handBack } from '../../src/jobs/index.ts';
import { structureGraph } from '../../src/parts/index.ts';
import { buildStructure } from '../../src/parts/structure-graph.ts';
import { releaseRedesign, startRedesignRevisions } from '../../src/problems/index.ts';
import { holdersOf, lotKey, partImpact } from '../../src/problems/redesign-impact.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aPdf, aReleasedPart } from '../support/drawings.ts';
import { aClaim, anOfferedJob, asPerson, finished, jobNow } from '../support/jobs.ts';
import { anAssembly } from '../support/parts.ts';
import { aProblem, aRedesign } from '../support/problems.ts';
import { aDeliveredClaim, checked } from '../support/receiving.ts';

const shown = (html: string) =>
  html
    .slice(html.indexOf('<main'), html.indexOf('</main>'))
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

async function drawn(app: TestApp, redesignId: number): Promise<number[]> {
  const begun = await asPerson(app, 'crew', (act) => startRedesignRevisions(act, { redesignId }));
  for (const { revisionId } of begun) {
    const content = aPdf(`drawing ${revisionId}`);
    await app.context.db.write.document.create({
      data: {
        revisionId,
        kind: 'drawing',
        name: 'drawing.pdf',
        sha256: await app.context.files.keepBytes(content),
        bytes: content.length,
        fileKind: 'pdf',
        mediaType: 'application/pdf',
        addedAt: new Date('2026-03-02'),
        addedById: 1,
      },
    });
  }
  return begun.map(({ revisionId }) => revisionId);
}

describe('holdersOf', () => {
  // 1 holds 2 of 2 and 1 of 3; 2 holds 3 of 4; 3 holds 1 of 4 and 2 of 5.
  const structure = buildStructure(
    [1, 2, 3, 4, 5, 6].map((id) => ({ id, unit: 'piece' as const })),
    [
      { parentId: 1, childId: 2, quantityMilli: 2000 },
      { parentId: 1, childId: 3, quantityMilli: 1000 },
      { parentId: 2, childId: 4, quantityMilli: 3000 },
      { parentId: 3, childId: 4, quantityMilli: 1000 },
      { parentId: 3, childId: 5, quantityMilli: 2000 },
    ],
  );

  it('goes all the way up, adds up every way, and lists what holds before what is held by it last', () => {
    const holders = holdersOf(structure, [4, 5], new Map([[3, 1000]]));
    expect(holders.map(({ partId }) => partId).at(-1)).toBe(1);
    expect(holders.find(({ partId }) => partId === 1)).toEqual({
      partId: 1,
      direct: false,
      top: true,
      // 2 x 3 + 1 x 1 of part 4
      holds: [
        { partId: 4, milli: 7000 },
        { partId: 5, milli: 2000 },
      ],
      fittedMilli: 0,
    });
    expect(holders.find(({ partId }) => partId === 3)).toMatchObject({
      direct: true,
      top: false,
      fittedMilli: 1000,
    });
    expect(holdersOf(structure, [1, 6], new Map())).toEqual([]);
    expect(holdersOf(structure, [], new Map())).toEqual([]);
    // A part that is taken out of the build is in no structure.
    expect(holdersOf(structure, [99], new Map())).toEqual([]);
  });
});

describe('what a redesign touches', () => {
  /** Four accepted from Imre; of a second job two claimed by Sunniva, one of them handed back, the rest open. */
  async function underWay() {
    const app = await startApp();
    const made = await aDeliveredClaim(app, { quantity: 4 });
    await checked(app, { lineId: made.lineId, units: [1, 2, 3, 4] });
    const { partId, number } = made;
    const jobId = await asPerson(app, 'lead', (act) =>
      createJob(act, { kind: 'fabricate', title: 'More of them', partId, milli: 6000 }),
    );
    const lead = await app.as('lead');
    expect((await lead.post(`/jobs/${jobId}/offer`)).status).toBe(303);
    const { claimId } = await aClaim(app, { who: 'sunniva', jobId, quantity: 3 });
    await finished(app, { who: 'sunniva', claimId, quantity: 1 });
    await asPerson(app, 'sunniva', (act) => handBack(act, { claimId, milli: 1000 }));
    const alone = await aReleasedPart(app);
    const id = await aRedesign(app, {
      problemIds: [await aProblem(app, { partId })],
      partIds: [partId, alone.partId],
    });
    return { app, lead, id, partId, number, jobId, claimId, firstJobId: made.jobId, alone };
  }

  const impactOf = (app: TestApp, partId: number, toId: number | null, listed: string[] = []) => {
    const { db } = app.context;
    return partImpact(
      structureGraph(db.hot).structure,
      { id: partId, toId, shelfMilli: 0, jobs: factsReader(db).ofPart(partId) },
      new Set(listed),
      new Map(),
    );
  };

  it('is what the release then does, before and after its drafts are begun', async () => {
    const { app, id, partId, jobId, claimId } = await underWay();
    const { read } = app.context.db;
    const planned = impactOf(app, partId, null);
    const [revisionId] = await drawn(app, id);
    const before = impactOf(app, partId, revisionId!);
    expect(before).toEqual(planned);
    expect(before.asked).toMatchObject([{ withMakerMilli: 2000, onTheWayMilli: 0 }]);
    expect(before.lots).toMatchObject([{ milli: 4000, personId: castId.imre }]);
    expect(before.jobs).toMatchObject([{ movesMilli: 4000, losesFirstPiece: false }]);
    expect(before.acceptedMilli).toBe(4000);

    const done = await asPerson(app, 'lead', (act) => releaseRedesign(act, { redesignId: id }));
    expect(done.notices).toBe(before.asked.length);
    expect(done.oldUnits).toBe(before.lots.length);
    const notices = await read.notice.findMany();
    expect(notices.map((one) => one.claimId)).toEqual(before.asked.map(({ claim }) => claim.id));
    expect(notices[0]!.claimId).toBe(claimId);
    const lots = await read.oldUnits.findMany();
    expect(lots.map(({ claimId: of, milli }) => [of, milli])).toEqual(
      before.lots.map(({ claimId: of, milli }) => [of, milli]),
    );
    expect((await jobNow(app, jobId)).revisionId).toBe(revisionId);
    // What was reworked or scrapped is not listed again.
    expect(impactOf(app, partId, null, lots.map(lotKey)).lots).toEqual([]);
  });

  it('is told on the page before the release, and what came of it after', async () => {
    const { app, lead, id, number, jobId, claimId, firstJobId } = await underWay();
    const here = `/redesigns/${id}`;
    const early = shown((await lead.get(here)).text);
    expect(early).toContain('What it touches');
    expect(early).toContain('1 share of a maker is under way');
    expect(early).toContain(`listed by the release to be used, reworked or scrapped: 4 pieces of ${number}.`);
    expect(early).toContain(`Sunniva Dahl ${number} A job ${jobId} 2 pieces begun, promised for 22 Mar`);
    expect(early).toContain('is told: takes the new revision up, or is told to finish A');
    expect(early).toContain(`4 pieces of revision A, job ${firstJobId} , Imre Kovacs no price known`);
    expect(early).toContain('4 pieces that nobody has claimed: made to the new revision');
    const crew = await app.as('crew');
    expect(shown((await crew.get(here)).text)).toContain('While makers are at work, only the lead releases.');
    expect(early).not.toContain('While makers are at work');

    await drawn(app, id);
    const ready = (await lead.get(here)).text;
    expect(shown(ready)).toContain('It says what A says.');
    const drafts = /name="drafts" value="([^"]+)"/.exec(ready)![1]!;
    expect((await crew.post(`${here}/release`, { drafts })).text).toContain(
      'only the lead releases over them',
    );
    expect((await lead.post(`${here}/release`, { drafts: 'x' })).status).toBe(422);
    const sent = await lead.post(`${here}/release`, { drafts });
    expect(sent.status).toBe(303);
    const released = (await lead.get(here)).text;
    expect(released).toContain(
      `2 revisions released. Told: Sunniva Dahl, job ${jobId}. 1 lot of accepted units waits for a decision`,
    );
    const after = shown(released);
    expect(after).toContain('What it touched');
    expect(after).toContain('1 maker has not answered yet.');
    expect(after).toContain('4 pieces: wait for a decision');
    expect(after).not.toContain('What it costs');
    const notice = await app.context.db.read.notice.findFirstOrThrow({ where: { claimId } });
    const sunniva = await app.as('sunniva');
    expect((await sunniva.post(`/notices/${notice.id}/take-up`)).status).toBe(303);
    expect(shown((await lead.get(here)).text)).toContain('takes B up');
  });

  it('lists the units of a claim that went on to a newer drawing, and those of every older one', async () => {
    const { app, lead, id, partId, number, jobId, claimId, alone } = await underWay();
    await drawn(app, id);
    await asPerson(app, 'lead', (act) => releaseRedesign(act, { redesignId: id }));
    const { read } = app.context.db;
    const notice = await read.notice.findFirstOrThrow({ where: { claimId } });
    const sunniva = await app.as('sunniva');
    expect((await sunniva.post(`/notices/${notice.id}/take-up`)).status).toBe(303);
    // What was listed for A is made to B now: reworked, or taken up.
    const [first] = await read.oldUnits.findMany();
    await app.context.db.write.claim.update({
      where: { id: first!.claimId },
      data: { revisionId: (await jobNow(app, jobId)).revisionId },
    });
    const second = await aRedesign(app, {
      problemIds: [await aProblem(app, { partId })],
      partIds: [partId, alone.partId],
    });
    const [toId] = await drawn(app, second);
    const listed = await read.oldUnits.findMany();
    const planned = impactOf(app, partId, toId!, listed.map(lotKey)).lots;
    expect(planned).toMatchObject([{ claimId: first!.claimId, milli: 4000 }]);
    const page = shown((await lead.get(`/redesigns/${second}`)).text);
    expect(page).toContain(`listed by the release to be used, reworked or scrapped: 4 pieces of ${number}.`);
    await app.context.db.write.oldUnits.updateMany({ data: { decidedAs: 'use', decidedAt: new Date() } });
    app.passDays(1);
    const done = await asPerson(app, 'lead', (act) => releaseRedesign(act, { redesignId: second }));
    expect(done.oldUnits).toBe(planned.length);
    expect(shown((await lead.get(`/redesigns/${second}`)).text)).toContain('4 pieces: wait for a decision');
    // A lot that was to be used with one drawing is asked about for the next, and one that is scrapped is not.
    const third = await aRedesign(app, {
      problemIds: [await aProblem(app, { partId })],
      partIds: [partId, alone.partId],
    });
    await drawn(app, third);
    const all = { data: { decidedAs: 'use', decidedAt: new Date() } };
    await app.context.db.write.oldUnits.updateMany(all);
    const scrapped = { where: { revisionId: first!.revisionId }, data: { decidedAs: 'scrap' } };
    await app.context.db.write.oldUnits.updateMany(scrapped);
    expect(shown((await lead.get(`/redesigns/${third}`)).text)).toContain(
      `reworked or scrapped: 4 pieces of ${number}.`,
    );
    // The first redesign tells what its own release listed, and no more.
    const before = shown((await lead.get(`/redesigns/${id}`)).text);
    expect(before).toContain('4 pieces: scrap,');
    expect(before).not.toContain('wait for a decision');
    app.passDays(1);
    const last = await asPerson(app, 'lead', (act) => releaseRedesign(act, { redesignId: third }));
    expect(last.oldUnits).toBe(1);
    expect((await read.oldUnits.findMany()).map(({ decidedAs }) => decidedAs).sort()).toEqual([
      null,
      'scrap',
    ]);
  });

  it('tells at each fit what the drafts make of it, together, and what each of them changes', async () => {
    const app = await startApp();
    const hole = await aReleasedPart(app, { characteristics: [{ text: '25 H7', label: 'bore' }] });
    const shaft = await aReleasedPart(app, { characteristics: ['25 g6'] });
    const lead = await app.as('lead');
    await lead.post('/fits', {
      holePart: hole.number,
      holePosition: '1',
      shaftPart: shaft.number,
      shaftPosition: '1',
      wanted: 'figures',
      wantedMin: '0',
      wantedMax: '0.1',
      lowCelsius: '20',
      highCelsius: '20',
    });
    const id = await aRedesign(app, { partIds: [hole.partId, shaft.partId] });
    const here = `/redesigns/${id}`;
    expect(shown((await lead.get(here)).text)).toContain(
      '1 fit or chain can be judged when the new revisions are begun.',
    );
    const [holeDraft, shaftDraft] = await drawn(app, id);
    expect(shown((await lead.get(here)).text)).toContain('No fit and no chain gets worse, of 1.');
    const write = (revisionId: number, label: string, text: string) =>
      asPerson(app, 'lead', async (act) => {
        const { version } = await act.tx.revision.findUniqueOrThrow({ where: { id: revisionId } });
        const { id: characteristicId } = await act.tx.characteristic.findFirstOrThrow({
          where: { revisionId },
        });
        await changeCharacteristic(act, { characteristicId, version, label, text, isKey: false });
      });
    await write(holeDraft!, 'bore', '30 H7');
    const worse = shown((await lead.get(here)).text);
    expect(worse).toContain('1 of 1 fit or chain gets worse.');
    expect(worse).toContain(
      '1 bore 25 H7 becomes 30 H7 lower limit +5 mm, upper limit +5 mm A and B side by side',
    );
    expect(worse).toMatch(/worse .* fits 0\.007 mm to spare.* does not fit 4\.941 mm too loose/);
    await write(shaftDraft!, '', '30 g6');
    const well = shown((await lead.get(here)).text);
    expect(well).toContain('No fit and no chain gets worse, of 1.');
  });

  it('counts what is fitted already, and says which assemblies are opened', async () => {
    const { app, lead, id, partId, number } = await underWay();
    const { read } = app.context.db;
    const use = await read.use.findFirstOrThrow({ where: { childId: partId } });
    const top = await anAssembly(app, { children: [{ id: use.parentId, milli: 2000 }] });
    const fitUp = await asPerson(app, 'lead', (act) =>
      createJob(act, { kind: 'fit-up', title: '', partId: use.parentId, milli: 1000 }),
    );
    await asPerson(app, 'lead', (act) =>
      finishJob(act, { jobId: fitUp, result: 'It sits.', ready: true, atBench: false }),
    );
    const page = shown((await lead.get(`/redesigns/${id}`)).text);
    expect(page).toContain('1 of them fitted together already');
    expect(page).toContain(
      `4 pieces of ${number} 2 pieces 1 piece: opened again, if what is in it must come out`,
    );
    expect(page).toContain(`${top.number} Assembly`);
    expect(page).toContain(`top 8 pieces of ${number}`);
    expect(page).toContain('Taken apart and fitted again: 1 piece of');
  });

  it('says which other redesign draws a part, before anybody presses', async () => {
    const app = await startApp();
    const part = await aReleasedPart(app);
    const first = await aRedesign(app, { title: 'Stiffer planets', partIds: [part.partId] });
    const second = await aRedesign(app, { partIds: [part.partId] });
    await drawn(app, first);
    const lead = await app.as('lead');
    const here = `/redesigns/${second}`;
    expect(shown((await lead.get(here)).text)).toContain(`draft B is drawn for redesign ${first}`);
    const sent = await lead.post(`${here}/revisions`, { partIds: part.partId });
    expect(sent.status).toBe(409);
    expect(shown(sent.text)).toContain(
      `${part.number} B is being drawn for redesign ${first}, “Stiffer planets”.`,
    );
    // A draft that nobody's redesign begun is told as one that will be taken.
    const other = await aReleasedPart(app);
    await asPerson(app, 'crew', (act) => startRevision(act, { partId: other.partId }));
    const third = await aRedesign(app, { partIds: [other.partId] });
    expect(shown((await lead.get(`/redesigns/${third}`)).text)).toContain(
      'draft B is open, and will be taken',
    );
  });

  it('is shown for a part that was taken out of the build meanwhile', async () => {
    const app = await startApp();
    const [gone, stays] = [await aReleasedPart(app), await aReleasedPart(app)];
    const id = await aRedesign(app, { partIds: [gone.partId, stays.partId] });
    await app.context.db.write.part.update({ where: { id: gone.partId }, data: { removedAt: new Date() } });
    const page = shown((await (await app.as('lead')).get(`/redesigns/${id}`)).text);
    expect(page).toContain('taken out of the build');
    expect(page).toContain('Draw 1 of 1 part');
    await app.context.db.write.part.update({ where: { id: stays.partId }, data: { removedAt: new Date() } });
    const bare = shown((await (await app.as('lead')).get(`/redesigns/${id}`)).text);
    expect(bare).toContain('They go into nothing yet.');
    expect(bare).not.toContain('What it costs');
  });
});

describe('what a redesign costs', () => {
  it('is worked out before anything is begun, by the lead’s own hours where they are given', async () => {
    const app = await startApp();
    const made = await anOfferedJob(app);
    const id = await aRedesign(app, { partIds: [made.partId], hours: 20 });
    const lead = await app.as('lead');
    const page = shown((await lead.get(`/redesigns/${id}`)).text);
    expect(page).toContain('What it costs');
    expect(page).toContain('by the lead’s own estimate of 20 h for all of them');
    expect(page).toContain('10 working days drawing: 20 h at 10 h a week');
    // 20 h to draw, one to release.
    expect(page).toMatch(
      /all that is made can be used \d+ days .* 21 h What is made and claimed is finished/,
    );
    await lead.post(`/redesigns/${id}/change`, {
      title: 'Looser planets',
      change: '',
      problemIds: String((await app.context.db.read.problem.findFirstOrThrow()).id),
      parts: made.number,
      hours: '2,5',
      trialId: '',
      seen: '0',
    });
    expect(shown((await lead.get(`/redesigns/${id}`)).text)).toContain('own estimate of 2.5 h');
    expect((await lead.get(`/redesigns/${id}/change`)).text).toContain('value="2.5"');
  });

  it('is told in 80 of 100 runs when somebody asks, and again to who comes after', async () => {
    const app = await startApp();
    const made = await anOfferedJob(app);
    const id = await aRedesign(app, { partIds: [made.partId] });
    const lead = await app.as('lead');
    const here = `/redesigns/${id}`;
    expect((await lead.get(here)).text).toContain(`href="${here}?cost=runs#cost"`);
    const [asked, again] = await Promise.all([1, 2].map(() => lead.get(`${here}?cost=runs`)));
    for (const { status, text } of [asked!, again!]) {
      expect(status).toBe(200);
      expect(shown(text)).toMatch(
        /If The finish comes later by In 80 of 100 runs by .* \d+ runs of the build/,
      );
    }
    expect(shown((await lead.get(here)).text)).toContain('In 80 of 100 runs by');
    for (const odd of ['?cost=x', '?cost=now&cost=runs', '?cost[a]=1']) {
      expect((await lead.get(`${here}${odd}`)).status).toBe(200);
    }
  });

  it('is nothing for a redesign that touches no part, and for one that is over', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const bare = await aRedesign(app);
    const page = shown((await lead.get(`/redesigns/${bare}`)).text);
    expect(page).toContain('It touches no part.');
    expect(page).not.toContain('What it costs');
    expect(page).not.toContain('What it touches');
    const imre = await app.as('imre');
    expect((await imre.get(`/redesigns/${bare}`)).status).toBe(403);
    expect((await imre.post(`/redesigns/${bare}/close`, { reason: 'x' })).status).toBe(403);
    expect((await app.visitor().get(`/redesigns/${bare}`)).headers.location).toContain('/sign-in');
  });
});
