import type { Act } from '../platform/acts.ts';
import { found, refuse } from '../platform/refusal.ts';
import { andList } from './import-match.ts';
import type { Part } from './part.ts';
import { parentsOf, readPart, structureInAct } from './store.ts';
import { StructureLoop } from './structure-graph.ts';
import { activePart } from './uses.ts';

/** A job that still goes on. */
export interface OpenJob {
  id: number;
  title: string;
}

/**
 * Takes a part out of the build. It is only marked: its number stays given, its history and its lines are kept.
 *
 * @param openJobs  the jobs of a part that still go on
 * @throws Refused  part-used: it goes into other parts, which are named; part-has-jobs: likewise
 */
export async function removePart(
  act: Act,
  partId: number,
  openJobs: (partId: number) => readonly OpenJob[],
): Promise<Part> {
  const part = await activePart(act.tx, partId);
  const parents = await parentsOf(act.tx, part.id);
  if (parents.length > 0) {
    const named = andList(parents.map(({ number }) => number));
    refuse('part-used', `${part.number} goes into ${named}: take it out there first.`);
  }
  const jobs = openJobs(part.id);
  if (jobs.length > 0) {
    const named = andList(jobs.map(({ id, title }) => `${id} (${title})`));
    refuse('part-has-jobs', `${jobs.length === 1 ? 'Job' : 'Jobs'} ${named} of ${part.number} still go on.`);
  }
  await act.tx.part.update({ where: { id: part.id }, data: { removedAt: act.at } });
  await act.log({ kind: 'remove-part', partId: part.id, before: { number: part.number, name: part.name } });
  return part;
}

/**
 * Puts a part back that was taken out, with the lines to parts that are there.
 *
 * @throws NotFound  there is no such part
 * @throws Refused   not-removed; loop: what was put together since would close one with it, which is named
 */
export async function restorePart(act: Act, partId: number): Promise<Part> {
  const { tx } = act;
  const part = found(await readPart(tx, partId), 'There is no such part.');
  if (!part.removedAt) refuse('not-removed', `${part.number} is in the build.`);
  try {
    await structureInAct(tx, part.id);
  } catch (fault) {
    if (!(fault instanceof StructureLoop)) throw fault;
    const parts = await tx.part.findMany({
      where: { id: { in: [...fault.loop] } },
      select: { id: true, number: true },
    });
    const way = [...fault.loop, fault.loop[0]].map((id) => parts.find((one) => one.id === id)?.number);
    refuse(
      'loop',
      `${part.number} cannot come back: with its lines the structure would close a loop, ${way.join(' > ')}.`,
    );
  }
  await tx.part.update({ where: { id: part.id }, data: { removedAt: null } });
  await act.log({ kind: 'restore-part', partId: part.id, after: { number: part.number, name: part.name } });
  return { ...part, removedAt: null };
}
