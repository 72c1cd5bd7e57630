import type { Act } from '../platform/acts.ts';
import { orRefuse, refuse, WrongField } from '../platform/refusal.ts';
import { readRedesign } from './open-redesign.ts';
import { isPending } from './problem-rules.ts';
import { isEarly, mayClose, mayWorkOnRedesign } from './redesign-rules.ts';
import { lastChange } from './store.ts';

/**
 * Closes a redesign: the trial named for it passed, and so its problems are cured, and what was merged into them.
 *
 * @param input.reason  why the trial counts though it was made before the release; wanted where it was
 * @param input.seen    the newest change that whoever closes it saw (lastChange): what was gathered since is not cured unseen
 * @returns             how many problems are cured by it
 * @throws Refused      not released; no trial named, made and passed; changed meanwhile
 * @throws WrongField   reason: the trial was early, and nobody said why it counts
 */
export async function closeRedesign(
  act: Act,
  { redesignId, reason = '', seen }: { redesignId: number; reason?: string; seen?: number },
): Promise<number> {
  const { tx } = act;
  const redesign = await readRedesign(tx, redesignId);
  const trial = redesign.trialId ? await tx.trial.findUnique({ where: { id: redesign.trialId } }) : null;
  orRefuse(mayClose(redesign, redesign.parts.length, trial));
  if (seen !== undefined && seen !== (await lastChange(tx, 'redesign', redesignId))) {
    refuse(
      'changed-meanwhile',
      'Somebody changed this redesign while you were at it: look at it, then close it.',
    );
  }
  const early = trial !== null && isEarly(redesign, trial);
  if (early && reason === '') {
    throw new WrongField(
      'reason',
      'The trial was made before this: say why it counts all the same, or plan another trial.',
    );
  }
  const cured = redesign.problems.filter(isPending);
  for (const problem of cured) {
    await tx.problem.update({ where: { id: problem.id }, data: { curedAt: act.at } });
    await act.log({
      kind: 'cure-problem',
      partId: problem.partId,
      jobId: problem.jobId,
      thing: { type: 'problem', id: problem.id },
      after: { title: problem.title, redesignId, trialId: redesign.trialId },
    });
  }
  await tx.redesign.update({ where: { id: redesignId }, data: { closedAt: act.at } });
  await act.log({
    kind: 'close-redesign',
    thing: { type: 'redesign', id: redesignId },
    after: {
      title: redesign.title,
      cured: cured.map(({ id }) => id),
      trialId: redesign.trialId,
      ...(early ? { early, reason } : {}),
    },
  });
  return cured.length;
}

/** Gives a redesign up: its problems are open again, drafts begun for it stay drafts of their parts. */
export async function dropRedesign(
  act: Act,
  { redesignId, reason }: { redesignId: number; reason: string },
): Promise<void> {
  const { tx } = act;
  const redesign = await readRedesign(tx, redesignId);
  orRefuse(mayWorkOnRedesign(redesign));
  await tx.problem.updateMany({ where: { redesignId }, data: { redesignId: null } });
  await tx.redesign.update({ where: { id: redesignId }, data: { droppedAt: act.at } });
  await act.log({
    kind: 'drop-redesign',
    thing: { type: 'redesign', id: redesignId },
    before: { problems: redesign.problems.map(({ id }) => id) },
    after: { title: redesign.title, reason },
  });
}
