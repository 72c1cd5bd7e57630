import type { Act } from '../platform/acts.ts';
import type { Tx } from '../platform/database.ts';
import { found, orRefuse, WrongField } from '../platform/refusal.ts';
import { mayGather } from './problem-rules.ts';
import { mayChangeParts, mayWorkOnRedesign } from './redesign-rules.ts';
import { checkSeen, differences, namedPart } from './store.ts';

export interface NewRedesign {
  title: string;
  /** what changes, in words */
  change?: string;
  /** the problems it is to cure; one at least */
  problemIds: readonly number[];
  /** the parts that get new revisions */
  partIds: readonly number[];
  /** the lead's own estimate of the hours at the drawings; none: the usual ones */
  hours?: number | null;
  /** the trial that is to show the cure */
  trialId?: number | null;
}

/** A redesign with its problems and parts as they stand in the transaction. @throws NotFound */
export async function readRedesign(tx: Tx, redesignId: number) {
  return found(
    await tx.redesign.findUnique({
      where: { id: redesignId },
      include: {
        problems: { where: { removedAt: null }, orderBy: { id: 'asc' } },
        parts: { orderBy: { partId: 'asc' } },
      },
    }),
    `There is no redesign ${redesignId}.`,
  );
}

async function checkNamed(act: Act, input: NewRedesign, redesignId: number | null): Promise<void> {
  if (input.problemIds.length === 0) {
    throw new WrongField('problemIds', 'Choose the problems it is to cure: one at least.');
  }
  for (const id of input.problemIds) {
    const problem = await act.tx.problem.findFirst({ where: { id, removedAt: null } });
    if (!problem) throw new WrongField('problemIds', `There is no problem ${id}.`);
    orRefuse(mayGather(problem, redesignId));
  }
  for (const id of input.partIds) await namedPart(act.tx, id, 'parts');
  if (input.trialId && !(await act.tx.trial.findUnique({ where: { id: input.trialId } }))) {
    throw new WrongField('trialId', 'Choose a trial of the list.');
  }
}

/**
 * Opens a redesign: a change that gathers problems and brings new revisions of the parts it touches.
 *
 * @returns its id
 */
export async function openRedesign(act: Act, input: NewRedesign): Promise<number> {
  const problemIds = [...new Set(input.problemIds)];
  const partIds = [...new Set(input.partIds)];
  await checkNamed(act, input, null);
  const { id } = await act.tx.redesign.create({
    data: {
      title: input.title,
      change: input.change ?? '',
      hours: input.hours ?? null,
      trialId: input.trialId ?? null,
      openedAt: act.at,
      openedById: act.actor.personId,
      parts: { create: partIds.map((partId) => ({ partId })) },
    },
  });
  await act.tx.problem.updateMany({ where: { id: { in: problemIds } }, data: { redesignId: id } });
  await act.log({
    kind: 'open-redesign',
    // Told on the part's own page where there is but one.
    partId: partIds.length === 1 ? partIds[0] : null,
    thing: { type: 'redesign', id },
    after: { title: input.title, problems: problemIds, parts: partIds },
  });
  return id;
}

export interface RedesignChange extends Omit<NewRedesign, 'partIds'> {
  redesignId: number;
  /** where not given the parts stay */
  partIds?: readonly number[];
  /** the newest change the editor saw (lastChange) */
  seen?: number;
}

/** Changes what a redesign says, which problems it gathers, which parts it touches, and which trial is to show it. */
export async function changeRedesign(act: Act, change: RedesignChange): Promise<void> {
  const { tx } = act;
  const { redesignId, title } = change;
  const problemIds = [...new Set(change.problemIds)].sort((a, b) => a - b);
  const redesign = await readRedesign(tx, redesignId);
  const present = redesign.parts.map(({ partId }) => partId);
  const partIds = [...new Set(change.partIds ?? present)].sort((a, b) => a - b);
  orRefuse(mayWorkOnRedesign(redesign));
  await checkSeen(act, 'redesign', redesignId, change.seen);
  const old = {
    title: redesign.title,
    change: redesign.change,
    hours: redesign.hours,
    trialId: redesign.trialId,
    problems: redesign.problems.map(({ id }) => id),
    parts: present,
  };
  orRefuse(mayChangeParts(redesign, present, partIds));
  // A part taken out of the build meanwhile may stay in the list, or no other change could be made.
  const partsNew = partIds.filter((id) => !present.includes(id));
  await checkNamed(act, { ...change, problemIds, partIds: partsNew }, redesignId);
  const fields = {
    title,
    change: change.change ?? redesign.change,
    hours: change.hours === undefined ? redesign.hours : change.hours,
    trialId: change.trialId === undefined ? redesign.trialId : change.trialId,
  };
  await tx.redesign.update({ where: { id: redesignId }, data: fields });
  await tx.problem.updateMany({
    where: { redesignId, id: { notIn: problemIds } },
    data: { redesignId: null },
  });
  await tx.problem.updateMany({ where: { id: { in: problemIds } }, data: { redesignId } });
  // A draft begun for a part that leaves stays a draft of that part.
  await tx.redesignPart.deleteMany({ where: { redesignId, partId: { notIn: partIds } } });
  await tx.redesignPart.createMany({ data: partsNew.map((partId) => ({ redesignId, partId })) });
  const { before, after } = differences(old, { ...fields, problems: problemIds, parts: partIds });
  await act.log({
    kind: 'change-redesign',
    thing: { type: 'redesign', id: redesignId },
    before,
    after: { ...after, title },
  });
}
