import { readFileSync } from 'node:fs';
import { afterAll, describe, expect, it } from 'vitest';
import { changeBuild } from '../../src/accounts/index.ts';
import { changeRole, setOpen } from '../../src/accounts/people-acts.ts';
import {
  addDocument,
  changeRevision,
  decideOldUnits,
  releaseRevision,
  removeDocument,
  startRevision,
  takeUpRevision,
  withdrawRevision,
} from '../../src/drawings/index.ts';
import {
  approveFirstPiece,
  changeJob,
  claimJob,
  correctReport,
  createJob,
  dropJob,
  finishJob,
  followJob,
  handBack,
  holdJob,
  linkJobs,
  offerJob,
  orderPurchase,
  receivePurchase,
  renewPromise,
  reportWork,
  resumeJob,
  startJob,
  startWork,
  unlinkJobs,
  withdrawOffer,
} from '../../src/jobs/index.ts';
import { actKinds } from '../../src/log/sentence.ts';
import { addAway, removeAway } from '../../src/makers/maker-acts.ts';
import {
  addUse,
  changePart,
  changeUse,
  createPart,
  removePart,
  removeUse,
  restorePart,
  setShelf,
} from '../../src/parts/index.ts';
import { dropGathering, moveGathering, planGathering } from '../../src/problems/gathering-acts.ts';
import {
  correctCheck,
  countParcel,
  postParcel,
  receiveParcel,
  writeOffParcel,
} from '../../src/receiving/index.ts';
import { addClosure, removeClosure } from '../../src/schedule/closure-acts.ts';
import { NOT_UNDONE, UNDONE } from '../../src/schedule/finish-moved-undo.ts';
import { startApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aDraft } from '../support/drawings.ts';
import { formOn } from '../support/form-on.ts';
import { aClaim, aFabrication, anOfferedJob, anotherJob, asPerson, finished } from '../support/jobs.ts';
import { anAssembly, aPart, asLead } from '../support/parts.ts';
import { aDeliveredClaim, aPostedParcel, checked, todayIn } from '../support/receiving.ts';
import { noDates, story, toldKinds } from './finish-moved-story.ts';

const days = { soonestDays: 4, likelyDays: 9, latestDays: 20 };

describe('undone gives the facts as they were before', () => {
  it('the life of a job with a claim, until it is dropped', async () => {
    const app = await startApp();
    await anOfferedJob(app);
    const { jobId } = await aFabrication(app, { quantity: 6 });
    let claimId = 0;
    const lead = (work: Parameters<typeof asLead>[1]) => () => asLead(app, work);
    await story(app, [
      ['changed', lead((act) => changeJob(act, jobId, { days: 9, milli: 8000, wantedOn: '2026-05-01' }))],
      ['offered', lead((act) => offerJob(act, jobId))],
      ['taken back', lead((act) => withdrawOffer(act, jobId))],
      ['offered again', lead((act) => offerJob(act, jobId))],
      ['held', lead((act) => holdJob(act, { jobId, reason: 'no brass' }))],
      ['taken up', lead((act) => resumeJob(act, jobId))],
      [
        'claimed',
        async () => {
          claimId = await asPerson(app, 'imre', (act) =>
            claimJob(act, { jobId, personId: castId.imre, milli: 5000, ...days }),
          );
        },
      ],
      ['begun', () => asPerson(app, 'imre', (act) => startWork(act, claimId))],
      [
        'promised anew',
        () => asPerson(app, 'imre', (act) => renewPromise(act, { claimId, ...days, likelyDays: 12 })),
      ],
      [
        'and again',
        () => asPerson(app, 'imre', (act) => renewPromise(act, { claimId, ...days, likelyDays: 15 })),
      ],
      ['finished', () => finished(app, { claimId, quantity: 3 })],
      [
        'corrected',
        () => asPerson(app, 'imre', (act) => correctReport(act, { claimId, milli: 1000, words: 'cracked' })),
      ],
      [
        'back',
        () => asPerson(app, 'imre', (act) => handBack(act, { claimId, milli: 1000, words: 'no time' })),
      ],
      ['claimed by another', () => aClaim(app, { who: 'sunniva', jobId, quantity: 2 })],
      ['dropped', lead((act) => dropJob(act, { jobId, reason: 'another way' }))],
    ]);
  });

  it('a report that begins the work, and one of words', async () => {
    const app = await startApp();
    const { claimId } = await aClaim(app, { quantity: 4 });
    await story(app, [
      [
        'words',
        () =>
          asPerson(app, 'imre', (act) =>
            reportWork(act, app.context.files, { claimId, milli: 0, words: 'soon', hours: null }),
          ),
      ],
      ['two', () => finished(app, { claimId, quantity: 2 })],
      ['two more', () => finished(app, { claimId, quantity: 2 })],
    ]);
  });

  it('parcels: posted, come, counted, short, written off and come after all', async () => {
    const app = await startApp();
    const { claimId, jobId } = await aClaim(app, { quantity: 9 });
    await finished(app, { claimId, quantity: 9 });
    const other = await aClaim(app, { quantity: 2 });
    await finished(app, { claimId: other.claimId, quantity: 2 });
    const parcels: number[] = [];
    const post = (lines: { claimId: number; milli: number }[]) => async () => {
      const sentOn = await todayIn(app);
      const rest = { carrier: '', tracking: '', note: '', sentOn };
      parcels.push(
        await asPerson(app, 'imre', (act) => postParcel(act, { fromId: castId.imre, lines, ...rest })),
      );
    };
    const countsOf = async (parcelId: number, ...milli: number[]) => {
      const lines = await app.context.db.read.parcelItem.findMany({ where: { parcelId } });
      return lines.map(({ id }, at) => ({ lineId: id, milli: milli[at]! }));
    };
    const receive =
      (at: number, ...milli: number[]) =>
      async () => {
        const counts = milli.length ? await countsOf(parcels[at]!, ...milli) : null;
        const arrivedOn = await todayIn(app);
        await asPerson(app, 'crew', (act) =>
          receiveParcel(act, { parcelId: parcels[at]!, arrivedOn, note: '', counts }),
        );
      };
    const both = [
      { claimId, milli: 2000 },
      { claimId: other.claimId, milli: 2000 },
    ];
    await story(app, [
      ['posted', post([{ claimId, milli: 2000 }])],
      ['two claims in one', post(both)],
      ['a third', post([{ claimId, milli: 1000 }])],
      ['come, not counted', receive(0)],
      [
        'counted',
        async () => {
          const counts = await countsOf(parcels[0]!, 2000);
          await asPerson(app, 'crew', (act) => countParcel(act, { parcelId: parcels[0]!, counts, note: '' }));
        },
      ],
      [
        'counted again',
        async () => {
          const counts = await countsOf(parcels[0]!, 1000);
          await asPerson(app, 'crew', (act) => countParcel(act, { parcelId: parcels[0]!, counts, note: '' }));
        },
      ],
      ['come and counted, one short', receive(1, 2000, 1000)],
      ['written off', () => asLead(app, (act) => writeOffParcel(act, { parcelId: parcels[2]!, note: '' }))],
      ['turned up', receive(2, 1000)],
      ['a fourth', post([{ claimId, milli: 1000 }])],
      ['come empty', receive(3, 0)],
    ]);
    expect(jobId).toBeGreaterThan(0);
  });

  it('inspections, what follows from them, and the first piece', async () => {
    const app = await startApp();
    const delivered = await aDeliveredClaim(app, { quantity: 5, jobWish: { quantity: 5 } });
    const { lineId, jobId } = delivered;
    let checkId = 0;
    await story(app, [
      ['a first piece is asked for', () => asLead(app, (act) => changeJob(act, jobId, { firstPiece: true }))],
      ['approved unseen', () => asLead(app, (act) => approveFirstPiece(act, jobId, 'photos'))],
      [
        'one scrapped: it ends',
        async () => {
          await checked(app, { lineId, units: [1], disposition: 'scrap' });
          const check = await app.context.db.read.unitCheck.findFirstOrThrow();
          checkId = check.id;
        },
      ],
      ['accepted: approved', () => checked(app, { lineId, units: [2, 3] })],
      [
        'another scrapped, added to the same job',
        () => checked(app, { lineId, units: [4], disposition: 'scrap' }),
      ],
      ['one to be reworked', () => checked(app, { lineId, units: [5], disposition: 'rework' })],
      [
        'the scrapped one is good after all',
        () =>
          asPerson(app, 'crew', (act) =>
            correctCheck(act, app.context.files, {
              checkId,
              version: 1,
              disposition: 'concession',
              reason: 'fits',
              gauge: '',
              values: [],
              why: 'measured the wrong one',
            }),
          ),
      ],
    ]);
  });

  it('other work, purchases and links', async () => {
    const app = await startApp();
    const crate = await anotherJob(app, { days: 3 });
    const bolts = await aPart(app, { kind: 'bought', leadDays: 10 });
    await anAssembly(app, { children: [{ id: bolts.id, milli: 40_000 }] });
    const lead = (work: Parameters<typeof asLead>[1]) => () => asLead(app, work);
    let jobId = 0;
    let linkId = 0;
    await story(app, [
      [
        'opened',
        async () => {
          jobId = await asLead(app, (act) =>
            createJob(act, { kind: 'purchase', title: '', partId: bolts.id, milli: 40_000 }),
          );
        },
      ],
      [
        'linked',
        async () => {
          linkId = await asLead(app, (act) =>
            linkJobs(act, { fromId: crate, toId: jobId, type: 'FS', lag: 2 }),
          );
        },
      ],
      ['unlinked', lead((act) => unlinkJobs(act, linkId))],
      ['counted', lead((act) => setShelf(act, { partId: bolts.id, quantity: '3' }))],
      ['ordered', lead((act) => orderPurchase(act, { jobId, supplier: 'S', promisedOn: '2026-03-20' }))],
      ['another day', lead((act) => orderPurchase(act, { jobId, supplier: 'S', promisedOn: '2026-04-01' }))],
      ['some came', lead((act) => receivePurchase(act, { jobId, milli: 10_000, noMore: false }))],
      ['the rest', lead((act) => receivePurchase(act, { jobId, milli: 25_000, noMore: true }))],
      ['begun', lead((act) => startJob(act, crate))],
      ['done', lead((act) => finishJob(act, { jobId: crate, result: '', ready: true, atBench: false }))],
    ]);
  });

  it('the structure', async () => {
    const app = await startApp();
    const top = await anAssembly(app, { children: [{}, {}] });
    const [first = 0, second = 0] = top.childIds;
    const lead = (work: Parameters<typeof asLead>[1]) => () => asLead(app, work);
    const useOf = (childId: number) =>
      app.context.db.read.use.findFirstOrThrow({ where: { parentId: top.id, childId } });
    let third = 0;
    await story(app, [
      [
        'added',
        async () => {
          third = (await asLead(app, (act) => createPart(act, { name: 'Cock', kind: 'made' }))).id;
        },
      ],
      ['put in', lead((act) => addUse(act, { parentId: top.id, childId: third, milli: 3000 }))],
      ['holds one', lead((act) => addUse(act, { parentId: third, childId: second, milli: 1000 }))],
      [
        'more',
        async () => {
          const { id } = await useOf(first);
          await asLead(app, (act) => changeUse(act, { useId: id, quantity: '4' }));
        },
      ],
      [
        'estimated',
        lead((act) => changePart(act, { partId: first, fields: { makeDays: 30, designHours: 5 } })),
      ],
      [
        'taken out of it',
        async () => {
          const { id } = await useOf(third);
          await asLead(app, (act) => removeUse(act, id));
        },
      ],
      ['taken out', lead((act) => removePart(act, third, () => []))],
      ['put back', lead((act) => restorePart(act, third))],
      ['taken out again', lead((act) => removePart(act, third, () => []))],
    ]);
  });

  it('a list of parts, taken in over parts that are there', async () => {
    const app = await startApp();
    await aPart(app, { number: '92949A144', name: 'Screw', kind: 'bought', leadDays: 3 });
    const lead = await app.as('lead');
    // 17 rows of the public master parts list of an open-source rover; see the README beside it.
    const content = readFileSync(new URL('../checks/real/rover_master_excerpt.csv', import.meta.url));
    await story(app, [
      [
        'taken in',
        async () => {
          const files = [{ name: 'file', filename: 'list.csv', content }];
          const at = (await lead.upload('/import', {}, files)).headers.location!;
          const { text } = await lead.get(at);
          await lead.post(`${at}/take`, { ...formOn(text, `${at}/take`), line: '18' });
          expect(await app.context.db.read.part.count()).toBeGreaterThan(17);
        },
      ],
    ]);
  });

  it('drawings, old units, and makers who take a new one up', async () => {
    const app = await startApp();
    const old = await aDeliveredClaim(app, { quantity: 3, jobWish: { quantity: 8 } });
    await checked(app, { lineId: old.lineId, units: [1, 2] });
    const { partId, jobId } = old;
    await aClaim(app, { who: 'sunniva', jobId, quantity: 2 });
    const { read } = app.context.db;
    const lead = (work: Parameters<typeof asLead>[1]) => () => asLead(app, work);
    let draft = { id: 0, letter: '' };
    let documents: number[] = [];
    const process = await read.process.findFirstOrThrow({ skip: 1 });
    const add = (kind: 'drawing' | 'photo', name: string) => async () => {
      const content = Buffer.from(`%PDF-1.4 ${name}`);
      const { id } = await asLead(app, (act) =>
        addDocument(act, {
          revisionId: draft.id,
          document: {
            kind,
            name,
            sha256: name.padEnd(64, '0'),
            bytes: content.length,
            fileKind: 'pdf',
            mediaType: 'application/pdf',
            keep: async () => undefined,
          } as never,
        }),
      );
      documents.push(id);
    };
    await story(app, [
      [
        'begun',
        async () => {
          draft = await asLead(app, (act) => startRevision(act, { partId }));
        },
      ],
      [
        'process',
        async () => {
          const revision = await read.revision.findUniqueOrThrow({ where: { id: draft.id } });
          const { version, change, materialId, materialNote, finish, notes } = revision;
          const head = { change, materialId, materialNote, finish, notes, generalTolerance: 'm' as const };
          await asLead(app, (act) =>
            changeRevision(act, { revisionId: draft.id, version, ...head, processId: process.id }),
          );
        },
      ],
      ['drawn', add('drawing', 'a.pdf')],
      ['photographed', add('photo', 'b.pdf')],
      ['drawn more', add('drawing', 'c.pdf')],
      ['one off', lead((act) => removeDocument(act, { documentId: documents[0]! }))],
      ['both off', lead((act) => removeDocument(act, { documentId: documents[2]! }))],
      ['drawn again', add('drawing', 'd.pdf')],
      ['released', lead((act) => releaseRevision(act, { revisionId: draft.id }))],
      [
        'taken up',
        async () => {
          const notices = await read.notice.findMany({
            where: { settledAt: null },
            orderBy: { claimId: 'asc' },
          });
          expect(notices.length).toBe(2);
          for (const { id } of notices) await asLead(app, (act) => takeUpRevision(act, { noticeId: id }));
        },
      ],
      [
        'old units scrapped',
        async () => {
          const units = await read.oldUnits.findFirstOrThrow();
          await asLead(app, (act) =>
            decideOldUnits(act, { oldUnitsId: units.id, decision: 'scrap' }, followJob),
          );
        },
      ],
    ]);
    documents = [];
    const other = await aDraft(app);
    await story(app, [['given up', lead((act) => withdrawRevision(act, { revisionId: other.revisionId }))]]);
  });

  it('a claim that is split by a new drawing', async () => {
    const app = await startApp();
    const posted = await aPostedParcel(app, { quantity: 2, jobWish: { quantity: 6 } });
    const { claimId } = await aClaim(app, { jobId: posted.jobId, quantity: 4 });
    await finished(app, { claimId, quantity: 3 });
    const sentOn = await todayIn(app);
    const lines = [{ claimId, milli: 1000 }];
    const rest = { carrier: '', tracking: '', note: '', sentOn };
    await asPerson(app, 'imre', (act) => postParcel(act, { fromId: castId.imre, lines, ...rest }));
    const draft = await aDraft(app, { partId: posted.partId });
    await story(app, [
      ['released', () => asLead(app, (act) => releaseRevision(act, { revisionId: draft.revisionId }))],
      [
        'taken up in two',
        async () => {
          const notice = await app.context.db.read.notice.findFirstOrThrow({ where: { claimId } });
          await asPerson(app, 'imre', (act) => takeUpRevision(act, { noticeId: notice.id }));
          expect(await app.context.db.read.claim.count()).toBe(3);
        },
      ],
      [
        'more finished',
        async () => {
          const { id } = await app.context.db.read.claim.findFirstOrThrow({ orderBy: { id: 'desc' } });
          await finished(app, { claimId: id, quantity: 1 });
        },
      ],
    ]);
  });

  it('days: settings, closures, people away, gatherings, who leads', async () => {
    const app = await startApp();
    const { read } = app.context.db;
    const lead = (work: Parameters<typeof asLead>[1]) => () => asLead(app, work);
    const build = await read.build.findUniqueOrThrow({ where: { id: 1 } });
    const id = { gathering: 0, closure: 0, away: 0 };
    const range = { fromOn: '2026-03-10', untilOn: '2026-03-12' };
    await story(app, [
      [
        'settings',
        lead((act) =>
          changeBuild(act, {
            ...build,
            weekdays: ['1', '3', '6'],
            leadWeeklyHours: 4,
            country: 'SE',
          } as never),
        ),
      ],
      ['closed', lead((act) => addClosure(act, { ...range, name: 'Easter' }))],
      [
        'closed earlier',
        lead((act) => addClosure(act, { fromOn: '2026-03-05', untilOn: '2026-03-05', name: 'Fair' })),
      ],
      [
        'open',
        async () => {
          id.closure = (await read.closure.findFirstOrThrow()).id;
          await asLead(app, (act) => removeClosure(act, id.closure));
        },
      ],
      ['away', lead((act) => addAway(act, castId.imre, { ...range, note: '' }))],
      [
        'away earlier',
        lead((act) => addAway(act, castId.imre, { fromOn: '2026-03-03', untilOn: '2026-03-04', note: '' })),
      ],
      [
        'here',
        async () => {
          id.away = (await read.away.findFirstOrThrow()).id;
          await asLead(app, (act) => removeAway(act, castId.imre, id.away));
        },
      ],
      [
        'gathering',
        async () => {
          id.gathering = await asLead(app, (act) =>
            planGathering(act, {
              title: 'Spring',
              fromOn: '2026-03-14',
              untilOn: '2026-03-15',
              places: 4,
            } as never),
          );
        },
      ],
      [
        'moved',
        lead((act) =>
          moveGathering(act, { gatheringId: id.gathering, fromOn: '2026-03-21', untilOn: '2026-03-22' }),
        ),
      ],
      [
        'another',
        lead((act) =>
          planGathering(act, {
            title: 'Early',
            fromOn: '2026-03-08',
            untilOn: '2026-03-08',
            places: 2,
          } as never),
        ),
      ],
      ['called off', lead((act) => dropGathering(act, { gatheringId: id.gathering, reason: 'snow' }))],
      ['lead too', lead((act) => changeRole(act, castId.crew, 'lead'))],
      ['closed account', lead((act) => setOpen(act, castId.crew, false))],
      ['opened account', lead((act) => setOpen(act, castId.crew, true))],
    ]);
  });
});

describe('kinds of act', () => {
  it('are each taken back, of no date, or said not to be', () => {
    const known = [...UNDONE, ...noDates, ...NOT_UNDONE];
    expect(new Set(known).size).toBe(known.length);
    expect(actKinds.filter((kind) => !known.includes(kind))).toEqual([]);
  });

  afterAll(() => {
    const missing = UNDONE.filter((kind) => !toldKinds.has(kind));
    if (missing.length > 0) throw new Error(`no story tells of ${missing.join(', ')}`);
  });
});
