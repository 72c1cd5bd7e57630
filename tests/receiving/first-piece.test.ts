import { describe, expect, it } from 'vitest';
import { takeUpRevision } from '../../src/drawings/index.ts';
import { approveFirstPiece, changeJob, type FirstPieceState, firstPieceState } from '../../src/jobs/index.ts';
import { correctCheck, postParcel, receiveParcel } from '../../src/receiving/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { type CastName, castId } from '../support/cast.ts';
import { aReleasedPart } from '../support/drawings.ts';
import { aClaim, anOfferedJob, asPerson, finished, jobNow } from '../support/jobs.ts';
import { checked, todayIn } from '../support/receiving.ts';

/** A job of twelve that asks for a first piece, claimed whole by Imre, with so many finished. */
async function aFirstPieceJob(done = 12, firstPiece = true) {
  const app = await startApp();
  const job = await anOfferedJob(app, { quantity: 12, firstPiece });
  const { claimId } = await aClaim(app, { jobId: job.jobId, quantity: 12 });
  if (done) await finished(app, { claimId, quantity: done });
  return { app, ...job, claimId };
}

async function posted(
  app: TestApp,
  claimId: number,
  pieces: number,
  who: CastName = 'imre',
): Promise<number> {
  const sentOn = await todayIn(app);
  const parcel = { fromId: castId[who], carrier: '', tracking: '', note: '', sentOn };
  const parcelId = await asPerson(app, who, (act) =>
    postParcel(act, { ...parcel, lines: [{ claimId, milli: pieces * 1000 }] }),
  );
  return (await app.context.db.read.parcelItem.findFirstOrThrow({ where: { parcelId } })).id;
}

async function arrived(app: TestApp, lineId: number): Promise<void> {
  const line = await app.context.db.read.parcelItem.findUniqueOrThrow({ where: { id: lineId } });
  const arrivedOn = await todayIn(app);
  await asPerson(app, 'crew', (act) =>
    receiveParcel(act, {
      parcelId: line.parcelId,
      arrivedOn,
      note: '',
      counts: [{ lineId, milli: line.milli }],
    }),
  );
}

const stateNow = async (app: TestApp, jobId: number): Promise<FirstPieceState | null> =>
  firstPieceState(await jobNow(app, jobId), 'piece');

describe('the parcel of the rest', () => {
  it('waits until the first piece was received and accepted as drawn', async () => {
    const { app, jobId, claimId } = await aFirstPieceJob();
    expect(await stateNow(app, jobId)).toBe('made');
    await expect(posted(app, claimId, 2)).rejects.toThrow('post 1 piece alone');
    const lineId = await posted(app, claimId, 1);
    expect(await stateNow(app, jobId)).toBe('in the post');
    await expect(posted(app, claimId, 1)).rejects.toThrow('it is in the post: the rest is posted when');
    await arrived(app, lineId);
    expect(await stateNow(app, jobId)).toBe('here');
    await expect(posted(app, claimId, 11)).rejects.toThrow('it is here and not inspected yet');
    await checked(app, { lineId, units: [1] });
    expect(await stateNow(app, jobId)).toBe('approved');
    await posted(app, claimId, 11);
    const kinds = (await app.context.db.read.act.findMany({ where: { jobId } })).map(({ kind }) => kind);
    expect(kinds.filter((kind) => kind === 'approve-first-piece')).toHaveLength(1);
  });

  it('waits for another first piece after a rejected one', async () => {
    const { app, jobId, claimId } = await aFirstPieceJob();
    const first = await posted(app, claimId, 1);
    await arrived(app, first);
    await checked(app, { lineId: first, units: [1], disposition: 'rework' });
    expect(await stateNow(app, jobId)).toBe('made');
    await expect(posted(app, claimId, 11)).rejects.toThrow('post 1 piece alone');
    const second = await posted(app, claimId, 1);
    await arrived(app, second);
    await checked(app, { lineId: second, units: [2] });
    await posted(app, claimId, 10);
  });

  it('is not let go by a concession: the lead says whether the rest may be like it', async () => {
    const { app, jobId, claimId } = await aFirstPieceJob();
    const lineId = await posted(app, claimId, 1);
    await arrived(app, lineId);
    await checked(app, { lineId, units: [1], disposition: 'concession' });
    await expect(posted(app, claimId, 11)).rejects.toThrow('post 1 piece alone');
    await asPerson(app, 'lead', (act) => approveFirstPiece(act, jobId, 'The bore may be a hair large.'));
    await posted(app, claimId, 11);
  });

  it('goes when the lead approves from a report, and stops when that piece is rejected after all', async () => {
    const { app, jobId, claimId } = await aFirstPieceJob(0);
    const approve = (who: CastName, words = 'bore 25.01 by the photo') =>
      asPerson(app, who, (act) => approveFirstPiece(act, jobId, words));
    await expect(approve('lead')).rejects.toThrow('No piece of job');
    await finished(app, { claimId, quantity: 4 });
    await expect(approve('crew')).rejects.toThrow('Only the lead');
    await expect(approve('imre')).rejects.toThrow('Only the lead');
    await expect(approve('lead', ' ')).rejects.toThrow('Say what it is approved by');
    await approve('lead');
    await expect(approve('lead')).rejects.toThrow('approved already');
    const lineId = await posted(app, claimId, 3);
    await arrived(app, lineId);
    await checked(app, { lineId, units: [1], disposition: 'scrap' });
    expect(await stateNow(app, jobId)).toBe('here');
    await expect(posted(app, claimId, 1)).rejects.toThrow('some are here');
    await checked(app, { lineId, units: [2] });
    expect(await stateNow(app, jobId)).toBe('approved');
  });

  it('follows a corrected inspection', async () => {
    const { app, jobId, claimId } = await aFirstPieceJob();
    const lineId = await posted(app, claimId, 1);
    await arrived(app, lineId);
    await checked(app, { lineId, units: [1] });
    const { id } = await app.context.db.read.unitCheck.findFirstOrThrow();
    const corrected = (version: number, disposition: 'accept' | 'scrap') =>
      asPerson(app, 'crew', (act) =>
        correctCheck(act, app.context.files, {
          ...{ checkId: id, version, disposition, gauge: '', values: [], why: 'looked again' },
          reason: disposition === 'accept' ? '' : 'cracked',
        }),
      );
    await corrected(1, 'scrap');
    expect(await stateNow(app, jobId)).toBe('made');
    await corrected(2, 'accept');
    expect(await stateNow(app, jobId)).toBe('approved');
  });

  it('counts all claims of the job, also two in one parcel', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, { quantity: 6, firstPiece: true });
    const claims = [
      await aClaim(app, { jobId, quantity: 3 }),
      await aClaim(app, { jobId, quantity: 2 }),
      await aClaim(app, { who: 'farid', jobId, quantity: 1 }),
    ];
    await finished(app, { claimId: claims[0]!.claimId, quantity: 1 });
    await finished(app, { claimId: claims[1]!.claimId, quantity: 1 });
    await finished(app, { who: 'farid', claimId: claims[2]!.claimId, quantity: 1 });
    const sentOn = await todayIn(app);
    const both = claims.slice(0, 2).map(({ claimId }) => ({ claimId, milli: 1000 }));
    await expect(
      asPerson(app, 'imre', (act) =>
        postParcel(act, { fromId: castId.imre, lines: both, carrier: '', tracking: '', note: '', sentOn }),
      ),
    ).rejects.toThrow('post 1 piece alone');
    await posted(app, claims[0]!.claimId, 1);
    await expect(posted(app, claims[2]!.claimId, 1, 'farid')).rejects.toThrow('in the post');
  });

  it('waits for a first piece of the new revision, while what is finished to the old one goes', async () => {
    const { app, jobId, partId, claimId } = await aFirstPieceJob(6);
    const lineId = await posted(app, claimId, 1);
    await arrived(app, lineId);
    await checked(app, { lineId, units: [1] });
    expect(await stateNow(app, jobId)).toBe('approved');
    app.passDays(1);
    await aReleasedPart(app, { partId, change: 'a wider bore' });
    expect((await jobNow(app, jobId)).firstApprovedAt).toBeNull();
    // The claim is to the old revision until its maker takes the new one up.
    expect(await stateNow(app, jobId)).toBe('to make');
    await posted(app, claimId, 2);
    const notice = await app.context.db.read.notice.findFirstOrThrow({ where: { claimId } });
    await asPerson(app, 'imre', (act) => takeUpRevision(act, { noticeId: notice.id }));
    const anew = await app.context.db.read.claim.findFirstOrThrow({
      where: { jobId },
      orderBy: { id: 'desc' },
    });
    await finished(app, { claimId: anew.id, quantity: 3 });
    await expect(posted(app, anew.id, 3)).rejects.toThrow('asks for one piece first');
    const kinds = (await app.context.db.read.act.findMany({ where: { jobId } })).map(({ kind }) => kind);
    expect(kinds).toContain('end-first-piece-approval');
  });

  it('is posted once by two at the same moment', async () => {
    const { app, claimId } = await aFirstPieceJob(2);
    const outcomes = await Promise.allSettled([posted(app, claimId, 1), posted(app, claimId, 1)]);
    expect(outcomes.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected']);
    expect(await app.context.db.read.parcel.count()).toBe(1);
  });

  it('is held or let go when the lead asks for a first piece in the middle of the work', async () => {
    const { app, jobId, claimId } = await aFirstPieceJob(12, false);
    const asks = (firstPiece: boolean) =>
      asPerson(app, 'lead', (act) => changeJob(act, jobId, { firstPiece }));
    const lineId = await posted(app, claimId, 3);
    await asks(true);
    expect(await stateNow(app, jobId)).toBe('in the post');
    await expect(posted(app, claimId, 1)).rejects.toThrow('some are in the post');
    await asks(false);
    await posted(app, claimId, 1);
    await arrived(app, lineId);
    await checked(app, { lineId, units: [1] });
    // Asked for after one was accepted as drawn: that one is the first piece.
    await asks(true);
    expect(await stateNow(app, jobId)).toBe('approved');
    await posted(app, claimId, 8);
  });

  it('is no question for one piece, or where the part is no piece', async () => {
    const app = await startApp();
    const one = await anOfferedJob(app, { quantity: 1, firstPiece: true });
    expect(await stateNow(app, one.jobId)).toBeNull();
    const cut = await anOfferedJob(app, { quantity: 5, firstPiece: true });
    expect(firstPieceState(await jobNow(app, cut.jobId), 'm')).toBeNull();
    expect(await stateNow(app, cut.jobId)).toBe('to make');
  });
});

describe('the pages', () => {
  it('say what the first piece is: route card, Today, post form, bench', async () => {
    const { app, jobId, claimId } = await aFirstPieceJob(4);
    const imre = await app.as('imre');
    const lead = await app.as('lead');
    const crew = await app.as('crew');
    const card = (await imre.get(`/jobs/${jobId}`)).text;
    expect(card).toContain('Send one alone: the rest is posted when it has been accepted.');
    expect(card).toMatch(/name="q-\d+"[^>]*value="1"/);
    const today = (await imre.get('/')).text;
    expect(today).toContain('post one piece: the first, alone');
    expect(today).toContain('first piece: made');
    const many = await imre.post('/parcels', { [`q-${claimId}`]: '4', sentOn: await todayIn(app) });
    expect(many.status).toBe(409);
    expect(many.text).toContain('post 1 piece alone');
    const lineId = await posted(app, claimId, 1);
    const held = (await imre.get('/parcels/new')).text;
    expect(held).toContain('You have nothing to post now');
    expect(held).toContain('It is in the post: the rest waits until it has been accepted.');
    expect((await imre.get('/')).text).toContain('first piece: in the post');
    await arrived(app, lineId);
    expect((await crew.get(`/receiving/lines/${lineId}`)).text).toContain(
      '<b>First piece.</b> The rest waits for it',
    );
    expect((await crew.get('/receiving')).text).toContain('first piece');
    expect((await crew.get(`/jobs/${jobId}`)).text).toContain('inspect the first piece');
    await checked(app, { lineId, units: [1] });
    const after = (await lead.get(`/jobs/${jobId}`)).text;
    expect(after).toContain('It is approved: the rest may be made and posted.');
    expect(after).toContain('piece 1 accepted as drawn');
    expect((await lead.get('/log')).text).toContain('approved the first piece of job');
  });

  it('let the lead approve from a report, with a word of why', async () => {
    const { app, jobId } = await aFirstPieceJob(2);
    const lead = await app.as('lead');
    expect((await lead.get(`/jobs/${jobId}`)).text).toContain('Approve it from what its maker reported');
    expect((await (await app.as('crew')).get(`/jobs/${jobId}`)).text).not.toContain('Approve it from');
    const path = `/jobs/${jobId}/approve-first`;
    const empty = await lead.post(path, { words: '' });
    expect(empty.status).toBe(422);
    expect(empty.text).toContain('Say what it is approved by');
    expect((await lead.post(path, { words: 'x'.repeat(1001) })).status).toBe(422);
    expect((await (await app.as('crew')).post(path, { words: 'ok' })).status).toBe(403);
    expect((await (await app.as('imre')).post(path, { words: 'ok' })).status).toBe(403);
    expect((await lead.post('/jobs/9999/approve-first', { words: 'ok' })).status).toBe(404);
    expect((await lead.post(path, { words: 'photo 3, <i>25.01</i>' })).status).toBe(303);
    expect((await lead.get(`/jobs/${jobId}`)).text).toContain('photo 3, &lt;i&gt;25.01&lt;/i&gt;');
    expect((await lead.post(path, { words: 'again' })).status).toBe(409);
  });
});
