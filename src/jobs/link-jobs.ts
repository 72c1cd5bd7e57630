import type { Act } from '../platform/acts.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import { impliedArrows, loopOf } from './links.ts';

/** Finish to start, start to start, finish to finish, start to finish. */
export const LINK_TYPES = ['FS', 'SS', 'FF', 'SF'] as const;
export type LinkType = (typeof LINK_TYPES)[number];

export interface NewLink {
  fromId: number;
  toId: number;
  type: LinkType;
  /** working days; below zero the second may begin that much before */
  lag: number;
}

/** The loop, in words, that a link would close through what the schedule derives; null when it closes none. */
export type LoopThrough = (link: NewLink) => readonly string[] | null;

const NO_LOOP: LoopThrough = () => null;

/**
 * Links two jobs by hand. A loop, with the other links, with what follows from the structure or with what the schedule
 * derives, is refused and named.
 *
 * @param loopThrough  asks the schedule, as it stands before this act
 * @returns            the link's id
 */
export async function linkJobs(
  act: Act,
  { fromId, toId, type, lag }: NewLink,
  loopThrough: LoopThrough = NO_LOOP,
): Promise<number> {
  if (fromId === toId) throw new WrongField('other', 'A job cannot wait for itself.');
  const jobs = await act.tx.job.findMany({
    where: { droppedAt: null },
    select: {
      id: true,
      kind: true,
      partId: true,
      finishedAt: true,
      startedAt: true,
      offeredAt: true,
      orderedAt: true,
    },
  });
  for (const id of [fromId, toId]) {
    if (!jobs.some((job) => job.id === id))
      throw new WrongField('other', `There is no job ${id} to link with.`);
  }
  if (jobs.some(({ id, finishedAt }) => id === toId && finishedAt)) {
    refuse('job-over', `Job ${toId} is finished: it waits for nothing any more.`);
  }
  const same = await act.tx.jobLink.findFirst({ where: { fromId, toId, type } });
  if (same) refuse('already-linked', `Job ${toId} waits for job ${fromId} in this way already.`);
  const links = await act.tx.jobLink.findMany({ select: { fromId: true, toId: true } });
  const uses = await act.tx.use.findMany({ select: { parentId: true, childId: true } });
  const open = jobs
    .filter(({ finishedAt }) => !finishedAt)
    .map(({ id, kind, partId, startedAt, offeredAt, orderedAt }) => ({
      id,
      kind,
      partId,
      begun: Boolean(startedAt ?? offeredAt ?? orderedAt),
    }));
  const ids = new Set(open.map(({ id }) => id));
  // Nothing goes round through what is finished or dropped: it waits no more.
  const alive = links.filter((link) => ids.has(link.fromId) && ids.has(link.toId));
  const loop = loopOf([...alive, ...impliedArrows(open, uses)], { fromId, toId });
  if (loop) refuseLoop(`job ${loop.join(' before ')}`);
  const through = loopThrough({ fromId, toId, type, lag });
  if (through) refuseLoop(through.join(' before '));
  const { id } = await act.tx.jobLink.create({ data: { fromId, toId, type, lag } });
  await act.log({
    kind: 'link-jobs',
    jobId: toId,
    thing: { type: 'link', id },
    after: { fromId, toId, type, lag },
  });
  return id;
}

function refuseLoop(loop: string): never {
  refuse('loop', `That would go round in a loop: ${loop}. One of them has to wait for none.`);
}

/** Takes a link by hand away; the log keeps what it was. @returns the job that waited */
export async function unlinkJobs(act: Act, linkId: number): Promise<number> {
  const link = found(
    await act.tx.jobLink.findUnique({ where: { id: linkId } }),
    'This link is gone already.',
  );
  await act.tx.jobLink.delete({ where: { id: linkId } });
  const { id: _id, ...before } = link;
  await act.log({ kind: 'unlink-jobs', jobId: link.toId, thing: { type: 'link', id: linkId }, before });
  return link.toId;
}
