import {
  type CardMoment,
  type FactsReader,
  type JobFacts,
  type JobTimes,
  type NamesForCards,
  netOf,
  promiseWords,
  quantityTextOf,
  readSheet,
  say,
  timeWords,
} from '../jobs/index.ts';
import type { Database } from '../platform/database.ts';
import { dayIn, dayWords } from '../platform/day.ts';
import type { FileStore } from '../platform/files.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { found, refuse } from '../platform/refusal.ts';
import type { PackedFile } from './pack.ts';
import type { RouteCard } from './route-card.ts';
import { stampText } from './stamp.ts';
import { stopWords } from './stamp-page.ts';

/** What a route card on paper is read from. */
export interface PaperSources {
  db: Pick<Database, 'read' | 'hot'>;
  files: Pick<FileStore, 'pathOf'>;
  facts: FactsReader;
  names(): NamesForCards;
  moment(): CardMoment;
  times: JobTimes;
  now(): Date;
  baseUrl: string;
  secret: string;
}

/** A route card ready to be drawn, with the files of exactly its revision. */
export interface ReadCard {
  card: RouteCard;
  packed: PackedFile[];
  /** of the maker it is for: the paper follows from it */
  country: string;
}

/** The claims of one person on a job that still are any. */
function claimsOf(job: JobFacts, personId: number) {
  return job.claims.filter((claim) => claim.personId === personId && netOf(claim) > 0);
}

/** The revision somebody works to on a job: that of their newest claim, or the job's own. */
export function revisionFor(job: JobFacts, personId: number): number | null {
  const claims = claimsOf(job, personId);
  return claims.at(-1)?.revisionId ?? job.revisionId;
}

/**
 * Everything the printed route card of a job says to one maker, in that maker's unit.
 *
 * The posting address is on it only where the person has a claim on the job.
 *
 * @param forPerson  whom it is for: a maker, or the shop itself
 * @throws NotFound  no such job
 * @throws Refused   there is nothing to make, or no revision that this person may see
 */
export async function readRouteCard(
  sources: PaperSources,
  jobId: number,
  forPerson: SignedIn & { country: string },
): Promise<ReadCard> {
  const { db, facts, times, now, files } = sources;
  const job = found(facts.one(jobId), `There is no job ${jobId}.`);
  if (job.kind !== 'fabricate') refuse('nothing-to-make', `Job ${jobId} is not work for a maker.`);
  const revisionId = revisionFor(job, forPerson.id);
  const sheet = revisionId === null ? null : await readSheet(db, revisionId, forPerson);
  if (!sheet) return refuse('no-drawing', 'The drawing is not released yet: there is nothing to pack.');
  const row = found(
    await db.read.job.findUnique({
      where: { id: jobId },
      include: {
        part: { select: { number: true, name: true } },
        queries: { where: { NOT: { answer: null } }, orderBy: { id: 'asc' } },
      },
    }),
    `There is no job ${jobId}.`,
  );
  const build = await db.read.build.findUniqueOrThrow({ where: { id: 1 } });
  const documents = await db.read.document.findMany({
    where: { revisionId: sheet.id, removedAt: null },
    orderBy: { id: 'asc' },
  });
  const moment = sources.moment();
  const names = sources.names();
  const unit = names.unitOf(job);
  const claims = claimsOf(job, forPerson.id);
  const time = timeWords(job.kind, times.of(jobId), moment.today);
  const on = dayIn(build.timeZone, now());
  const card: RouteCard = {
    build: build.name,
    jobNumber: jobId,
    title: job.title,
    part: row.part ? `${row.part.number} ${row.part.name}` : '',
    letter: sheet.letter,
    state: sheet.state,
    stop: stopWords({ dropped: job.droppedAt !== null, held: job.heldAt !== null }),
    maker: forPerson.role === 'maker' || claims.length > 0 ? forPerson.name : '',
    quantity: quantityTextOf(job, unit),
    claimed: claims
      .map((claim) => `${say(netOf(claim), unit)} claimed, to be posted ${promiseWords(claim, moment)}`)
      .join('; '),
    needBy: time.needByOn ? `${time.label.toLowerCase()} ${dayWords(time.needByOn)}` : '',
    needByWhy: [
      time.why,
      row.wantedOn ? `The lead wants it by ${dayWords(row.wantedOn)}.` : '',
      time.needByOn ? `Worked out on ${dayWords(on)}.` : '',
    ]
      .filter(Boolean)
      .join(' '),
    cells: [
      {
        label: 'Material',
        text: [sheet.material?.name, sheet.materialNote].filter(Boolean).join(', ') || 'not said',
      },
      { label: 'Process', text: sheet.process?.name ?? 'not said' },
      { label: 'General tolerance', text: sheet.generalTolerance || 'none named' },
      ...(sheet.finish ? [{ label: 'Finish', text: sheet.finish }] : []),
    ],
    firstPiece: row.firstPiece && row.firstApprovedAt === null,
    notes: [sheet.notes, row.note].filter(Boolean),
    limits: sheet.limits,
    cautions: sheet.cautions,
    closing: sheet.closing,
    queries: row.queries.map(({ question, answer }) => ({ question, answer: answer ?? '' })),
    postTo: claims.length > 0 ? { address: build.postAddress, contact: build.postContact } : null,
    files: documents.map(({ name, kind, bytes, sha256 }, index) => ({
      name,
      kind,
      size: sheet.documents[index]?.size ?? `${bytes} bytes`,
      sha256,
    })),
    link: `${sources.baseUrl}/packs/${stampText({ jobId, revisionId: sheet.id, on }, sources.secret)}`,
    printedOn: dayWords(on),
  };
  const packed = documents.map(({ name, sha256, bytes, addedAt }) => ({
    name,
    sha256,
    bytes,
    addedAt,
    path: files.pathOf(sha256),
  }));
  return { card, packed, country: forPerson.country };
}
