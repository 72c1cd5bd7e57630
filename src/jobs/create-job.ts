import type { Unit } from '../parts/index.ts';
import type { Act } from '../platform/acts.ts';
import type { Day } from '../platform/day.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import type { JobKind } from './facts.ts';
import { be, say, unitOf } from './say.ts';
import { readJob } from './store.ts';

export interface NewJob {
  kind: JobKind;
  /** may be empty where a part is named: its name is taken */
  title: string;
  partId: number | null;
  /** thousandths of the part's unit; 1000 for work that is done once */
  milli: number;
  note?: string;
  wantedOn?: Day | null;
  hours?: number | null;
  days?: number | null;
  personId?: number | null;
  gatheringId?: number | null;
  /** where at the machine, for kinds of SPOT_KINDS; empty: at its own part */
  spot?: string;
  firstPiece?: boolean;
  strangers?: boolean;
}

/** What kind of part each kind of job is done on; a kind that is not named here may have any part, or none. */
export const PART_KINDS: Partial<Record<JobKind, readonly string[]>> = {
  fabricate: ['made'],
  'fit-up': ['assembly'],
  purchase: ['bought', 'stock'],
  design: ['made', 'assembly'],
};

/** Kinds of job that have a quantity; the others are done once. */
export const COUNTED_KINDS: readonly JobKind[] = ['fabricate', 'purchase', 'fit-up'];

/** Kinds of job done at the machine, one at a time in one spot. */
export const SPOT_KINDS: readonly JobKind[] = ['fit-up', 'trial', 'other'];

const PART_SENTENCES: Partial<Record<JobKind, string>> = {
  fabricate: 'A job for makers is for a made part',
  'fit-up': 'A fit-up joins an assembly',
  purchase: 'A purchase is for a bought or a stock part',
  design: 'A design is for a made part or an assembly',
};

interface JobPart {
  id: number;
  number: string;
  name: string;
  unit: Unit;
}

async function partFor(act: Act, kind: JobKind, partId: number | null): Promise<JobPart | null> {
  const needed = kind === 'fabricate' || kind === 'fit-up';
  if (partId === null) {
    if (needed) throw new WrongField('part', `${PART_SENTENCES[kind]}: name its number.`);
    return null;
  }
  const part = await act.tx.part.findUnique({ where: { id: partId } });
  if (!part || part.removedAt) throw new WrongField('part', 'There is no such part.');
  const kinds = PART_KINDS[kind];
  if (kinds && !kinds.includes(part.kind)) {
    throw new WrongField('part', `${PART_SENTENCES[kind]}; ${part.number} is ${part.kind}.`);
  }
  return { id: part.id, number: part.number, name: part.name, unit: unitOf(part.unit) };
}

/** The revision a new job is made to: the newest released one, or the newest draft where none is released. */
async function revisionFor(act: Act, part: JobPart): Promise<number> {
  const revisions = await act.tx.revision.findMany({
    where: { partId: part.id, state: { in: ['released', 'draft'] } },
    orderBy: { id: 'desc' },
    select: { id: true, state: true },
  });
  const revision = revisions.find(({ state }) => state === 'released') ?? revisions[0];
  if (!revision) {
    throw new WrongField(
      'part',
      `${part.number} has no revision to make it to: begin one on its page first.`,
    );
  }
  return revision.id;
}

/** Checks the person and the gathering a job names. */
export async function checkNamed(
  act: Act,
  { personId, gatheringId }: { personId?: number | null; gatheringId?: number | null },
): Promise<void> {
  if (personId) {
    const person = await act.tx.person.findUnique({ where: { id: personId } });
    if (!person || person.deactivatedAt || person.forgottenAt) {
      throw new WrongField('personId', 'There is no such person here.');
    }
  }
  if (gatheringId) {
    const gathering = await act.tx.gathering.findUnique({ where: { id: gatheringId } });
    if (!gathering || gathering.droppedAt) throw new WrongField('gatheringId', 'There is no such gathering.');
  }
}

/** A spot's name as it is kept: spots of one name are one. */
export function spotAsKept(spot: string): string {
  return spot.trim().replace(/\s+/g, ' ');
}

function checkQuantity(kind: JobKind, milli: number, unit: Unit): void {
  if (!Number.isSafeInteger(milli) || milli <= 0 || (unit === 'piece' && milli % 1000 !== 0)) {
    throw new WrongField('quantity', 'A job is for more than nothing, and pieces are whole.');
  }
  if (!COUNTED_KINDS.includes(kind) && milli !== 1000) {
    throw new WrongField('quantity', 'This kind of work is done once.');
  }
}

/**
 * Makes a job. Its id is its number.
 *
 * @returns the number
 * @throws WrongField  part, title, quantity, personId, gatheringId
 */
export async function createJob(act: Act, input: NewJob): Promise<number> {
  const { kind } = input;
  const part = await partFor(act, kind, input.partId);
  const title = input.title.trim() || part?.name || '';
  if (!title) throw new WrongField('title', 'Say in a few words what is to be done.');
  checkQuantity(kind, input.milli, part?.unit ?? 'piece');
  await checkNamed(act, input);
  const spot = SPOT_KINDS.includes(kind) ? spotAsKept(input.spot ?? '') : '';
  const revisionId = kind === 'fabricate' && part ? await revisionFor(act, part) : null;
  const { id } = await act.tx.job.create({
    data: {
      kind,
      title,
      partId: part?.id ?? null,
      revisionId,
      milli: input.milli,
      note: input.note ?? '',
      wantedOn: input.wantedOn ?? null,
      hours: input.hours ?? null,
      days: input.days ?? null,
      personId: kind === 'fabricate' ? null : (input.personId ?? null),
      gatheringId: input.gatheringId ?? null,
      spot,
      firstPiece: kind === 'fabricate' && (input.firstPiece ?? false),
      strangers: input.strangers ?? true,
      createdAt: act.at,
    },
  });
  await act.log({
    kind: 'create-job',
    partId: part?.id,
    jobId: id,
    milli: input.milli,
    after: { kind, title, ...(spot && { spot }) },
  });
  return id;
}

/**
 * Makes the job that reworks or replaces units of another. It waits unoffered: whether the first maker mends them or
 * another makes new ones is for the lead to say.
 *
 * @param milli  no more than the first job's quantity
 * @returns      the new job's number
 */
export async function followJob(
  act: Act,
  {
    fromJobId,
    reason,
    milli,
    note,
  }: { fromJobId: number; reason: 'rework' | 'replacement'; milli: number; note?: string },
): Promise<number> {
  const from = await readJob(act.tx, fromJobId);
  const { facts, part, unit } = from;
  const partId = found(
    part,
    `Job ${fromJobId} has no part to ${reason === 'rework' ? 'rework' : 'replace'}.`,
  ).id;
  if (facts.kind !== 'fabricate') refuse('not-followed', `Job ${fromJobId} is not made by makers.`);
  if (milli <= 0 || milli > facts.milli) {
    refuse(
      'more-than-job',
      `Job ${fromJobId} is for ${say(facts.milli, unit)}: ${say(milli, unit)} ${be(milli)} not of it.`,
    );
  }
  // Rework stays with the drawing the units were made to; a replacement is made to the newest released one.
  const released = await act.tx.revision.findFirst({
    where: { partId, state: 'released' },
    orderBy: { id: 'desc' },
    select: { id: true },
  });
  const revisionId = reason === 'rework' ? facts.revisionId : (released?.id ?? facts.revisionId);
  const title = facts.title.replace(/^(Rework|Replace): /, '');
  const { id } = await act.tx.job.create({
    data: {
      kind: 'fabricate',
      title: `${reason === 'rework' ? 'Rework' : 'Replace'}: ${title}`.slice(0, 120),
      partId,
      revisionId,
      milli,
      note: note ?? '',
      wantedOn: facts.wantedOn,
      fromJobId,
      fromReason: reason,
      strangers: reason === 'replacement' && facts.strangers,
      createdAt: act.at,
    },
  });
  await act.log({
    kind: 'create-job',
    partId,
    jobId: id,
    milli,
    after: { kind: 'fabricate', title, fromJobId, reason },
  });
  return id;
}
