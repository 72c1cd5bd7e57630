import { releaseRevision, startRevision } from '../drawings/index.ts';
import type { Act } from '../platform/acts.ts';
import { orRefuse, Refused, refuse, WrongField } from '../platform/refusal.ts';
import { readRedesign } from './open-redesign.ts';
import { mayRelease, mayWorkOnRedesign } from './redesign-rules.ts';

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
  const touched = parts.map((part) => {
    const row = redesign.parts.find(({ partId }) => partId === part.id)!;
    return {
      ...part,
      rowId: row.id,
      revision: revisions.find(({ id }) => id === row.revisionId) ?? null,
      draft: revisions.find(({ partId, state }) => partId === part.id && state === 'draft') ?? null,
    };
  });
  return { redesign, touched };
}

/**
 * Begins new revisions of the parts a redesign touches: drafts copied from the present revisions. A draft of the part
 * that is open already is taken for it. After a release this begins the next round, and the redesign is under way again.
 *
 * @param input.partIds  of which of its parts; of each that has no draft yet, where not given
 * @throws Refused       nothing to begin; a part can't have another revision: then none is begun
 */
export async function startRedesignRevisions(
  act: Act,
  { redesignId, partIds }: { redesignId: number; partIds?: readonly number[] },
): Promise<BegunRevision[]> {
  const { redesign, touched } = await readTouched(act, redesignId);
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
}

/**
 * Releases all drafts of a redesign as one act: when one of them can't be released, none is, and every hindrance is
 * told at once.
 */
export async function releaseRedesign(
  act: Act,
  { redesignId }: { redesignId: number },
): Promise<ReleasedRedesign> {
  const { redesign, touched } = await readTouched(act, redesignId);
  orRefuse(mayRelease(redesign, touched));
  const done: ReleasedRedesign = { revisions: 0, notices: 0, oldUnits: 0 };
  const hindrances: string[] = [];
  for (const { number, revision } of touched) {
    if (revision?.state !== 'draft') continue;
    try {
      const released = await releaseRevision(act, { revisionId: revision.id });
      done.revisions += 1;
      done.notices += released.notices;
      done.oldUnits += released.oldUnits;
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
  return done;
}
