import { releaseRevision, startRevision } from '../drawings/index.ts';
import type { Act } from '../platform/acts.ts';
import { orRefuse, Refused, refuse, WrongField } from '../platform/refusal.ts';
import { readRedesign } from './open-redesign.ts';
import { type DraftElsewhere, mayBegin, mayRelease, mayWorkOnRedesign } from './redesign-rules.ts';

export interface BegunRevision {
  partNumber: string;
  revisionId: number;
  letter: string;
  /** a draft that was open already was taken for it */
  found: boolean;
}

async function readTouched(act: Act, redesignId: number) {
  const redesign = await readRedesign(act.tx, redesignId);
  const parts = await act.tx.part.findMany({
    where: { id: { in: redesign.parts.map(({ partId }) => partId) } },
    orderBy: { numberKey: 'asc' },
    select: { id: true, number: true },
  });
  const revisions = await act.tx.revision.findMany({
    where: { partId: { in: parts.map(({ id }) => id) } },
    select: { id: true, partId: true, letter: true, state: true },
  });
  const others = await act.tx.redesignPart.findMany({
    where: {
      redesignId: { not: redesignId },
      revisionId: { in: revisions.filter(({ state }) => state === 'draft').map(({ id }) => id) },
      redesign: { closedAt: null, droppedAt: null },
    },
    select: { revisionId: true, redesign: { select: { id: true, title: true } } },
  });
  const touched = parts.map((part) => {
    const row = redesign.parts.find(({ partId }) => partId === part.id)!;
    return {
      ...part,
      rowId: row.id,
      revision: revisions.find(({ id }) => id === row.revisionId) ?? null,
      draft: revisions.find(({ partId, state }) => partId === part.id && state === 'draft') ?? null,
    };
  });
  /** the redesign for which the open draft of a part was begun, if that is another one */
  const elsewhere = ({ draft, number }: (typeof touched)[number]): DraftElsewhere[] => {
    const other = draft && others.find(({ revisionId }) => revisionId === draft.id);
    return other ? [{ partNumber: number, letter: draft.letter, redesign: other.redesign }] : [];
  };
  return { redesign, touched, elsewhere };
}

/**
 * Begins new revisions of the parts a redesign touches: drafts copied from the present revisions. A draft of the part
 * that is open already is taken for it, unless another redesign has begun it. After a release this begins the next round, and the redesign is under way again.
 *
 * @param input.partIds  of which of its parts; of each that has no draft yet, where not given
 * @throws Refused       nothing to begin; a part can't have another revision, or is being drawn for another redesign:
 *                       then none is begun
 */
export async function startRedesignRevisions(
  act: Act,
  { redesignId, partIds }: { redesignId: number; partIds?: readonly number[] },
): Promise<BegunRevision[]> {
  const { redesign, touched, elsewhere } = await readTouched(act, redesignId);
  orRefuse(mayWorkOnRedesign(redesign));
  if (touched.length === 0) {
    refuse('no-parts', 'This redesign touches no part yet: name the parts it changes first.');
  }
  if (partIds?.some((id) => !touched.some((part) => part.id === id))) {
    throw new WrongField('partIds', 'Choose from the parts of this redesign.');
  }
  const isOpen = ({ revision }: (typeof touched)[number]) =>
    revision === null ||
    revision.state === 'withdrawn' ||
    (redesign.releasedAt && revision.state !== 'draft');
  const chosen = touched.filter((part) => isOpen(part) && (partIds ? partIds.includes(part.id) : true));
  if (chosen.length === 0) {
    refuse(
      'nothing-to-begin',
      partIds?.length === 0
        ? 'Choose the parts that get a new revision.'
        : 'Each of these parts has its new revision begun already.',
    );
  }
  orRefuse(mayBegin(chosen.flatMap(elsewhere)));
  const begun: BegunRevision[] = [];
  for (const part of chosen) {
    const revision = part.draft ?? (await startRevision(act, { partId: part.id }));
    await act.tx.redesignPart.update({ where: { id: part.rowId }, data: { revisionId: revision.id } });
    begun.push({
      partNumber: part.number,
      revisionId: revision.id,
      letter: revision.letter,
      found: part.draft !== null,
    });
  }
  if (redesign.releasedAt) {
    await act.tx.redesign.update({ where: { id: redesignId }, data: { releasedAt: null } });
  }
  await act.log({
    kind: 'change-redesign',
    thing: { type: 'redesign', id: redesignId },
    after: {
      title: redesign.title,
      begun: begun.map(({ partNumber, letter }) => `${partNumber} ${letter}`),
      ...(redesign.releasedAt ? { again: true } : {}),
    },
  });
  return begun;
}

export interface ReleasedRedesign {
  /** revisions released by this act; those released on their own before are not counted */
  revisions: number;
  /** makers to be told, and lots of accepted units to be decided on */
  notices: number;
  oldUnits: number;
  /** who is told, and of which job; each once */
  told: { personId: number; jobId: number }[];
}

/**
 * Releases all drafts of a redesign as one act: when one of them can't be released, none is, and every hindrance is
 * told at once.
 *
 * @param input.versions  the drafts that the releasing person had before them, by id; where given, one that was changed
 *                        or added meanwhile is a hindrance
 */
export async function releaseRedesign(
  act: Act,
  { redesignId, versions }: { redesignId: number; versions?: ReadonlyMap<number, number> },
): Promise<ReleasedRedesign> {
  const { redesign, touched } = await readTouched(act, redesignId);
  orRefuse(mayRelease(redesign, touched));
  const done = { revisions: 0, notices: 0, oldUnits: 0 };
  const released: number[] = [];
  const hindrances: string[] = [];
  for (const { number, revision } of touched) {
    if (revision?.state !== 'draft') continue;
    try {
      if (versions && !versions.has(revision.id)) {
        refuse(
          'changed-meanwhile',
          `${number} ${revision.letter} was begun while you were at it: look at it first.`,
        );
      }
      const one = await releaseRevision(act, {
        revisionId: revision.id,
        version: versions?.get(revision.id),
      });
      done.revisions += 1;
      done.notices += one.notices;
      done.oldUnits += one.oldUnits;
      released.push(revision.id);
    } catch (fault) {
      if (!(fault instanceof Refused)) throw fault;
      hindrances.push(fault.message.includes(number) ? fault.message : `${number}: ${fault.message}`);
    }
  }
  // Thrown only now, so that all hindrances are told; what was released above is rolled back with it.
  if (hindrances.length > 0) refuse('not-releasable', `Nothing is released. ${hindrances.join(' ')}`);
  await act.tx.redesign.update({ where: { id: redesignId }, data: { releasedAt: act.at } });
  await act.log({
    kind: 'release-redesign',
    thing: { type: 'redesign', id: redesignId },
    after: { title: redesign.title, revisions: done.revisions },
  });
  return { ...done, told: await toldOf(act, released) };
}

/** Whose open claims wait for a word on these revisions. */
async function toldOf({ tx }: Act, revisionIds: readonly number[]): Promise<ReleasedRedesign['told']> {
  const notices = await tx.notice.findMany({
    where: { revisionId: { in: [...revisionIds] }, settledAt: null },
    orderBy: { id: 'asc' },
  });
  const claims = await tx.claim.findMany({
    where: { id: { in: notices.map(({ claimId }) => claimId) } },
    select: { personId: true, jobId: true },
    orderBy: { id: 'asc' },
  });
  const keys = new Set<string>();
  return claims.filter(({ personId, jobId }) => {
    const key = `${personId} ${jobId}`;
    if (keys.has(key)) return false;
    keys.add(key);
    return true;
  });
}
