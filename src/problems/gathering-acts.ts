import type { Act } from '../platform/acts.ts';
import type { Tx } from '../platform/database.ts';
import type { Day } from '../platform/day.ts';
import { found, orRefuse, refuse, WrongField } from '../platform/refusal.ts';
import { calledOff, daysFit, gatheringOver, mayCome, maySpeakFor } from './gathering-rules.ts';
import { checkSeen, differences } from './store.ts';

export interface PlannedGathering {
  title: string;
  fromOn: Day;
  untilOn: Day;
  /** told to those who come and to the shop; never in the log */
  place?: string;
  places: number;
  note?: string;
}

/** A gathering, called off ones too. @throws NotFound */
export async function readGathering(tx: Pick<Tx, 'gathering'>, gatheringId: number) {
  return found(
    await tx.gathering.findUnique({ where: { id: gatheringId } }),
    `There is no gathering ${gatheringId}.`,
  );
}

/** Who comes: said so, and still has an account. */
export function comersOf(reader: Pick<Tx, 'comer' | 'person'>, gatheringId: number) {
  return reader.comer
    .findMany({ where: { gatheringId, cancelledAt: null }, orderBy: { id: 'asc' } })
    .then(async (comers) => {
      const people = await reader.person.findMany({
        where: { id: { in: comers.map(({ personId }) => personId) }, deactivatedAt: null, forgottenAt: null },
        select: { id: true, name: true, role: true, country: true },
      });
      const byId = new Map(people.map((person) => [person.id, person]));
      return comers.flatMap(({ skills, personId }) => {
        const person = byId.get(personId);
        return person ? [{ ...person, skills }] : [];
      });
    });
}

/**
 * Plans a gathering at the machine.
 *
 * @returns its id
 */
export async function planGathering(act: Act, input: PlannedGathering): Promise<number> {
  const { title, fromOn, untilOn, places } = input;
  const wrong = daysFit(fromOn, untilOn, act.today);
  if (wrong) throw new WrongField(wrong.field, wrong.sentence);
  const { id } = await act.tx.gathering.create({
    data: {
      title,
      fromOn,
      untilOn,
      places,
      place: input.place ?? '',
      note: input.note ?? '',
      createdAt: act.at,
    },
  });
  await act.log({
    kind: 'plan-gathering',
    thing: { type: 'gathering', id },
    after: { title, fromOn, untilOn, places },
  });
  return id;
}

/** Changes a gathering that is ahead or under way. Places can't go below those who come. */
export async function changeGathering(
  act: Act,
  { gatheringId, seen, ...change }: PlannedGathering & { gatheringId: number; seen?: number },
): Promise<void> {
  const gathering = await readGathering(act.tx, gatheringId);
  orRefuse(calledOff(gathering));
  await checkSeen(act, 'gathering', gatheringId, seen);
  const { title, fromOn, untilOn, places } = change;
  const daysStay = fromOn === gathering.fromOn && untilOn === gathering.untilOn;
  const wrong = daysStay ? null : daysFit(fromOn, untilOn, act.today);
  if (wrong) throw new WrongField(wrong.field, wrong.sentence);
  const { length: coming } = await comersOf(act.tx, gatheringId);
  if (places < coming) throw new WrongField('places', `${coming} come already: not fewer places than that.`);
  const place = change.place ?? gathering.place;
  const note = change.note ?? gathering.note;
  const { title: oldTitle, fromOn: oldFrom, untilOn: oldUntil, places: oldPlaces } = gathering;
  const { before, after } = differences(
    { title: oldTitle, fromOn: oldFrom, untilOn: oldUntil, places: oldPlaces },
    { title, fromOn, untilOn, places },
  );
  await act.tx.gathering.update({
    where: { id: gatheringId },
    data: { title, fromOn, untilOn, places, place, note },
  });
  await act.log({
    kind: 'change-gathering',
    thing: { type: 'gathering', id: gatheringId },
    before,
    after: { ...after, title, ...(place === gathering.place ? {} : { placeChanged: true }) },
  });
}

/** Moves a gathering to other days; all else of it stays. */
export async function moveGathering(
  act: Act,
  { gatheringId, fromOn, untilOn }: { gatheringId: number; fromOn: Day; untilOn: Day },
): Promise<void> {
  const { title, places } = await readGathering(act.tx, gatheringId);
  await changeGathering(act, { gatheringId, title, places, fromOn, untilOn });
}

/** Calls a gathering off. Jobs and decisions kept for it stay, and need another date. */
export async function dropGathering(
  act: Act,
  { gatheringId, reason = '' }: { gatheringId: number; reason?: string },
): Promise<void> {
  const gathering = await readGathering(act.tx, gatheringId);
  orRefuse(calledOff(gathering));
  if (gatheringOver(gathering, act.today)) refuse('gathering-over', `${gathering.title} is over.`);
  await act.tx.gathering.update({ where: { id: gatheringId }, data: { droppedAt: act.at } });
  await act.log({
    kind: 'drop-gathering',
    thing: { type: 'gathering', id: gatheringId },
    after: { title: gathering.title, reason },
  });
}

/** Whom the log names beside who did it: nobody where somebody speaks for themselves. */
const about = (act: Act, personId: number) => (act.actor.personId === personId ? null : personId);

/**
 * A person says that they come, for themselves or by the lead, and what they are good at. Saying it again changes that.
 * Places are counted in the same transaction: of two who take the last one, exactly one gets it.
 */
export async function comeToGathering(
  act: Act,
  { gatheringId, personId, skills = '' }: { gatheringId: number; personId: number; skills?: string },
): Promise<void> {
  orRefuse(maySpeakFor(act.actor, personId));
  const gathering = await readGathering(act.tx, gatheringId);
  const person = await act.tx.person.findUnique({ where: { id: personId } });
  if (!person || person.deactivatedAt || person.forgottenAt) {
    throw new WrongField('personId', 'There is no such person here.');
  }
  const others = (await comersOf(act.tx, gatheringId)).filter(({ id }) => id !== personId);
  orRefuse(mayCome(gathering, others.length, act.today));
  const key = { gatheringId_personId: { gatheringId, personId } };
  await act.tx.comer.upsert({
    where: key,
    create: { gatheringId, personId, skills },
    update: { skills, cancelledAt: null },
  });
  await act.log({
    kind: 'come-to-gathering',
    aboutId: about(act, personId),
    thing: { type: 'gathering', id: gatheringId },
    after: { title: gathering.title, coming: others.length + 1 },
  });
}

/** A person says that they don't come after all, for themselves or by the lead; the place is free again. */
export async function leaveGathering(
  act: Act,
  { gatheringId, personId }: { gatheringId: number; personId: number },
): Promise<void> {
  orRefuse(maySpeakFor(act.actor, personId));
  const gathering = await readGathering(act.tx, gatheringId);
  orRefuse(calledOff(gathering));
  if (gatheringOver(gathering, act.today)) refuse('gathering-over', `${gathering.title} is over.`);
  const { count } = await act.tx.comer.updateMany({
    where: { gatheringId, personId, cancelledAt: null },
    data: { cancelledAt: act.at, skills: '' },
  });
  if (count === 0) refuse('not-coming', 'Nobody of this name is on the list.');
  await act.log({
    kind: 'leave-gathering',
    aboutId: about(act, personId),
    thing: { type: 'gathering', id: gatheringId },
    after: { title: gathering.title },
  });
}
