import type { z } from 'zod';
import type { Act } from '../platform/acts.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import type { AwayForm, ToolForm } from './forms.ts';

const MOST_TOOLS = 60;

async function readMaker(act: Act, personId: number) {
  const person = found(
    await act.tx.person.findUnique({ where: { id: personId } }),
    'There is no such maker.',
  );
  if (person.forgottenAt) refuse('forgotten', 'This person has left and is forgotten.');
  return person;
}

/** Adds a tool to a maker's list: what it does, and the largest piece it takes. */
export async function addTool(act: Act, personId: number, input: z.output<typeof ToolForm>): Promise<void> {
  await readMaker(act, personId);
  if (input.processId !== null) {
    const process = await act.tx.process.findUnique({ where: { id: input.processId } });
    if (!process || process.removedAt) throw new WrongField('processId', 'Choose one of the list.');
  }
  const count = await act.tx.tool.count({ where: { personId, removedAt: null } });
  if (count >= MOST_TOOLS)
    refuse('too-many-tools', `At most ${MOST_TOOLS} tools; take one off the list first.`);
  const { id } = await act.tx.tool.create({ data: { ...input, personId } });
  await act.log({ kind: 'add-tool', aboutId: personId, thing: { type: 'tool', id } });
}

export async function removeTool(act: Act, personId: number, toolId: number): Promise<void> {
  const { count } = await act.tx.tool.updateMany({
    where: { id: toolId, personId, removedAt: null },
    data: { removedAt: act.at },
  });
  if (count === 0) refuse('no-such-tool', 'This tool is not on the list any more.');
  await act.log({ kind: 'remove-tool', aboutId: personId, thing: { type: 'tool', id: toolId } });
}

/** Writes down days on which a maker is away: the schedule counts on nothing from them then. */
export async function addAway(act: Act, personId: number, input: z.output<typeof AwayForm>): Promise<void> {
  await readMaker(act, personId);
  const { id } = await act.tx.away.create({ data: { ...input, personId } });
  await act.log({
    kind: 'add-away',
    aboutId: personId,
    thing: { type: 'away', id },
    after: { fromOn: input.fromOn, untilOn: input.untilOn },
  });
}

export async function removeAway(act: Act, personId: number, awayId: number): Promise<void> {
  const { count } = await act.tx.away.updateMany({
    where: { id: awayId, personId, removedAt: null },
    data: { removedAt: act.at },
  });
  if (count === 0) refuse('no-such-days', 'These days are not on the list any more.');
  await act.log({ kind: 'remove-away', aboutId: personId, thing: { type: 'away', id: awayId } });
}
