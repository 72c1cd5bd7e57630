import {
  type FactsReader,
  FIRST_PIECE_WORDS,
  firstPieceState,
  type JobFacts,
  madeOf,
  postableOf,
} from '../jobs/index.ts';
import { partPath, type Unit } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { say, unitOf } from './say.ts';

/** Finished units of a claim that can be posted. */
export interface ToPost {
  claimId: number;
  makerId: number;
  jobId: number;
  title: string;
  jobHref: string;
  part: { number: string; href: string } | null;
  unit: Unit;
  unitWord: string;
  /** in words */
  made: string;
  /** what of it may be posted now, as typed into a box */
  figure: string;
  /** why that is not all of it; empty where it is */
  firstPiece: string;
}

/** What a parcel's form shows: views/shared/post-parcel.njk. */
export interface PostParcel {
  /** for whom it is written down, where the person is not the maker; else null */
  maker: { id: number; name: string } | null;
  lines: ToPost[];
  /** where the build takes its post */
  address: string;
  contact: string;
}

/** Claims with finished units that are with their maker: of the jobs, or of all; of one maker, or of everybody. */
export function toPost(
  { hot }: Pick<Database, 'hot'>,
  jobs: readonly JobFacts[],
  makerId: number | null,
): ToPost[] {
  const part = hot.prepare<[number], { number: string; unit: string }>(
    'SELECT number, unit FROM Part WHERE id = ?',
  );
  return jobs
    .filter(({ droppedAt }) => !droppedAt)
    .flatMap((job) =>
      job.claims
        .filter((claim) => (makerId === null || claim.personId === makerId) && madeOf(claim) > 0)
        .flatMap((claim): ToPost[] => {
          const row = job.partId === null ? undefined : part.get(job.partId);
          const unit = unitOf(row?.unit);
          const state = firstPieceState(job, unit);
          const postable = postableOf(job, claim, unit);
          if (postable === 0) return [];
          return [
            {
              claimId: claim.id,
              makerId: claim.personId,
              jobId: job.id,
              title: job.title,
              jobHref: `/jobs/${job.id}`,
              part: row ? { number: row.number, href: partPath(row.number) } : null,
              unit,
              unitWord: unit === 'piece' ? 'pieces' : unit,
              made: say(madeOf(claim), unit),
              figure: String(postable / 1000),
              firstPiece: state === 'made' ? FIRST_PIECE_WORDS.made : '',
            },
          ];
        }),
    );
}

/** What a maker has finished and may not post yet: the first piece of its job is not approved. */
export interface HeldBack {
  jobId: number;
  title: string;
  sentence: string;
}

/** Jobs with finished units of this maker that wait for the first piece. */
export function heldBack(jobs: readonly JobFacts[], makerId: number): HeldBack[] {
  return jobs.flatMap((job) => {
    // Only what is counted by the piece has a first one: jobs of other units are told apart where they are posted.
    const state = job.droppedAt ? null : firstPieceState(job, 'piece');
    if (state !== 'in the post' && state !== 'here') return [];
    const waits = job.claims.some((claim) => claim.personId === makerId && madeOf(claim) > 0);
    return waits ? [{ jobId: job.id, title: job.title, sentence: FIRST_PIECE_WORDS[state] }] : [];
  });
}

/**
 * The form of a parcel from one maker.
 *
 * @returns  null when they have nothing to post: the build's address is for makers with something to send
 */
export async function readPostParcel(
  db: Pick<Database, 'read' | 'hot'>,
  facts: Pick<FactsReader, 'all'>,
  makerId: number,
  personId: number,
): Promise<PostParcel | null> {
  const lines = toPost(db, facts.all(), makerId);
  if (lines.length === 0) return null;
  return { lines, ...(await postFrame(db, makerId, personId)) };
}

/** What a parcel's form says beside its lines. */
export async function postFrame(
  { read }: Pick<Database, 'read'>,
  makerId: number,
  personId: number,
): Promise<Omit<PostParcel, 'lines'>> {
  const build = await read.build.findUniqueOrThrow({
    where: { id: 1 },
    select: { postAddress: true, postContact: true },
  });
  const maker =
    makerId === personId
      ? null
      : await read.person.findUnique({ where: { id: makerId }, select: { id: true, name: true } });
  return { maker, address: build.postAddress, contact: build.postContact };
}
