import { dayWords } from '../platform/day.ts';
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
import { isBegun } from './soundness-jobs.ts';

// How much of a kind is too much: common practice of schedule health, no source.
const MOST_LAGS = 0.05;
const LEAST_FINISH_TO_START = 0.9;

/** Whether the parts, jobs and steps are all there, and hang together. */
export function logicFindings(looked: Looked): Finding[] {
  const capturing = [looseParts, unneededJobs, uncoveredParts, emptyFitUps];
  const sequencing = [looseJobs, linksLeftOut, leads, lags];
  return [
    ...capturing.map((check) => counted('capturing', check(looked))),
    ...sequencing.map((check) => counted('sequencing', check(looked))),
    finishToStart(looked),
    counted('traceable', deadEnds(looked)),
    counted('traceable', wantedDays(looked)),
  ];
}

function looseParts(looked: Looked): Found {
  const { facts } = looked.schedule;
  const held = new Set(facts.uses.map(({ childId }) => childId));
  const tops = new Set(facts.tops);
  const loose = [...facts.parts.keys()].filter((id) => !held.has(id) && !tops.has(id));
  return {
    key: 'loose-parts',
    title: 'Parts that go into nothing',
    ...listed(loose, (id) => partItem(looked, id)),
    of: facts.parts.size,
    what: 'parts',
    fault: 'go into no assembly, so the plan counts none of them',
    verdict: 'look',
    advice: 'Put each into the assembly it belongs to, or take it out.',
  };
}

const MAKING: readonly string[] = ['design', 'fabricate', 'purchase', 'fit-up'];

function unneededJobs(looked: Looked): Found {
  const { facts, network } = looked.schedule;
  const onParts = network.openJobs.filter(({ kind, partId }) => partId !== null && MAKING.includes(kind));
  const unneeded = onParts.filter(({ partId }) => (facts.required.get(partId!) ?? 0) === 0);
  return {
    key: 'unneeded-jobs',
    title: 'Jobs on parts the machine does not need',
    ...listed(unneeded, (job) =>
      jobItem(job, facts.parts.get(job.partId!)?.number ?? 'the part is taken out'),
    ),
    of: onParts.length,
    what: 'open jobs that make or buy a part',
    fault: 'no top assembly needs their part',
    verdict: 'act',
    advice: 'Put the part into its assembly, or drop the job before somebody makes it for nothing.',
  };
}

function uncoveredParts(looked: Looked): Found {
  const { network } = looked.schedule;
  const toGo = [...network.needs].filter(([, need]) => need.toGo > 0);
  // What has the least float stands first.
  const float = (partId: number) => looked.schedule.dates.floats[network.readyMarks.get(partId) ?? -1] ?? 0;
  const uncovered = toGo.filter(([, need]) => need.uncovered > 0).sort(([a], [b]) => float(a) - float(b));
  return {
    key: 'uncovered-parts',
    title: 'Parts with something to go and no job for it',
    ...listed(uncovered, ([id]) => partItem(looked, id)),
    of: toGo.length,
    what: 'parts still to come',
    fault: 'no job answers for all of it; the plan counts usual times for them',
    verdict: 'look',
    advice: 'Make their jobs, first for those that drive the finish.',
  };
}

function emptyFitUps(looked: Looked): Found {
  const { facts, network } = looked.schedule;
  const holders = new Set(facts.uses.map(({ parentId }) => parentId));
  const assemblies = [...facts.parts.values()].filter(
    ({ id, kind }) => kind === 'assembly' && (network.needs.get(id)?.toGo ?? 0) > 0,
  );
  const empty = assemblies.filter(({ id }) => !holders.has(id));
  return {
    key: 'empty-fit-ups',
    title: 'Fit-ups with nothing to fit',
    ...listed(empty, ({ id }) => partItem(looked, id)),
    of: assemblies.length,
    what: 'assemblies still to be fitted',
    fault: 'no part goes into them, so their fit-up waits for nothing',
    verdict: 'act',
    advice: 'Write down what goes into each.',
  };
}

function looseJobs(looked: Looked): Found {
  const { facts, network } = looked.schedule;
  const linked = new Set(facts.links.flatMap(({ fromId, toId }) => [fromId, toId]));
  // A trial without a part waits for the whole machine; work kept for a gathering has its place in time.
  const free = network.openJobs.filter(({ partId, kind }) => partId === null && kind !== 'trial');
  const loose = free.filter(({ id, gatheringId }) => !linked.has(id) && gatheringId === null);
  return {
    key: 'loose-jobs',
    title: 'Loose ends: jobs that wait for nothing and are waited for by nothing',
    ...listed(loose, (job) => jobItem(job)),
    of: free.length,
    what: 'open jobs without a part',
    fault: 'no link, so they can be done any day and hold nothing up',
    verdict: 'look',
    advice: 'Link each with the job that needs it, or name its part.',
  };
}

function linksLeftOut({ schedule: { facts, leftOut } }: Looked): Found {
  return {
    key: 'left-out',
    title: 'Links left out because they go round in a circle',
    ...listed(leftOut, (label) => ({ label, href: '', note: '' })),
    of: facts.links.length,
    what: 'links by hand',
    fault: 'the plan does not count them',
    verdict: 'act',
    advice: 'Take one link of each circle away, on the page of either job.',
  };
}

/** The links by hand between jobs still to be worked on, each with the job that waits. */
function handLinks({ schedule: { facts, network } }: Looked) {
  const open = new Map(network.openJobs.map((job) => [job.id, job]));
  return facts.links.flatMap((link) => {
    const to = open.get(link.toId);
    return to ? [{ ...link, to }] : [];
  });
}

const lagNote = (fromId: number, type: string, lag: number) =>
  `${type} from job ${fromId}, ${lag} working ${Math.abs(lag) === 1 ? 'day' : 'days'}`;

function leads(looked: Looked): Found {
  const links = handLinks(looked);
  const early = links.filter(({ lag }) => lag < 0);
  return {
    key: 'leads',
    title: 'Leads: links with a lag below zero',
    ...listed(early, ({ to, fromId, type, lag }) => jobItem(to, lagNote(fromId, type, lag))),
    of: links.length,
    what: 'links by hand of open jobs',
    fault: 'the second begins before the first allows it, by a guess',
    verdict: 'look',
    advice: 'Split the first job where the second can really begin, and link from that end.',
  };
}

function lags(looked: Looked): Found {
  const links = handLinks(looked);
  const waiting = links.filter(({ lag }) => lag > 0);
  const all = looked.schedule.network.links.length;
  const share = all === 0 ? 0 : waiting.length / all;
  return {
    key: 'lags',
    title: 'Lags: links that wait for nobody',
    ...listed(waiting, ({ to, fromId, type, lag }) => jobItem(to, lagNote(fromId, type, lag))),
    of: links.length,
    what: 'links by hand of open jobs',
    fault: `days between that no job tells of, ${percent(share)} of all ${all} links`,
    verdict: share > MOST_LAGS ? 'look' : 'ok',
    advice: `Above ${percent(MOST_LAGS)} the plan hides its work in waiting: make a job of what happens meanwhile, drying or a permit.`,
  };
}

function finishToStart({ schedule: { network } }: Looked): Finding {
  const { links } = network;
  const plain = links.filter(({ type }) => type === 'FS').length;
  const share = links.length === 0 ? 1 : plain / links.length;
  return judged('sequencing', {
    key: 'finish-to-start',
    title: 'Links from a finish to a start',
    verdict: share >= LEAST_FINISH_TO_START ? 'ok' : 'look',
    said: links.length === 0 ? 'There are no links.' : `${percent(share)} of ${links.length} links.`,
    advice: `Below ${percent(LEAST_FINISH_TO_START)} few can say what waits for what: change the others where the plain kind will do.`,
  });
}

/** Steps from which no way leads to a top assembly or to a trial: a slip there is never seen in the finish. */
function deadEnds(looked: Looked): Found {
  const { facts, network } = looked.schedule;
  const before = new Map<number, number[]>();
  for (const { from, to } of network.links) {
    const list = before.get(to);
    if (list) list.push(from);
    else before.set(to, [from]);
  }
  const queue = facts.tops.flatMap((id) => network.readyMarks.get(id) ?? []);
  network.nodes.forEach(({ kind }, at) => {
    if (kind === 'trial') queue.push(at);
  });
  const seen = new Set(queue);
  for (const at of queue) {
    for (const earlier of before.get(at) ?? []) {
      if (seen.has(earlier)) continue;
      seen.add(earlier);
      queue.push(earlier);
    }
  }
  const steps = working(looked);
  const dead = steps.filter((at) => !seen.has(at));
  return {
    key: 'dead-ends',
    title: 'Steps that lead to nothing',
    ...listed(dead, (at) => stepItem(looked, at)),
    of: steps.length,
    what: 'steps',
    fault: 'no way leads from them to a top assembly or a trial, so their slip is never seen in the finish',
    verdict: 'look',
    advice: 'Link them with what waits for them, or put their part into its assembly.',
  };
}

function wantedDays(looked: Looked): Found {
  const { facts, network, jobTimes } = looked.schedule;
  const wanted = network.openJobs.filter(({ wantedOn }) => wantedOn !== null);
  const items = wanted.flatMap((job): FindingItem[] => {
    const likelyOn = jobTimes.get(job.id)?.likelyOn ?? null;
    if (likelyOn === null || likelyOn <= job.wantedOn!) return [];
    const says = (day: string) => dayWords(day, facts.today);
    const begun = isBegun(job) ? ', begun' : '';
    return [jobItem(job, `wanted by ${says(job.wantedOn!)}, expected ${says(likelyOn)}${begun}`)];
  });
  return {
    key: 'wanted-days',
    title: 'Days the lead wants against the days of the plan',
    items,
    found: items.length,
    of: wanted.length,
    what: 'open jobs with a wanted day',
    fault: 'expected later than wanted',
    verdict: 'look',
    advice: 'Find a second maker or a shorter way, or want a day the plan can give.',
  };
}
