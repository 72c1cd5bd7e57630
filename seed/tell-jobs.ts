import {
  answerQuery,
  approveFirstPiece,
  askQuery,
  changeJob,
  createJob,
  dropJob,
  finishJob,
  holdJob,
  linkJobs,
  offerJob,
  orderPurchase,
  receivePurchase,
  startJob,
} from '../src/jobs/index.ts';
import { offerToMake } from '../src/offers/index.ts';
import type { Book } from './book.ts';
import { jobsArms } from './jobs-arms.ts';
import { jobsBase } from './jobs-base.ts';
import { jobsCase } from './jobs-case.ts';
import { jobsColumn } from './jobs-column.ts';
import { jobsDrive } from './jobs-drive.ts';
import { gatherings, strangers } from './loop.ts';
import { tellClaim } from './tell-claims.ts';
import { laterDeliveries, links } from './telling.ts';
import { done, HOURS } from './timeline.ts';
import type { FabricateStory, JobStory, PersonKey, PurchaseStory, WordedStory } from './types.ts';

/** Jobs are made, offered, claimed, ordered, begun, finished, held and dropped, each on its day. */
export function tellJobs(book: Book): void {
  for (const job of [...jobsBase, ...jobsDrive, ...jobsColumn, ...jobsArms, ...jobsCase]) {
    tellBeginning(book, job);
    if (job.kind === 'fabricate') tellFabrication(book, job);
    else if (job.kind === 'purchase') tellPurchase(book, job);
    else tellWorded(book, job);
    const { held, dropped } = job;
    if (held)
      book.act(held.on, HOURS.late, 'jerica', (act) =>
        holdJob(act, { jobId: book.jobs.get(job.key), reason: held.reason }),
      );
    if (dropped) {
      book.act(dropped.on, HOURS.late, 'jerica', (act) =>
        dropJob(act, { jobId: book.jobs.get(job.key), reason: dropped.reason }),
      );
    }
  }
  for (const { on, from, to, type, lag } of links) {
    book.act(on, HOURS.late, 'jerica', (act) =>
      linkJobs(act, { fromId: book.jobs.get(from), toId: book.jobs.get(to), type, lag }),
    );
  }
  for (const { on, job, of, promised } of laterDeliveries) {
    book.act(on, HOURS.shop, 'blaz', (act) =>
      orderPurchase(act, {
        jobId: book.jobs.get(job),
        supplier: of,
        promisedOn: book.timeline.day(promised),
      }),
    );
  }
  tellStrangers(book);
}

function tellBeginning(book: Book, job: JobStory): void {
  const { key, kind, created, title = '', note = '', wanted, gathering } = job;
  if (!('follows' in job && job.follows)) {
    book.act(created, HOURS.release, 'jerica', async (act) => {
      const worded = job.kind === 'fabricate' || job.kind === 'purchase' ? null : job;
      const milli =
        1000 *
        (job.kind === 'fabricate' ? job.pieces : job.kind === 'purchase' ? job.quantity : (job.pieces ?? 1));
      const id = await createJob(act, {
        kind,
        title,
        partId: job.part ? book.parts.get(job.part) : null,
        milli,
        note,
        wantedOn: wanted === undefined ? null : book.timeline.day(wanted),
        hours: worded?.hours ?? null,
        days: worded?.days ?? null,
        spot: worded?.spot ?? '',
        personId: worded?.who ? book.people.get(worded.who) : null,
        firstPiece: job.kind === 'fabricate' && (job.firstPiece ?? false),
        strangers: job.kind === 'fabricate' ? (job.strangers ?? true) : true,
      });
      book.jobs.set(key, id);
    });
  }
  if (gathering) {
    const { planned } = gatherings.find((one) => one.key === gathering)!;
    book.act(Math.max(created, planned), HOURS.late, 'jerica', (act) =>
      changeJob(act, book.jobs.get(key), { gatheringId: book.gatherings.get(gathering) }),
    );
  }
}

function tellFabrication(book: Book, job: FabricateStory): void {
  const { key, offered, firstApproved, claims = [], queries = [] } = job;
  if (offered !== undefined) {
    book.act(offered, HOURS.offer, 'jerica', (act) => offerJob(act, book.jobs.get(key)));
  }
  for (const claim of claims) tellClaim(book, key, claim);
  if (firstApproved) {
    book.act(firstApproved.on, HOURS.late, 'jerica', (act) =>
      approveFirstPiece(act, book.jobs.get(key), firstApproved.words),
    );
  }
  for (const { who, on, question, answered } of queries) {
    let queryId = 0;
    book.act(on, HOURS.work, who, async (act) => {
      queryId = await askQuery(act, { jobId: book.jobs.get(key), question });
    });
    if (!answered) continue;
    book.act(answered.on, HOURS.late, answered.by, (act) =>
      answerQuery(act, { queryId, answer: answered.answer }),
    );
  }
}

function tellPurchase(book: Book, { key, ordered, arrivals = [] }: PurchaseStory): void {
  if (ordered) {
    book.act(ordered.on, HOURS.shop, 'jerica', (act) =>
      orderPurchase(act, {
        jobId: book.jobs.get(key),
        supplier: ordered.of,
        promisedOn: ordered.promised === undefined ? null : book.timeline.day(ordered.promised),
      }),
    );
  }
  for (const { on, quantity, noMore = false } of arrivals) {
    book.act(on, HOURS.post, 'blaz', (act) =>
      receivePurchase(act, { jobId: book.jobs.get(key), milli: Math.round(quantity * 1000), noMore }),
    );
  }
}

function tellWorded(book: Book, { key, begun, finished, who }: WordedStory): void {
  const by: PersonKey = who ?? 'neza';
  if (begun !== undefined) book.act(begun, HOURS.shop, by, (act) => startJob(act, book.jobs.get(key)));
  if (!finished) return;
  book.act(finished.on, HOURS.late, by, async (act) => {
    const jobId = book.jobs.get(key);
    // What the schedule does not know to be here lies at the bench all the same.
    const ready = book.schedule.of(jobId)?.ready ?? false;
    await finishJob(act, { jobId, result: finished.result, ready, atBench: true });
  });
}

function tellStrangers(book: Book): void {
  for (const { on, job, pieces, promise, ...words } of strangers) {
    const [soonestDays, likelyDays, latestDays] = promise;
    book.timeline.add(on, HOURS.claim, async () => {
      await done(book.context, { personId: null, role: 'visitor' }, (act) =>
        offerToMake(act, {
          ...words,
          jobId: book.jobs.get(job),
          milli: pieces * 1000,
          soonestDays,
          likelyDays,
          latestDays,
        }),
      );
    });
  }
}
