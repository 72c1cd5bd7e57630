import type { Day } from '../platform/day.ts';
import { dayIn, daysBetween, dayWords } from '../platform/day.ts';
import { count } from './durations.ts';
import {
  counted,
  type Finding,
  type FindingItem,
  type Found,
  jobItem,
  judged,
  type Looked,
  listed,
  partItem,
  percent,
  stepItem,
  working,
} from './soundness-finding.ts';
import { isBegun, unfinished } from './soundness-jobs.ts';

// After so many days the plan is no longer that of the shop. Common practice, no source.
const QUIET_DAYS = 14;
const ASLEEP_DAYS = 28;
const OLD_BASELINE_DAYS = 90;
const MONTH_DAYS = 28;
const MUCH_MOVED_DAYS = 14;
const MUCH_SLIPPED = 0.1;

/** Whether what happened is written down, and what was planned is kept. */
export function keepingFindings(looked: Looked): Finding[] {
  const updating = [pastDates, pastWishes, pastGatherings, outOfSequence, silentMakers];
  return [
    ...updating.map((check) => counted('updating', check(looked))),
    lastWord(looked),
    ...baselines(looked),
    moved(looked),
  ];
}

function pastDates(looked: Looked): Found {
  const { nodes } = looked.schedule.network;
  const all = working(looked);
  const late = all.filter((at) => nodes[at]!.duration.late);
  return {
    key: 'past-dates',
    title: 'Steps that should be over by now',
    ...listed(late, (at) => stepItem(looked, at, nodes[at]!.duration.because)),
    of: all.length,
    what: 'steps',
    fault: 'their promise, their named day or the time such work takes is past',
    verdict: 'act',
    advice: 'Ask for a new day, write down what has come, or offer the work to somebody else.',
  };
}

function pastWishes({ schedule: { facts, network } }: Looked): Found {
  const wanted = network.openJobs.filter(({ wantedOn }) => wantedOn !== null);
  const past = wanted.filter(({ wantedOn }) => wantedOn! < facts.today);
  return {
    key: 'past-wishes',
    title: 'Days the lead wants that are past',
    ...listed(past, (job) => jobItem(job, `wanted by ${dayWords(job.wantedOn!, facts.today)}`)),
    of: wanted.length,
    what: 'open jobs with a wanted day',
    fault: 'the day is past',
    verdict: 'look',
    advice: 'Change the day on the job, or take it off: makers see it.',
  };
}

function pastGatherings({ schedule: { facts, network } }: Looked): Found {
  const kept = network.openJobs.filter(({ gatheringId }) => gatheringId !== null);
  const items = kept.flatMap((job): FindingItem[] => {
    const gathering = facts.gatherings.get(job.gatheringId!);
    if (!gathering) return [jobItem(job, 'the gathering was called off')];
    if (gathering.untilOn >= facts.today) return [];
    return [jobItem(job, `${gathering.title} ended on ${dayWords(gathering.untilOn, facts.today)}`)];
  });
  return {
    key: 'past-gatherings',
    title: 'Work kept for a gathering that is over',
    items,
    found: items.length,
    of: kept.length,
    what: 'open jobs kept for a gathering',
    fault: 'that gathering is over or was called off',
    verdict: 'act',
    advice: 'Say that it is finished, or keep it for the next gathering.',
  };
}

/** What has begun though the plan says that it waits for something that is not over, or has not begun. */
function outOfSequence(looked: Looked): Found {
  const { facts, network } = looked.schedule;
  const open = new Map(network.openJobs.map((job) => [job.id, job]));
  const items: FindingItem[] = [];
  let of = 0;
  for (const { fromId, toId, type } of facts.links) {
    const to = open.get(toId);
    if (!to || (type !== 'FS' && type !== 'SS')) continue;
    of += 1;
    const from = open.get(fromId);
    if (!from || !isBegun(to) || (type === 'SS' && isBegun(from))) continue;
    items.push(jobItem(to, `begun, though it waits for job ${fromId} to ${type === 'FS' ? 'end' : 'begin'}`));
  }
  for (const { from, to, byHand } of network.links) {
    const { job, kind } = network.nodes[to]!;
    const { word, partId } = network.nodes[from]!;
    if (byHand || kind !== 'fit-up' || !job || word !== 'ready' || partId === null) continue;
    of += 1;
    if (job.startedAt) items.push(jobItem(job, `begun without ${partItem(looked, partId).label}`));
  }
  return {
    key: 'out-of-sequence',
    title: 'Work begun before what it waits for',
    items,
    found: items.length,
    of,
    what: 'waits of open jobs',
    fault: 'the work has begun all the same',
    verdict: 'look',
    advice: 'Take the link away if it does not hold, or write down that the first is finished.',
  };
}

function silentMakers({ schedule: { facts, network }, around: { silentAfterDays } }: Looked): Found {
  const claims = network.openJobs.flatMap((job) =>
    job.claims.filter((claim) => unfinished(claim) > 0).map((claim) => ({ job, claim })),
  );
  const daysQuiet = (instant: string) => daysBetween(dayIn(facts.timeZone, new Date(instant)), facts.today);
  const silent = claims.filter(({ claim }) => daysQuiet(claim.lastWordAt) >= silentAfterDays);
  return {
    key: 'silent-makers',
    title: 'Claims without a word',
    ...listed(silent, ({ job, claim }) => {
      const who = facts.people.get(claim.personId)?.name ?? 'somebody';
      return jobItem(job, `${who}, ${count(daysQuiet(claim.lastWordAt), 'day')}`);
    }),
    of: claims.length,
    what: 'claims with something to finish',
    fault: `no word for ${count(silentAfterDays, 'day')} or more, so their promise is only hoped for`,
    verdict: 'look',
    advice: 'Ask how it goes.',
  };
}

function lastWord({ schedule: { facts }, around: { lastActOn } }: Looked): Finding {
  const quiet = lastActOn === null ? null : Math.max(0, daysBetween(lastActOn, facts.today));
  return judged('updating', {
    key: 'last-word',
    title: 'The records are kept up',
    verdict: quiet === null || quiet > ASLEEP_DAYS ? 'act' : quiet > QUIET_DAYS ? 'look' : 'ok',
    said:
      quiet === null
        ? 'Nothing is written down yet.'
        : quiet === 0
          ? 'The last thing was written down today.'
          : `The last thing was written down ${count(quiet, 'day')} ago.`,
    advice:
      'Go through the board and write down what has happened: all dates run from today as if nothing had.',
  });
}

function baselines({ schedule: { facts, finishOn }, around }: Looked): Finding[] {
  const [newest] = around.baselines;
  const head = { key: 'kept-plan', title: 'A plan is kept to compare with' };
  if (!newest) {
    const said = 'No plan is kept.';
    const advice = 'Keep the plan of today: without one nobody can say by how much an assembly has slipped.';
    return [judged('baseline', { ...head, verdict: 'look', said, advice, items: [keptPlans] })];
  }
  const age = daysBetween(newest.day, facts.today);
  const found = [
    judged('baseline', {
      ...head,
      verdict: age > OLD_BASELINE_DAYS ? 'look' : 'ok',
      said: `${newest.name}, kept ${age === 0 ? 'today' : `${count(age, 'day')} ago`}.`,
      advice: 'It is old: keep another when the plan has been agreed anew, and compare with both.',
      items: [keptPlans],
    }),
  ];
  if (finishOn === null) return found;
  const slipped = daysBetween(newest.finishOn, finishOn);
  const span = Math.max(1, daysBetween(newest.day, newest.finishOn));
  const share = slipped / span;
  found.push(
    judged('baseline', {
      key: 'slipped',
      title: 'The finish against the kept plan',
      verdict: share > MUCH_SLIPPED ? 'look' : 'ok',
      said:
        slipped === 0
          ? `As planned: ${dayWords(finishOn)}.`
          : `${dayWords(finishOn)}, ${count(Math.abs(slipped), 'day')} ${slipped > 0 ? `later, ${percent(share)} of the ${span} days then planned` : 'sooner'}.`,
      advice: 'See which assemblies slipped most, and tell those who wait for the machine.',
      items: [keptPlans],
    }),
  );
  return found;
}

const keptPlans: FindingItem = { label: 'Kept plans', href: '/schedule/baselines', note: '' };

/** How the estimate of the finish moved in the last four weeks. */
function moved({ schedule: { facts, finishOn }, around: { estimates } }: Looked): Finding {
  const old = estimates.findLast(({ day }: { day: Day }) => daysBetween(day, facts.today) >= MONTH_DAYS);
  const days = old && finishOn ? daysBetween(old.finishOn, finishOn) : null;
  return judged('baseline', {
    key: 'moved',
    title: 'The finish as estimated four weeks ago',
    verdict: days !== null && days > MUCH_MOVED_DAYS ? 'look' : 'ok',
    said:
      days === null || !old
        ? 'No estimate is stored from then.'
        : days === 0
          ? `The same as on ${dayWords(old.day, facts.today)}.`
          : `${count(Math.abs(days), 'day')} ${days > 0 ? 'later' : 'sooner'} than on ${dayWords(old.day, facts.today)}.`,
    advice: `It runs away by more than ${MUCH_MOVED_DAYS} days in four weeks: see on the chart since when, and what came in then.`,
    items: [keptPlans],
  });
}
