import type { Act } from '../platform/acts.ts';
import type { Tx } from '../platform/database.ts';
import type { Day } from '../platform/day.ts';
import { found, orRefuse, refuse, WrongField } from '../platform/refusal.ts';
import type { DaysThere } from '../schedule/index.ts';
import { comerFits, hoursFit } from './gathering-days.ts';
import { calledOff, daysFit, gatheringOver, mayCome, maySpeakFor } from './gathering-rules.ts';
import { checkSeen, differences } from './store.ts';

export interface PlannedGathering {
  title: string;
  fromOn: Day;
  untilOn: Day;
  /** told to those who come and to the shop; never in the log */
  place?: string;
  places: number;
  /** when a day begins there, '09:00', and its hours of work */
  beginsAt?: string;
  dayHours?: number;
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
      return comers.flatMap(({ skills, personId, fromOn, untilOn, hours }) => {
        const person = byId.get(personId);
        return person ? [{ ...person, skills, fromOn, untilOn, hours }] : [];
      });
    });
}

/**
 * Plans a gathering at the machine.
 *
 * @returns its id
 */
export async function planGathering(act: Act, input: PlannedGathering): Promise<number> {
  const { title, fromOn, untilOn, places, beginsAt = '09:00', dayHours = 8 } = input;
  const wrong = daysFit(fromOn, untilOn, act.today) ?? hoursFit(beginsAt, dayHours);
  if (wrong) throw new WrongField(wrong.field, wrong.sentence);
  const { id } = await act.tx.gathering.create({
    data: {
      title,
      fromOn,
      untilOn,
      places,
      beginsAt,
      dayHours,
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
  const { beginsAt = gathering.beginsAt, dayHours = gathering.dayHours } = change;
  const daysStay = fromOn === gathering.fromOn && untilOn === gathering.untilOn;
  const wrong = (daysStay ? null : daysFit(fromOn, untilOn, act.today)) ?? hoursFit(beginsAt, dayHours);
  if (wrong) throw new WrongField(wrong.field, wrong.sentence);
  const { length: coming } = await comersOf(act.tx, gatheringId);
  if (places < coming) throw new WrongField('places', `${coming} come already: not fewer places than that.`);
  const place = change.place ?? gathering.place;
  const note = change.note ?? gathering.note;
  const told = { title, fromOn, untilOn, places, beginsAt, dayHours };
  const { before, after } = differences(
    {
      title: gathering.title,
      fromOn: gathering.fromOn,
      untilOn: gathering.untilOn,
      places: gathering.places,
      beginsAt: gathering.beginsAt,
      dayHours: gathering.dayHours,
    },
    told,
  );
  await act.tx.gathering.update({
    where: { id: gatheringId },
    data: { ...told, place, note },
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

/** Who comes, and when: the gathering's days and hours where nothing else is said. */
export interface Coming extends Partial<DaysThere> {
  gatheringId: number;
  personId: number;
  skills?: string;
}

/**
 * A person says that they come, for themselves or by the lead, on which of its days, for how many hours of each, and what
 * they are good at. Saying it again changes that. Places are counted in the same transaction: of two who take the last
 * one, exactly one gets it.
 *
 * @throws WrongField  personId, fromOn, untilOn, hours
 */
export async function comeToGathering(
  act: Act,
  { gatheringId, personId, skills = '', fromOn = null, untilOn = null, hours = null }: Coming,
): Promise<void> {
  orRefuse(maySpeakFor(act.actor, personId));
  const gathering = await readGathering(act.tx, gatheringId);
  const person = await act.tx.person.findUnique({ where: { id: personId } });
  if (!person || person.deactivatedAt || person.forgottenAt) {
    throw new WrongField('personId', 'There is no such person here.');
  }
  const others = (await comersOf(act.tx, gatheringId)).filter(({ id }) => id !== personId);
  orRefuse(mayCome(gathering, others.length, act.today));
  const wrong = comerFits(gathering, { fromOn, untilOn, hours });
  if (wrong) throw new WrongField(wrong.field, wrong.sentence);
  const said = { skills, fromOn, untilOn, hours };
  const key = { gatheringId_personId: { gatheringId, personId } };
  await act.tx.comer.upsert({
    where: key,
    create: { gatheringId, personId, ...said },
    update: { ...said, cancelledAt: null },
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
    data: { cancelledAt: act.at, skills: '', fromOn: null, untilOn: null, hours: null },
  });
  if (count === 0) refuse('not-coming', 'Nobody of this name is on the list.');
  await act.log({
    kind: 'leave-gathering',
    aboutId: about(act, personId),
    thing: { type: 'gathering', id: gatheringId },
    after: { title: gathering.title },
  });
}
