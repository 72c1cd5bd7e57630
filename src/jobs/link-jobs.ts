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

/**
 * Links two jobs by hand. A loop, with the other links or with what follows from the structure, is refused and named.
 *
 * @returns the link's id
 */
export async function linkJobs(act: Act, { fromId, toId, type, lag }: NewLink): Promise<number> {
  if (fromId === toId) throw new WrongField('other', 'A job cannot wait for itself.');
  const jobs = await act.tx.job.findMany({
    where: { droppedAt: null },
    select: { id: true, kind: true, partId: true },
  });
  for (const id of [fromId, toId]) {
    if (!jobs.some((job) => job.id === id))
      throw new WrongField('other', `There is no job ${id} to link with.`);
  }
  const same = await act.tx.jobLink.findFirst({ where: { fromId, toId, type } });
  if (same) refuse('already-linked', `Job ${toId} waits for job ${fromId} in this way already.`);
  const links = await act.tx.jobLink.findMany({ select: { fromId: true, toId: true } });
  const uses = await act.tx.use.findMany({ select: { parentId: true, childId: true } });
  const loop = loopOf([...links, ...impliedArrows(jobs, uses)], { fromId, toId });
  if (loop) {
    refuse(
      'loop',
      `That would go round in a loop: job ${loop.join(' before ')}. One of them has to wait for none.`,
    );
  }
  const { id } = await act.tx.jobLink.create({ data: { fromId, toId, type, lag } });
  await act.log({
    kind: 'link-jobs',
    jobId: toId,
    thing: { type: 'link', id },
    after: { fromId, toId, type, lag },
  });
  return id;
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
