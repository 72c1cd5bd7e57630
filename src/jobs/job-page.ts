import { openNotices } from '../drawings/index.ts';
import { historyLines, readLog } from '../log/index.ts';
import { partPath, type Unit } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { type Day, dayIn, dayWords } from '../platform/day.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { found } from '../platform/refusal.ts';
import { mayAsk } from './ask-query.ts';
import { type CardMoment, jobCard, quantityTextOf, unitCountsOf, unitWordsOf } from './card.ts';
import type { NamesForCards } from './card-reader.ts';
import {
  madeOf,
  mayActOn,
  mayCorrect,
  mayHandBack,
  mayRenewPromise,
  mayReport,
  mayStart,
  netOf,
  unfinishedOf,
  withMakerOf,
} from './claim-rules.ts';
import { type ClaimWords, claimWords } from './claim-view.ts';
import { type ClaimFacts, isOver, type JobFacts, quantitiesOf, stageOf } from './facts.ts';
import { FIRST_PIECE_WORDS, firstPieceState, mayApproveFirstPiece } from './first-piece.ts';
import {
  mayChange,
  mayDrop,
  mayFinish,
  mayHold,
  mayOffer,
  mayOrder,
  mayReceive,
  mayResume,
  mayStartJob,
  mayWithdraw,
  mayWorkOn,
} from './job-rules.ts';
import { say } from './say.ts';
import { readSheet, type Sheet } from './sheet-reader.ts';
import { timeWords } from './time-words.ts';
import type { JobTimes } from './times.ts';

const HISTORY_ROWS = 40;

/** What the route card is read from. */
export interface JobPageSources {
  db: Pick<Database, 'read' | 'hot'>;
  facts(jobId: number): JobFacts | null;
  names(): NamesForCards;
  moment(): CardMoment;
  times: JobTimes;
}

/** The kinds of work in words, and what the page says one does with it. */
export const KIND_WORDS: Record<JobFacts['kind'], string> = {
  design: 'to draw',
  fabricate: 'to make',
  purchase: 'to buy',
  'fit-up': 'to fit up',
  trial: 'to try',
  other: 'to do',
};

async function readRows(read: Database['read'], jobId: number) {
  return found(
    await read.job.findUnique({
      where: { id: jobId },
      include: {
        part: { select: { id: true, number: true, name: true, supplier: true } },
        claims: {
          orderBy: { id: 'asc' },
          include: {
            reports: {
              orderBy: { id: 'asc' },
              include: { photos: { where: { removedAt: null }, orderBy: { id: 'asc' } } },
            },
          },
        },
        queries: { orderBy: { id: 'asc' } },
        links: { include: { to: { select: { id: true, title: true } } }, orderBy: { id: 'asc' } },
        notes: { include: { from: { select: { id: true, title: true } } }, orderBy: { id: 'asc' } },
      },
    }),
    `There is no job ${jobId}.`,
  );
}

type Rows = Awaited<ReturnType<typeof readRows>>;

/** What a person may do with a claim. */
function claimActs(job: JobFacts, claim: ClaimFacts, unit: Unit, person: SignedIn) {
  const may = !mayActOn(claim, { personId: person.id, role: person.role });
  const rest = unfinishedOf(claim);
  return {
    start: may && !mayStart(job, claim),
    report: may && !mayReport(job, claim, 0, unit) && withMakerOf(claim) > 0,
    correct: may && madeOf(claim) > 0 && !mayCorrect(job, claim, madeOf(claim), unit),
    handBack: may && !job.droppedAt && rest > 0 && !mayHandBack(claim, rest, unit),
    renew: may && !mayRenewPromise(job, claim),
  };
}

export interface ClaimLine extends ClaimWords {
  id: number;
  maker: { name: string; href: string };
  own: boolean;
  quantity: string;
  /** what is unfinished, as typed into a form */
  unfinished: string;
  claimedOn: string;
  /** the letter it is made to, where that is not the job's */
  letter: string;
  ended: boolean;
  note: string;
  reports: {
    id: number;
    when: string;
    words: string;
    done: string;
    hours: number | null;
    photos: string[];
  }[];
  may: ReturnType<typeof claimActs>;
}

/** A quantity as it is typed into a box that has its unit beside it. */
export function plainQuantity(milli: number): string {
  return String(milli / 1000);
}

function claimLines(
  { rows, job, unit, person, moment, names, dayOf }: PageParts,
  letters: ReadonlyMap<number, string>,
): ClaimLine[] {
  const lines = rows.claims.map((row): ClaimLine => {
    const claim = found(
      job.claims.find(({ id }) => id === row.id),
      'The claim is gone.',
    );
    const own = claim.personId === person.id;
    const isPrivate = own || person.role !== 'maker';
    const when = (at: Date) => dayWords(dayOf(at), moment.today);
    const otherRevision = claim.revisionId !== null && claim.revisionId !== job.revisionId;
    return {
      id: claim.id,
      maker: {
        name: names.nameOf(claim.personId),
        href: person.role === 'lead' || own ? `/makers/${claim.personId}` : '',
      },
      own,
      quantity: say(netOf(claim) || claim.milli, unit),
      unfinished: plainQuantity(unfinishedOf(claim)),
      claimedOn: when(row.claimedAt),
      letter: otherRevision ? (letters.get(claim.revisionId ?? 0) ?? '') : '',
      ended: netOf(claim) === 0,
      note: isPrivate ? row.note : '',
      ...claimWords(claim, unit, moment, claim.lastSentAt ? dayOf(new Date(claim.lastSentAt)) : null),
      reports: row.reports.map((report) => ({
        id: report.id,
        when: when(report.at),
        words: report.words,
        done:
          report.doneMilli > 0
            ? `${say(report.doneMilli, unit)} finished`
            : report.doneMilli < 0
              ? `${say(-report.doneMilli, unit)} not finished after all`
              : '',
        hours: isPrivate ? report.hours : null,
        photos: report.photos.map(({ id }) => `/photos/${id}`),
      })),
      may: claimActs(job, claim, unit, person),
    };
  });
  const rank = (line: ClaimLine) => (line.ended ? 2 : line.own ? 0 : 1);
  return lines.sort((a, b) => rank(a) - rank(b) || a.id - b.id);
}

interface PageParts {
  rows: Rows;
  job: JobFacts;
  unit: Unit;
  person: SignedIn;
  moment: CardMoment;
  names: NamesForCards;
  dayOf(at: Date): Day;
}

/** What a person may do with the job itself. */
function jobActs(
  { job, unit, person }: PageParts,
  revision: { letter: string; state: string } | null,
  ready: boolean,
) {
  const actor = { personId: person.id, role: person.role };
  const shop = person.role !== 'maker';
  const works = !mayWorkOn(job, actor);
  const { open } = quantitiesOf(job);
  const claimable =
    job.kind === 'fabricate' &&
    open > 0 &&
    job.offeredAt !== null &&
    !job.heldAt &&
    !job.droppedAt &&
    revision?.state === 'released';
  return {
    edit: shop && !mayChange(job),
    offer: shop && !mayOffer(job, revision),
    withdraw: shop && !mayWithdraw(job, unit),
    claim: claimable && person.role !== 'crew',
    hold: shop && !mayHold(job),
    resume: shop && !mayResume(job),
    drop: shop && !mayDrop(job, unit),
    start: works && !mayStartJob(job),
    finish: works && !mayFinish(job, ready, true),
    order: shop && !mayOrder(job, null, ''),
    receive: shop && !mayReceive(job),
    link: shop && !isOver(stageOf(job, ready)),
    ask: !mayAsk(job, actor) && !job.finishedAt,
    answer: shop,
    'approve-first': person.role === 'lead' && !mayApproveFirstPiece(job, unit),
  };
}

/** The first piece of a job that asks for one: how far it is, and by whom and what it was approved. */
async function firstPieceLine({ db }: JobPageSources, { job, unit, rows, dayOf, moment }: PageParts) {
  const state = firstPieceState(job, unit);
  if (state === null) return null;
  const by =
    rows.firstApprovedById === null
      ? null
      : await db.read.person.findUnique({
          where: { id: rows.firstApprovedById },
          select: { name: true },
        });
  return {
    state,
    words: FIRST_PIECE_WORDS[state],
    approved: rows.firstApprovedAt && {
      on: dayWords(dayOf(rows.firstApprovedAt), moment.today),
      by: by?.name ?? '',
      what: rows.firstApproval,
    },
  };
}

/** The revisions a person works to on this job: the job's own, and those of claims made to another. */
async function sheetsFor({ db }: JobPageSources, { job, person }: PageParts): Promise<Sheet[]> {
  const seen = job.claims.filter(
    (claim) => netOf(claim) > 0 && (person.role !== 'maker' || claim.personId === person.id),
  );
  const ids = [...new Set([...seen.map(({ revisionId }) => revisionId), job.revisionId])]
    .filter((id): id is number => id !== null)
    .sort((a, b) => b - a);
  const sheets: Sheet[] = [];
  for (const id of ids) {
    const sheet = await readSheet(db, id, person);
    if (sheet) sheets.push(sheet);
  }
  return sheets;
}

const LINK_WORDS: Record<string, string> = {
  FS: 'begins when it is finished',
  SS: 'begins when it begins',
  FF: 'finishes when it is finished',
  SF: 'finishes when it begins',
};

/** A link by hand in words: which job, which way, and how many working days between. */
function linkLines(rows: Rows) {
  const lagWords = (lag: number) =>
    lag === 0
      ? ''
      : `${Math.abs(lag)} working ${Math.abs(lag) === 1 ? 'day' : 'days'} ${lag > 0 ? 'later' : 'earlier'}`;
  const line = (link: { id: number; type: string; lag: number }, other: { id: number; title: string }) => ({
    id: link.id,
    number: other.id,
    title: other.title,
    href: `/jobs/${other.id}`,
    words: LINK_WORDS[link.type] ?? link.type,
    lag: lagWords(link.lag),
  });
  return {
    waitsFor: rows.notes.map((link) => line(link, link.from)),
    waitedBy: rows.links.map((link) => line(link, link.to)),
  };
}

/** Who ordered of whom: the supplier named in the newest order, which only the log keeps. */
async function supplierOf(read: Database['read'], rows: Rows): Promise<string> {
  const row = await read.act.findFirst({
    where: { jobId: rows.id, kind: 'order-purchase' },
    orderBy: { id: 'desc' },
    select: { after: true },
  });
  const after: unknown = row?.after ? JSON.parse(row.after) : null;
  const named = typeof after === 'object' && after !== null && 'supplier' in after ? after.supplier : null;
  return typeof named === 'string' ? named : (rows.part?.supplier ?? '');
}

/** Everything the route card of a job shows to a person, as plain values. @throws NotFound */
export async function readJobPage(sources: JobPageSources, jobId: number, person: SignedIn) {
  const { db, times } = sources;
  const { read } = db;
  const job = found(sources.facts(jobId), `There is no job ${jobId}.`);
  const rows = await readRows(read, jobId);
  const build = await read.build.findUniqueOrThrow({ where: { id: 1 } });
  const moment = sources.moment();
  const names = sources.names();
  const unit = names.unitOf(job);
  const dayOf = (at: Date) => dayIn(build.timeZone, at);
  const parts: PageParts = { rows, job, unit, person, moment, names, dayOf };
  const cardNames = names.of(job);
  const time = times.of(jobId);
  const ready = time?.ready ?? true;
  const stage = stageOf(job, ready);
  const over = isOver(stage);
  const words = (at: Date | null) => at && dayWords(dayOf(at), moment.today);
  const sheets = await sheetsFor(sources, parts);
  const letters = new Map(sheets.map(({ id, letter }) => [id, letter]));
  const claims = claimLines(parts, letters);
  const at = quantitiesOf(job);
  const isLead = person.role === 'lead';
  const mine = job.claims.filter(({ personId }) => personId === person.id);
  const postsTo = person.role === 'maker' && mine.some((claim) => withMakerOf(claim) > 0);
  const parents = rows.part
    ? await read.use.findMany({
        where: { childId: rows.part.id, parent: { removedAt: null } },
        include: { parent: { select: { number: true, name: true } } },
        orderBy: { parent: { numberKey: 'asc' } },
      })
    : [];
  const gathering = rows.gatheringId
    ? await read.gathering.findUnique({ where: { id: rows.gatheringId } })
    : null;
  const followers = await read.job.findMany({
    where: { fromJobId: jobId },
    select: { id: true, title: true, fromReason: true, milli: true },
    orderBy: { id: 'asc' },
  });
  const noticed = job.claims.filter((claim) => isLead || claim.personId === person.id).map(({ id }) => id);
  const supplier = job.kind === 'purchase' ? await supplierOf(read, rows) : '';
  return {
    number: jobId,
    title: job.title,
    kind: job.kind,
    kindWords: KIND_WORDS[job.kind],
    stage,
    over,
    card: jobCard(job, cardNames, time, { personId: person.id, role: person.role }, moment),
    part: rows.part && { number: rows.part.number, name: rows.part.name, href: partPath(rows.part.number) },
    revision: cardNames.revision,
    quantity: quantityTextOf(job, unit),
    unitName: unit === 'piece' ? 'pieces' : unit,
    unitCounts: job.kind === 'fabricate' ? unitCountsOf(at, unit) : [],
    unitWords: job.kind === 'fabricate' ? unitWordsOf(at, unit) : '',
    openQuantity: plainQuantity(at.open),
    openWords: say(at.open, unit),
    toCome: plainQuantity(job.milli),
    time: over ? null : timeWords(job.kind, time, moment.today),
    ready,
    wantedOn: job.wantedOn,
    goesInto: parents.map(({ parent }) => ({ ...parent, href: partPath(parent.number) })),
    note: rows.note,
    firstPiece: await firstPieceLine(sources, parts),
    strangers: job.strangers,
    offered: job.offeredAt !== null,
    hours: job.hours,
    days: job.days,
    spot: job.spot,
    personName: job.kind !== 'fabricate' && job.personId ? names.nameOf(job.personId) : '',
    gathering: gathering && {
      title: gathering.title,
      fromOn: gathering.fromOn,
      href: `/gatherings/${gathering.id}`,
    },
    from: rows.fromJobId
      ? { number: rows.fromJobId, href: `/jobs/${rows.fromJobId}`, reason: rows.fromReason }
      : null,
    followers: followers.map(({ id, title, fromReason, milli }) => ({
      number: id,
      href: `/jobs/${id}`,
      title,
      reason: fromReason,
      quantity: say(milli, unit),
    })),
    held: job.heldAt && !over ? { since: words(rows.heldAt), reason: rows.holdReason } : null,
    dropped: job.droppedAt ? { on: words(rows.droppedAt), reason: rows.dropReason } : null,
    startedOn: words(rows.startedAt),
    finished: job.finishedAt ? { on: words(rows.finishedAt), result: rows.result } : null,
    ordered: job.orderedAt ? { on: words(rows.orderedAt), promisedOn: job.promisedOn } : null,
    supplier,
    sheets,
    claims,
    queries: rows.queries.map((query) => ({
      id: query.id,
      who: query.askedById ? names.nameOf(query.askedById) : 'Somebody',
      when: words(query.askedAt),
      question: query.question,
      answer: query.answer,
      answeredBy: query.answeredById ? names.nameOf(query.answeredById) : '',
      answeredOn: words(query.answeredAt),
    })),
    notices: await openNotices(db, { claimIds: noticed }),
    links: linkLines(rows),
    may: jobActs(parts, cardNames.revision, ready),
    postTo: postsTo ? { address: build.postAddress, contact: build.postContact } : null,
    history: historyLines(readLog(db, { jobId }, { limit: HISTORY_ROWS }), build.timeZone).map((line) => ({
      ...line,
      href: null,
      what: line.what.replace(`job ${jobId}, ${job.title}`, 'this job'),
    })),
    allHistory: person.role === 'maker' ? '' : `/log?job=${jobId}`,
  };
}

export type JobPage = Awaited<ReturnType<typeof readJobPage>>;
