import type { Act } from '../platform/acts.ts';
import { refuse, WrongField } from '../platform/refusal.ts';
import { checkFields } from './create-part.ts';
import { mayHoldParts, type Part, type PartFields } from './part.ts';
import { countChildren, fieldChanges, type Reader } from './store.ts';
import { activePart } from './uses.ts';

/** Acts after which a part's form does not show any more what is stored. */
const formChanging = ['change-part', 'import-part'];

/**
 * Changes what is known of a part; what is left out stays. The number stays for ever: it stands on drawings and parcels.
 *
 * @param input.seen  the last change that the form knew of (see lastChange); left out, nothing is compared
 * @throws Refused     changed-meanwhile: somebody else changed it since the form was loaded
 * @throws WrongField  unit or kind: it is used, has jobs or holds parts in a way the new one cannot be
 */
export async function changePart(
  act: Act,
  input: { partId: number; fields: Partial<PartFields>; seen?: number },
): Promise<Part> {
  const { tx } = act;
  const part = await activePart(tx, input.partId);
  if (input.seen !== undefined && (await lastChange(tx, part.id)) > input.seen) {
    refuse(
      'changed-meanwhile',
      `${part.number} was changed by somebody while you typed. Below is what you typed; compare it with the part, then send it again.`,
    );
  }
  const fields = { ...pickFields(part), ...input.fields };
  if (fields.unit !== part.unit) await mayChangeUnit(tx, part);
  if (!mayHoldParts(fields.kind) && mayHoldParts(part.kind)) {
    const children = await countChildren(tx, part.id);
    if (children > 0) {
      throw new WrongField(
        'kind',
        `${children} ${children === 1 ? 'part goes' : 'parts go'} into ${part.number}: take them out first.`,
      );
    }
  }
  await checkFields(tx, fields);
  const { before, after } = fieldChanges(part, input.fields);
  if (Object.keys(after).length > 0) await tx.part.update({ where: { id: part.id }, data: after });
  await act.log({ kind: 'change-part', partId: part.id, before, after });
  return { ...part, ...after };
}

/** The last act that changed what a part's form shows; 0 when there was none. */
export async function lastChange(reader: Reader, partId: number): Promise<number> {
  const last = await reader.act.findFirst({
    where: { partId, kind: { in: formChanging } },
    orderBy: { id: 'desc' },
    select: { id: true },
  });
  return last?.id ?? 0;
}

/** Every quantity of a part is told in its unit: with a new unit they would all mean something else. */
async function mayChangeUnit(tx: Reader, part: Part): Promise<void> {
  const uses = await tx.use.count({ where: { childId: part.id } });
  const jobs = await tx.job.count({ where: { partId: part.id } });
  const told = [
    uses > 0 && 'it goes into other parts',
    jobs > 0 && 'it has jobs',
    part.shelfMilli > 0 && 'some of it is on the shelf',
  ].filter((reason) => reason !== false);
  if (told.length === 0) return;
  throw new WrongField(
    'unit',
    `The unit stays, because ${told.join(' and ')}: those quantities are told in it.`,
  );
}

function pickFields(part: Part): PartFields {
  const {
    id: _id,
    number: _number,
    shelfMilli: _shelf,
    listedMilli: _listed,
    createdAt: _at,
    ...rest
  } = part;
  const { removedAt: _removed, ...fields } = rest;
  return fields;
}
