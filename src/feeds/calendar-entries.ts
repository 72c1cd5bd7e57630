import { type ClaimFacts, type JobFacts, type JobTime, madeOf, unfinishedOf } from '../jobs/index.ts';
import { addDays, type Day } from '../platform/day.ts';
import type { CalendarEntry } from './calendar-file.ts';

// What stands in a calendar, from facts that others read. Pure.

/** Where entries get their names and addresses from. */
export interface EntryMaker {
  uuidOf(name: string): string;
  /** of this build, without a slash at the end */
  baseUrl: string;
  /** of what the schedule and the work move: since when nothing of it has changed, and a number that rises with it */
  computedAt: Date;
  computedChanges: number;
}

export interface GatheringToTell {
  id: number;
  title: string;
  fromOn: Day;
  untilOn: Day;
  place: string;
  beginsAt: string;
  droppedAt: Date | null;
  changedAt: Date;
  changes: number;
}

/** How long a gathering that is over or called off stays in a calendar. */
export const PAST_GATHERING_DAYS = 365;
export const CALLED_OFF_DAYS = 30;

/** Whether a gathering is told on this day: ahead, not long over, or called off not long ago. */
export function isTold(
  { untilOn, droppedAt }: Pick<GatheringToTell, 'untilOn' | 'droppedAt'>,
  today: Day,
): boolean {
  return untilOn >= addDays(today, -(droppedAt ? CALLED_OFF_DAYS : PAST_GATHERING_DAYS));
}

/**
 * A gathering.
 *
 * @param told  what the reader may know: open is title and days; else the place and the hour as well, with the days that this
 *              person is there, null for who does not come; 'outside' where those they said lie in it no more
 */
export function gatheringEntry(
  gathering: GatheringToTell,
  told: { open: true } | { open: false; there: { fromOn: Day; untilOn: Day } | 'outside' | null },
  make: EntryMaker,
): CalendarEntry {
  const { id, title, fromOn, untilOn, place, beginsAt, droppedAt, changedAt, changes } = gathering;
  const said = told.open ? null : told.there;
  const there = said === 'outside' ? null : said;
  return {
    uuid: make.uuidOf(`gathering ${id}`),
    kind: 'gatherings',
    title: droppedAt ? `Called off: ${title}` : title,
    fromOn: there?.fromOn ?? fromOn,
    untilOn: there?.untilOn ?? untilOn,
    description: droppedAt
      ? 'This gathering is called off.'
      : told.open
        ? 'The place is told to those who come. Sign in to see more.'
        : `A day there begins at ${beginsAt}.${said === 'outside' ? ' Its days were changed: say again on which of them you are there.' : ''}`,
    place: told.open || droppedAt ? '' : place,
    href: `${make.baseUrl}/gatherings/${id}`,
    calledOff: droppedAt !== null,
    takesTime: true,
    changedAt,
    changes,
  };
}

function computed(
  make: EntryMaker,
  entry: Pick<CalendarEntry, 'kind' | 'title' | 'description' | 'takesTime'> & {
    name: string;
    on: Day;
    path: string;
  },
): CalendarEntry {
  const { name, on, path, ...told } = entry;
  return {
    ...told,
    uuid: make.uuidOf(name),
    fromOn: on,
    untilOn: on,
    place: '',
    href: make.baseUrl + path,
    calledOff: false,
    changedAt: make.computedAt,
    changes: make.computedChanges,
  };
}

/**
 * The days of a claim while some of it is with its maker: the likely and the latest by the promise, and the day the machine
 * needs it posted by.
 *
 * @param quantity   text of what is still to be posted, with its unit
 * @param claimedOn  where the build is: promises count from it
 * @param needByOn   null: not computed, or told elsewhere
 */
export function claimEntries(
  job: Pick<JobFacts, 'id' | 'title'>,
  claim: ClaimFacts,
  { quantity, claimedOn, needByOn }: { quantity: string; claimedOn: Day; needByOn: Day | null },
  make: EntryMaker,
): CalendarEntry[] {
  if (unfinishedOf(claim) + madeOf(claim) <= 0) return [];
  const { id, likelyDays, latestDays } = claim;
  const day = (name: string, on: Day, title: string, description: string) =>
    computed(make, {
      name: `claim ${id} ${name}`,
      kind: 'promises',
      on,
      title,
      description: `${description} Still to post: ${quantity}. Job ${job.id}.`,
      path: `/jobs/${job.id}`,
      takesTime: false,
    });
  return [
    day(
      'likely',
      addDays(claimedOn, likelyDays),
      `Likely to post: ${job.title}`,
      'The likely day of your promise.',
    ),
    ...(latestDays > likelyDays
      ? [
          day(
            'latest',
            addDays(claimedOn, latestDays),
            `Latest to post: ${job.title}`,
            'The latest day of your promise.',
          ),
        ]
      : []),
    ...(needByOn
      ? [
          day(
            'need-by',
            needByOn,
            `Needed in the post: ${job.title}`,
            'Posted later than this, the machine waits for it.',
          ),
        ]
      : []),
  ];
}

/** The latest day of a job that does not move the finish. @param time  as the schedule dates it; null where it can't */
export function neededEntry(
  job: Pick<JobFacts, 'id' | 'title' | 'kind'>,
  time: Pick<JobTime, 'needByOn' | 'critical'> | null,
  make: EntryMaker,
): CalendarEntry[] {
  if (!time?.needByOn) return [];
  const what = job.kind === 'fabricate' ? 'Needed in the post' : 'Needed done';
  return [
    computed(make, {
      name: `job ${job.id} needed`,
      kind: 'needed',
      on: time.needByOn,
      title: `${what}: ${job.title}`,
      description: `Job ${job.id}. Later than this, the finish moves.${time.critical ? ' It drives the finish.' : ''}`,
      path: `/jobs/${job.id}`,
      takesTime: false,
    }),
  ];
}

/** The day a decision must be taken by. @param because  where the day comes from, without a stop */
export function decisionEntry(
  { id, question, byOn, because }: { id: number; question: string; byOn: Day | null; because: string },
  make: EntryMaker,
): CalendarEntry[] {
  if (!byOn) return [];
  return [
    computed(make, {
      name: `decision ${id}`,
      kind: 'decisions',
      on: byOn,
      title: `To decide: ${question}`,
      description: `${because}.`,
      path: `/decisions/${id}`,
      takesTime: false,
    }),
  ];
}

/** A trial that is planned for a day. */
export function trialEntry(
  { id, title, measured, plannedOn }: { id: number; title: string; measured: string; plannedOn: Day },
  make: EntryMaker,
): CalendarEntry {
  return computed(make, {
    name: `trial ${id}`,
    kind: 'trials',
    on: plannedOn,
    title: `Trial: ${title}`,
    description: measured ? `Measured: ${measured}.` : '',
    path: `/trials/${id}`,
    takesTime: true,
  });
}
