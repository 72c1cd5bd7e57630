import type { JobFacts } from '../jobs/index.ts';
import { dayWords } from '../platform/day.ts';
import { calendarsOf } from './calendars.ts';
import { DEFAULTS } from './defaults.ts';
import { drivingChain } from './schedule.ts';
import {
  counted,
  type Finding,
  type FindingItem,
  type Found,
  jobItem,
  judged,
  type Looked,
  listed,
  percent,
  personItem,
} from './soundness-finding.ts';
import { unfinished } from './soundness-jobs.ts';

/** Of the hours there are, so much planned leaves nothing for what nobody foresaw. Common practice, no source. */
const FULL = 0.8;
/** One maker on so much of the chain is the plan. Common practice, no source. */
const MOST_OF_CHAIN = 0.5;

/** Whether there is somebody for the work, and time enough. */
export function peopleFindings(looked: Looked): Finding[] {
  return [
    overbooked(looked),
    ...[crowdedMakers, fitUpsWithoutPerson, shortGatherings, absentPeople].map((check) =>
      counted('resources', check(looked)),
    ),
    singleMaker(looked),
  ];
}

interface Load {
  hours: number;
  /** jobs or parts it comes from */
  of: number;
}

/** Hours of work that is left for each person, as far as hours or days are written down. */
function loads({ schedule: { facts, network } }: Looked): Map<number, Load> {
  const perDay = (personId: number) => hoursAWeek(facts, personId) / network.calendar.perWeek;
  const found = new Map<number, Load>();
  const add = (personId: number, hours: number) => {
    if (!(hours > 0)) return;
    const load = found.get(personId) ?? { hours: 0, of: 0 };
    found.set(personId, { hours: load.hours + hours, of: load.of + 1 });
  };
  const leads = [...facts.people].filter(([, { role, active }]) => role === 'lead' && active);
  const lead = leads.length === 1 ? leads[0]![0] : null;
  const counts = new Set<JobFacts>();
  for (const { kind, job, part, duration } of network.nodes) {
    if (kind === 'design' && job === null && lead !== null)
      add(lead, part?.designHours ?? DEFAULTS.designHours);
    if (job === null || job.kind === 'purchase' || counts.has(job)) continue;
    counts.add(job);
    if (job.kind === 'fabricate') {
      for (const claim of job.claims) {
        if (job.hours !== null) add(claim.personId, (job.hours * unfinished(claim)) / job.milli);
      }
      continue;
    }
    const personId = job.personId ?? (kind === 'design' ? lead : null);
    if (personId === null) continue;
    const given = job.hours ?? (kind === 'design' ? part?.designHours : null);
    add(personId, given ?? duration.days * perDay(personId));
  }
  return found;
}

function hoursAWeek({ people, leadWeeklyHours }: Looked['schedule']['facts'], personId: number): number {
  const person = people.get(personId);
  return person?.role === 'lead' ? leadWeeklyHours : (person?.weeklyHours ?? 0);
}

function overbooked(looked: Looked): Finding {
  const { facts, network, finishOn } = looked.schedule;
  const calendars = calendarsOf(facts);
  const until = finishOn === null ? 0 : network.calendar.momentOf(finishOn) + 1;
  const items: FindingItem[] = [];
  let over = 0;
  const all = loads(looked);
  for (const [personId, { hours, of }] of all) {
    // A calendar is made when it is first asked for, so its place is asked first.
    const place = calendars.ofPerson(personId);
    const own = calendars.all[place]!;
    const there = (own.workingBefore(until) / own.perWeek) * hoursAWeek(facts, personId);
    if (hours <= FULL * there) continue;
    if (hours > there) over += 1;
    const what = `${of} ${of === 1 ? 'piece' : 'pieces'} of work`;
    items.push(
      personItem(
        looked,
        personId,
        `${hours.toFixed(0)} h in ${what}, of ${there.toFixed(0)} h until the finish`,
      ),
    );
  }
  return counted('resources', {
    key: 'overbooked',
    title: 'People with more work than hours until the finish',
    items,
    found: items.length,
    of: all.size,
    what: 'people with work of known hours',
    fault: over > 0 ? `${over} cannot do it by then` : `more than ${percent(FULL)} of their hours are taken`,
    verdict: over > 0 ? 'act' : 'look',
    advice:
      'Give some of it to somebody else, or count on a later finish: the dates take every person to be free.',
  });
}

function crowdedMakers(looked: Looked): Found {
  const claims = new Map<number, number>();
  for (const job of looked.schedule.network.openJobs) {
    for (const claim of job.claims) {
      if (unfinished(claim) > 0) claims.set(claim.personId, (claims.get(claim.personId) ?? 0) + 1);
    }
  }
  const { facts } = looked.schedule;
  const crowded = [...claims].filter(([id, n]) => n > 1 && n > hoursAWeek(facts, id));
  return {
    key: 'crowded-makers',
    title: 'Makers with more open claims than hours a week',
    ...listed(crowded, ([id, n]) => personItem(looked, id, `${n} claims, ${hoursAWeek(facts, id)} h a week`)),
    of: claims.size,
    what: 'makers with something to finish',
    fault: 'less than an hour a week for each claim',
    verdict: 'look',
    advice: 'Ask which of them comes first, and offer the rest to others.',
  };
}

function fitUpsWithoutPerson(looked: Looked): Found {
  const fitUps = looked.schedule.network.openJobs.filter(({ kind }) => kind === 'fit-up');
  return {
    key: 'fit-ups-alone',
    title: 'Fit-ups without a person',
    ...listed(
      fitUps.filter(({ personId }) => personId === null),
      (job) => jobItem(job),
    ),
    of: fitUps.length,
    what: 'open fit-ups',
    fault: 'nobody is named for them',
    verdict: 'look',
    advice: 'Name who fits each, so that their days away and their hours count.',
  };
}

/** Gatherings ahead, each with the work that is kept for it: working days by job. */
function gatheringWork({ schedule: { facts, network } }: Looked) {
  const work = new Map<number, { job: JobFacts; days: number }[]>();
  for (const { job, duration } of network.nodes) {
    if (!job || job.gatheringId === null || !duration.working || duration.days === 0) continue;
    const gathering = facts.gatherings.get(job.gatheringId);
    if (!gathering || gathering.untilOn < facts.today) continue;
    const list = work.get(job.gatheringId) ?? [];
    work.set(job.gatheringId, [...list, { job, days: duration.days }]);
  }
  return work;
}

function shortGatherings(looked: Looked): Found {
  const { facts, network } = looked.schedule;
  const { calendar } = network;
  const work = gatheringWork(looked);
  const items: FindingItem[] = [];
  for (const [id, list] of work) {
    const { title, fromOn, untilOn } = facts.gatherings.get(id)!;
    const days = calendar.momentOf(untilOn) - Math.max(0, calendar.momentOf(fromOn)) + 1;
    const people = looked.around.comers.filter(({ gatheringId }) => gatheringId === id).length;
    const total = list.reduce((sum, one) => sum + one.days, 0);
    const longest = Math.max(...list.map((one) => one.days));
    if (longest <= days && total <= days * Math.max(1, people)) continue;
    const hands = `${people} ${people === 1 ? 'person comes' : 'people come'} for ${days} ${days === 1 ? 'day' : 'days'}`;
    items.push({
      label: title,
      href: `/gatherings/${id}`,
      note: `${total} days of work in ${list.length} ${list.length === 1 ? 'job' : 'jobs'}, the longest ${longest}; ${hands}`,
    });
  }
  return {
    key: 'short-gatherings',
    title: 'Gatherings too short for the work kept for them',
    items,
    found: items.length,
    of: work.size,
    what: 'gatherings ahead with work kept for them',
    fault: 'the work does not fit into their days and hands; what is left over waits for the next',
    verdict: 'act',
    advice: 'Move work to another gathering, ask more people, or make it longer.',
  };
}

function absentPeople(looked: Looked): Found {
  const coming = new Set(
    looked.around.comers.map(({ gatheringId, personId }) => `${gatheringId} ${personId}`),
  );
  const named = [...gatheringWork(looked)].flatMap(([id, list]) =>
    list.flatMap(({ job }) => (job.personId === null ? [] : [{ id, job, personId: job.personId }])),
  );
  const absent = named.filter(({ id, personId }) => !coming.has(`${id} ${personId}`));
  const { facts } = looked.schedule;
  return {
    key: 'absent-people',
    title: 'Work at a gathering for people who have not said that they come',
    ...listed(absent, ({ job, id, personId }) =>
      jobItem(
        job,
        `${facts.people.get(personId)?.name ?? 'somebody'}, at ${facts.gatherings.get(id)!.title}`,
      ),
    ),
    of: named.length,
    what: 'jobs at a gathering with a person named',
    fault: 'they are not on its list',
    verdict: 'look',
    advice: 'Ask them, or name somebody who comes.',
  };
}

function singleMaker(looked: Looked): Finding {
  const { schedule } = looked;
  const { nodes } = schedule.network;
  const { earlyStarts, earlyEnds } = schedule.dates;
  const chain = drivingChain(schedule);
  const days = new Map<number, number>();
  let all = 0;
  for (const at of chain) {
    const step = nodes[at]!;
    const span = earlyEnds[at]! - earlyStarts[at]!;
    all += span;
    const personId = step.claim?.personId ?? step.job?.personId ?? null;
    if (personId !== null) days.set(personId, (days.get(personId) ?? 0) + span);
  }
  const [most] = [...days].sort(([, a], [, b]) => b - a);
  const share = most && all > 0 ? most[1] / all : 0;
  const isOne = most !== undefined && share > MOST_OF_CHAIN;
  return judged('risk', {
    key: 'single-maker',
    title: 'One person on most of what drives the finish',
    verdict: isOne ? 'look' : 'ok',
    said: most
      ? `${schedule.facts.people.get(most[0])?.name ?? 'Somebody'} has ${percent(share)} of the ${all} days until ${dayWords(schedule.finishOn ?? schedule.facts.today)}.`
      : 'Nobody in particular: what drives the finish has no person yet.',
    advice: 'If they fall ill the finish goes with them: find a second pair of hands for part of it.',
    items: isOne ? [personItem(looked, most[0], percent(share))] : [],
  });
}
