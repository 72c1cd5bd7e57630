import type { Tx } from '../platform/database.ts';
import { type Day, daysBetween } from '../platform/day.ts';
import { WrongField } from '../platform/refusal.ts';

/** Where rows may be read: the open transaction of an act, or what is committed (db.read). */
type Reader = Pick<Tx, 'person' | 'comer'>;

/** Days after a gathering on which who came still writes down what they saw there. */
const DAYS_AFTER = 7;

/** Whether a person is, or was until a week ago, at the machine: they come to a gathering of these days. */
export async function isAtMachine(reader: Reader, personId: number, today: Day): Promise<boolean> {
  const comers = await reader.comer.findMany({
    where: { personId, cancelledAt: null, gathering: { droppedAt: null, fromOn: { lte: today } } },
    select: { gathering: { select: { untilOn: true } } },
  });
  return comers.some(({ gathering }) => daysBetween(gathering.untilOn, today) <= DAYS_AFTER);
}

/** People who may be named as having seen something, or as who decides, for the choices of a form. */
export async function peopleChoices(
  reader: Pick<Reader, 'person'>,
  roles: readonly ('lead' | 'crew' | 'maker')[] = ['lead', 'crew', 'maker'],
): Promise<{ value: number; label: string }[]> {
  const people = await reader.person.findMany({
    where: { role: { in: [...roles] }, deactivatedAt: null, forgottenAt: null },
    orderBy: [{ name: 'asc' }, { id: 'asc' }],
    select: { id: true, name: true },
  });
  return people.map(({ id, name }) => ({ value: id, label: name }));
}

/** The id of a person of the list. @throws WrongField  nobody, or somebody who has left */
export async function namedPerson(
  tx: Tx,
  personId: number,
  field: string,
  roles: readonly string[] = ['lead', 'crew', 'maker'],
): Promise<number> {
  const person = await tx.person.findFirst({
    where: { id: personId, role: { in: [...roles] }, deactivatedAt: null, forgottenAt: null },
    select: { id: true },
  });
  if (!person) throw new WrongField(field, 'Choose a person of the list.');
  return person.id;
}
