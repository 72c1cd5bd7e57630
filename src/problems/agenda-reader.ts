import type { JobTimes } from '../jobs/index.ts';
import type { Database } from '../platform/database.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { NotFound } from '../platform/refusal.ts';
import {
  GATHERING_HORIZON_DAYS,
  type GatheringWork,
  gatheringWork,
  type Schedule,
  type ScheduleService,
} from '../schedule/index.ts';
import { type AgendaPlan, agendaPlan } from './agenda-plan.ts';
import { type AskedAgenda, agendaQuestion } from './agenda-question.ts';
import { agendaView } from './agenda-view.ts';
import { comersOf, readGathering } from './gathering-acts.ts';
import { minutesOfTime } from './gathering-days.ts';
import { gatheringOver, seesPlace } from './gathering-rules.ts';
import type { Moment } from './moment.ts';
import { peopleNames } from './problem-reader.ts';

/** Where agendas come from. */
export interface AgendaSources {
  db: Pick<Database, 'read' | 'hot'>;
  times: JobTimes & Pick<ScheduleService, 'snapshot'>;
}

interface Kept {
  asked: AskedAgenda;
  plan: AgendaPlan;
}

// What a gathering can be about hangs on the schedule, which is made anew after every act; its plan on who comes as well.
const works = new WeakMap<Schedule, Map<string, GatheringWork | null>>();
const plans = new WeakMap<Schedule, Map<string, Kept>>();

function keptFor<T>(
  all: WeakMap<Schedule, Map<string, T>>,
  schedule: Schedule | null,
  key: string,
  make: () => T,
): T {
  if (!schedule) return make();
  const own = all.get(schedule) ?? new Map<string, T>();
  all.set(schedule, own);
  let value = own.get(key);
  if (value === undefined) {
    value = make();
    own.set(key, value);
  }
  return value;
}

/** What the agenda and the packing list of a gathering both need. @throws NotFound  also for who may not see them */
export async function readAgenda(sources: AgendaSources, id: number, person: SignedIn, moment: Moment) {
  const { read } = sources.db;
  const row = await readGathering(read, id);
  const comers = await comersOf(read, id);
  const comes = comers.some((comer) => comer.id === person.id);
  if (!seesPlace({ personId: person.id, role: person.role }, comes)) {
    throw new NotFound('What is done at a gathering is told to those who come.');
  }
  const decisions = await read.decision.findMany({
    where: { gatheringId: id, decidedAt: null, droppedAt: null },
    orderBy: { id: 'asc' },
    select: { id: true, question: true, jobId: true, partId: true, deciderId: true },
  });
  const { schedule, trouble } = sources.times.snapshot();
  const isOpen = row.droppedAt === null && !gatheringOver(row, moment.today);
  const work =
    schedule && isOpen
      ? keptFor(works, schedule, `${id} ${row.dayHours}`, () => gatheringWork(schedule, id, row.dayHours))
      : null;
  const hours = {
    fromOn: row.fromOn,
    untilOn: row.untilOn,
    beginsAt: minutesOfTime(row.beginsAt) ?? 540,
    dayHours: row.dayHours,
  };
  const { today } = moment;
  const kept = isOpen ? decisions : [];
  const { asked, plan } = keptFor(
    plans,
    work ? schedule : null,
    JSON.stringify([id, today, hours, comers, kept]),
    () => {
      const question = agendaQuestion(work, hours, today, comers, kept);
      return { asked: question, plan: agendaPlan(work, question) };
    },
  );
  const names = await peopleNames(read, [
    ...decisions.map(({ deciderId }) => deciderId),
    ...asked.items.map(({ personId }) => personId),
    ...[...(work?.supplies.values() ?? [])].map(({ makerId }) => makerId),
  ]);
  const isShop = person.role !== 'maker';
  const view = agendaView(work, asked, plan, { today, viewerId: person.id, isShop, names });
  return { row, comers, comes, isShop, isOpen, work, asked, plan, view, trouble };
}

/** What came of a gathering that is over: jobs finished and decisions taken on its days. */
export async function doneAt(
  read: Database['read'],
  { id, fromOn, untilOn }: { id: number; fromOn: string; untilOn: string },
  { dayOf }: Moment,
) {
  const within = (at: Date | null) => at !== null && dayOf(at) >= fromOn && dayOf(at) <= untilOn;
  const jobs = await read.job.findMany({
    where: { gatheringId: id, droppedAt: null },
    orderBy: { id: 'asc' },
    select: { id: true, title: true, finishedAt: true, result: true },
  });
  const decisions = await read.decision.findMany({
    where: { gatheringId: id, droppedAt: null },
    orderBy: { id: 'asc' },
    select: { id: true, question: true, answer: true, decidedAt: true },
  });
  return {
    jobs: jobs.map(({ finishedAt, ...job }) => ({
      ...job,
      href: `/jobs/${job.id}`,
      done: within(finishedAt) ? 'finished there' : finishedAt ? 'finished on another day' : 'not finished',
    })),
    decisions: decisions.map(({ decidedAt, ...decision }) => ({
      ...decision,
      done: within(decidedAt) ? 'decided there' : decidedAt ? 'decided on another day' : 'not decided',
    })),
  };
}

/** Everything the page of an agenda shows. */
export async function readAgendaPage(sources: AgendaSources, id: number, person: SignedIn, moment: Moment) {
  const { row, comers, isShop, isOpen, work, asked, view, trouble } = await readAgenda(
    sources,
    id,
    person,
    moment,
  );
  const isFar = isOpen && work === null && trouble === null;
  return {
    ...view,
    supplies: isShop ? view.supplies : [],
    late: isShop ? view.late : [],
    moreSupplies: isShop ? view.moreSupplies : 0,
    title: row.title,
    fromOn: row.fromOn,
    untilOn: row.untilOn,
    beginsAt: row.beginsAt,
    dayHours: row.dayHours,
    isOpen,
    isOff: row.droppedAt !== null,
    isFar,
    horizonDays: GATHERING_HORIZON_DAYS,
    trouble,
    people: comers.length,
    able: asked.people.length,
    items: asked.items.length,
    skills: comers.filter(({ skills }) => skills !== '').map(({ name, skills }) => ({ name, skills })),
    elsewhere: (work?.elsewhere ?? []).map((job) => ({ ...job, href: `/jobs/${job.jobId}` })),
    done: row.droppedAt === null && !isOpen ? await doneAt(sources.db.read, row, moment) : null,
  };
}
