import type { Act } from '../platform/acts.ts';
import { dayWords } from '../platform/day.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import type { Plan } from './baseline-plan.ts';

const MOST_BASELINES = 100;
/** SQLite takes so many values in one statement; a line has six. */
const LINES_AT_ONCE = 2000;

async function checkName(act: Act, name: string, but: number | null): Promise<void> {
  const kept = await act.tx.baseline.findMany({
    where: { removedAt: null },
    select: { id: true, name: true, day: true },
  });
  const same = kept.find((one) => one.id !== but && one.name.toLowerCase() === name.toLowerCase());
  if (same) {
    throw new WrongField('name', `A plan of ${dayWords(same.day)} is kept by this name: ${same.name}.`);
  }
  if (but === null && kept.length >= MOST_BASELINES) {
    refuse('too-many-baselines', `At most ${MOST_BASELINES} kept plans; take some off the list first.`);
  }
}

/**
 * Keeps the plan as it is with a name: what is expected of every part and job, to compare with later.
 *
 * @param plan  of the schedule as it is in this act's transaction; null when nothing is left to do
 * @returns     the id of the kept plan
 * @throws WrongField  the name is taken
 */
export async function keepBaseline(
  act: Act,
  { name, note = '' }: { name: string; note?: string },
  plan: Plan | null,
): Promise<number> {
  if (!plan) {
    refuse('nothing-to-plan', 'Nothing is left to plan: no part has anything to go and no job is open.');
  }
  await checkName(act, name, null);
  // The simulation may not have seen the last act: its days belong to this plan where they were stored with its finish.
  const stored = await act.tx.finishRecord.findUnique({ where: { day: act.today } });
  const risk = stored?.finishOn === plan.finishOn ? stored : null;
  const { id } = await act.tx.baseline.create({
    data: {
      name,
      note,
      day: act.today,
      finishOn: plan.finishOn,
      at50On: risk?.at50On ?? null,
      at80On: risk?.at80On ?? null,
      at95On: risk?.at95On ?? null,
      createdAt: act.at,
      createdById: act.actor.personId,
    },
  });
  for (let from = 0; from < plan.lines.length; from += LINES_AT_ONCE) {
    await act.tx.baselineLine.createMany({
      data: plan.lines.slice(from, from + LINES_AT_ONCE).map((line) => ({ ...line, baselineId: id })),
    });
  }
  await act.log({
    kind: 'keep-baseline',
    thing: { type: 'baseline', id },
    after: { name, finishOn: plan.finishOn, lines: plan.lines.length },
  });
  return id;
}

async function readBaseline(act: Act, baselineId: number) {
  const baseline = found(
    await act.tx.baseline.findUnique({ where: { id: baselineId } }),
    'There is no such kept plan.',
  );
  if (baseline.removedAt) refuse('removed-already', `${baseline.name} is off the list already.`);
  return baseline;
}

/** Gives a kept plan another name. @throws WrongField  the name is taken */
export async function renameBaseline(act: Act, baselineId: number, name: string): Promise<void> {
  const before = await readBaseline(act, baselineId);
  await checkName(act, name, baselineId);
  await act.tx.baseline.update({ where: { id: baselineId }, data: { name } });
  await act.log({
    kind: 'rename-baseline',
    thing: { type: 'baseline', id: baselineId },
    before: { name: before.name },
    after: { name },
  });
}

/** Takes a kept plan off the list. It stays in the database, marked. */
export async function removeBaseline(act: Act, baselineId: number): Promise<void> {
  const { name, day, finishOn } = await readBaseline(act, baselineId);
  await act.tx.baseline.update({ where: { id: baselineId }, data: { removedAt: act.at } });
  await act.log({
    kind: 'remove-baseline',
    thing: { type: 'baseline', id: baselineId },
    before: { name, day, finishOn },
  });
}
