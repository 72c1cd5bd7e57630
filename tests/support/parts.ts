import { addUse, createPart, type NewPart } from '../../src/parts/index.ts';
import { type Act, perform } from '../../src/platform/acts.ts';
import type { TestApp } from './app.ts';
import { castId } from './cast.ts';

/** Does an act as the lead would, without a form. */
export async function asLead<T>({ context }: TestApp, work: (act: Act) => Promise<T>): Promise<T> {
  const outcome = await perform(context, { actor: { personId: castId.lead, role: 'lead' } }, work);
  if (outcome.repeated) throw new Error('an act without a form is never a repeated one');
  return outcome.result;
}

let count = 0;

/** A made part in pieces, unless said otherwise. */
export async function aPart(
  app: TestApp,
  part: Partial<NewPart> = {},
): Promise<{ id: number; number: string }> {
  count += 1;
  return asLead(app, (act) => createPart(act, { name: `Part ${count}`, kind: 'made', ...part }));
}

/** An assembly with so much of each child in it; a child without an id is made. One piece of each, unless said. */
export async function anAssembly(
  app: TestApp,
  {
    children = [],
    ...part
  }: Partial<NewPart> & { children?: (Partial<NewPart> & { id?: number; milli?: number })[] } = {},
): Promise<{ id: number; number: string; childIds: number[] }> {
  const assembly = await aPart(app, { name: `Assembly ${count + 1}`, kind: 'assembly', ...part });
  const childIds: number[] = [];
  for (const { id, milli = 1000, ...child } of children) {
    const childId = id ?? (await aPart(app, child)).id;
    await asLead(app, (act) => addUse(act, { parentId: assembly.id, childId, milli }));
    childIds.push(childId);
  }
  return { ...assembly, childIds };
}
