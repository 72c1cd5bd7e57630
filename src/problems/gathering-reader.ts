import { type FactsReader, isOver, type JobTimes, stageOf } from '../jobs/index.ts';
import { historyLines, readLog } from '../log/index.ts';
import { countryName } from '../platform/country.ts';
import type { Database } from '../platform/database.ts';
import { daysBetween } from '../platform/day.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { type DaysThere, daysThere } from '../schedule/index.ts';
import { type DecisionSources, openDecisions } from './decision-reader.ts';
import { comersOf, readGathering } from './gathering-acts.ts';
import { gatheringOver, mayCome, seesPlace } from './gathering-rules.ts';
import { type Moment, spanWords } from './moment.ts';
import { lastChange } from './store.ts';

/** A gathering as lists show it. */
export interface GatheringLine {
  id: number;
  href: string;
  title: string;
  span: string;
  /** 'in 12 days', 'today', 'under way', 'over', 'called off' */
  when: string;
  off: boolean;
  over: boolean;
  coming: number;
  places: number;
  comes: boolean;
}

function whenWords(fromOn: string, untilOn: string, today: string, off: boolean): string {
  if (off) return 'called off';
  if (untilOn < today) return 'over';
  const days = daysBetween(today, fromOn);
  if (days < 0) return 'under way';
  return days === 0 ? 'begins today' : `in ${days} ${days === 1 ? 'day' : 'days'}`;
}

/** Gatherings ahead, the next one first, and those that are over or called off, the newest on top. */
export async function gatheringLists(read: Database['read'], person: SignedIn, moment: Moment) {
  const rows = await read.gathering.findMany({ orderBy: [{ fromOn: 'asc' }, { id: 'asc' }] });
  const lines: GatheringLine[] = [];
  for (const row of rows) {
    const comers = await comersOf(read, row.id);
    lines.push({
      id: row.id,
      href: `/gatherings/${row.id}`,
      title: row.title,
      span: spanWords(row.fromOn, row.untilOn, moment.today),
      when: whenWords(row.fromOn, row.untilOn, moment.today, row.droppedAt !== null),
      off: row.droppedAt !== null,
      over: gatheringOver(row, moment.today),
      coming: comers.length,
      places: row.places,
      comes: comers.some(({ id }) => id === person.id),
    });
  }
  return {
    ahead: lines.filter(({ off, over }) => !off && !over),
    past: lines.filter(({ off, over }) => off || over).reverse(),
  };
}

const saidOf = ({ skills, fromOn, untilOn, hours }: DaysThere & { skills: string }) => ({
  skills,
  fromOn: fromOn ?? '',
  untilOn: untilOn ?? '',
  hours: hours ?? '',
});

/** On which days somebody is there, and for how long of each, where that is less than all. */
function thereWords(
  row: { fromOn: string; untilOn: string; dayHours: number },
  comer: DaysThere,
  { today }: Moment,
): string {
  const there = daysThere(row, comer);
  if (!there) return 'on none of its days as they are now';
  const isWhole = there.fromOn === row.fromOn && there.untilOn === row.untilOn;
  const days = isWhole ? 'all days' : spanWords(there.fromOn, there.untilOn, today);
  return there.hours < row.dayHours ? `${days}, ${there.hours} h a day` : days;
}

/** Everything the page of a gathering shows to a person. The place is among it only for who may know it. */
export async function readGatheringPage(
  sources: DecisionSources & { facts: FactsReader; times: JobTimes },
  id: number,
  person: SignedIn,
  moment: Moment,
) {
  const { read, hot } = sources.db;
  const row = await readGathering(read, id);
  const comers = await comersOf(read, id);
  const own = comers.find((comer) => comer.id === person.id) ?? null;
  const over = gatheringOver(row, moment.today);
  const off = row.droppedAt !== null;
  const isLead = person.role === 'lead';
  const isShop = person.role !== 'maker';
  const placed = seesPlace({ personId: person.id, role: person.role }, own !== null);
  const jobs = await read.job.findMany({
    where: { gatheringId: id, droppedAt: null },
    orderBy: { id: 'asc' },
    select: { id: true },
  });
  const others = comers.filter((comer) => comer.id !== person.id);
  return {
    id,
    title: row.title,
    fromOn: row.fromOn,
    untilOn: row.untilOn,
    span: spanWords(row.fromOn, row.untilOn, moment.today),
    when: whenWords(row.fromOn, row.untilOn, moment.today, off),
    over,
    off,
    /** whether agenda and packing list are shown to them */
    seesPlan: placed,
    beginsAt: row.beginsAt,
    dayHours: row.dayHours,
    place: placed ? row.place : null,
    places: row.places,
    free: Math.max(0, row.places - comers.length),
    note: row.note,
    comers: comers.map((comer) => ({
      id: comer.id,
      name: comer.name,
      country: countryName(comer.country),
      skills: comer.skills,
      when: thereWords(row, comer, moment),
      said: saidOf(comer),
      own: comer.id === person.id,
    })),
    comes: own !== null,
    own: own ? saidOf(own) : {},
    decisions: await openDecisions(sources, moment, id),
    jobs: jobs.flatMap(({ id: jobId }) => {
      const job = sources.facts.one(jobId);
      if (!job) return [];
      const stage = stageOf(job, sources.times.of(jobId)?.ready ?? true);
      return [{ id: jobId, title: job.title, href: `/jobs/${jobId}`, stage, over: isOver(stage) }];
    }),
    may: {
      come: mayCome(row, others.length, moment.today) === null,
      leave: own !== null && !over && !off,
      writeDown: isLead && !over && !off,
      change: isShop && !off,
      drop: isShop && !off && !over,
    },
    seen: await lastChange(read, 'gathering', id),
    history: isShop
      ? historyLines(
          readLog({ hot }, { thing: { type: 'gathering', id } }, { limit: 30 }),
          moment.timeZone,
        ).map((line) => ({ ...line, href: null }))
      : [],
  };
}
