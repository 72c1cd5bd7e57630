import { formatQuantity } from '../parts/index.ts';
import type { Day } from '../platform/day.ts';
import type { GatheringFacts } from './build-facts.ts';
import { estimateOf, isLength } from './durations-estimate.ts';
import { type StepChances, stepChances } from './gathering-chance.ts';
import { ATTENTION_HOURS, type LeadAct } from './lead-steps.ts';
import { endDay, type Schedule } from './schedule.ts';
import type { Step } from './steps.ts';

/** Work that can be done at a gathering. */
export interface GatheringTask {
  /** its number in the network */
  step: number;
  kind: 'fit-up' | 'trial' | 'inspect' | 'other';
  label: string;
  jobId: number | null;
  partId: number | null;
  /** how much of the part, in thousandths of its unit */
  milli: number;
  /** the person at the job; null for anybody */
  personId: number | null;
  /** only one piece of work at a time goes on in a spot: the one named, else its part's; null for none */
  spot: string | null;
  /** hours of one person, and where the figure is from */
  hours: number;
  hoursBecause: string;
  /** the job is kept for this gathering */
  isKept: boolean;
  isHeld: boolean;
  /** work of the network it waits for, by number; `fromStart`: for its beginning only; `lagDays`: and so much longer */
  after: { step: number; lagDays: number; fromStart: boolean }[];
  /** what must be there that does not come about here, by number */
  supplies: number[];
  /** working days it can slip before the finish moves */
  floatDays: number;
  lateStart: number;
}

/** Something that work at a gathering waits for, and that comes about elsewhere. */
export interface GatheringSupply {
  /** the number of the step whose end brings it */
  step: number;
  /** in the post, with a maker, on order, with nobody yet, here to be inspected, or other work that comes before */
  kind: 'in the post' | 'with a maker' | 'on order' | 'not ordered' | 'with nobody' | 'here' | 'work';
  label: string;
  jobId: number | null;
  partId: number | null;
  claimId: number | null;
  makerId: number | null;
  milli: number;
  /** the moment (calendar.ts) and the day it is expected by the plan */
  expected: number;
  expectedOn: Day;
  /** the step that makes it, before the post; -1 where there is none */
  making: number;
}

/** What a gathering can be about, from the schedule. */
export interface GatheringWork {
  schedule: Schedule;
  gathering: GatheringFacts;
  /** moments of the mornings of its first day, or of today where that is later, and after its last */
  from: number;
  until: number;
  tasks: GatheringTask[];
  supplies: ReadonlyMap<number, GatheringSupply>;
  /** jobs kept for it that are made, bought or drawn by steps elsewhere, and why they are not on an agenda */
  elsewhere: { jobId: number; title: string; because: string }[];
  chances: StepChances;
  /** the links of the network by where they lead */
  into: LinksTo;
}

/** Chances are worked out so many days ahead at most; a gathering beyond is told when it comes nearer. */
export const GATHERING_HORIZON_DAYS = 400;

const MACHINE_ACTS: Partial<Record<Step['kind'], LeadAct>> = {
  'fit-up': 'fit',
  trial: 'try',
  other: 'do',
  design: 'draw',
  inspect: 'inspect',
  make: 'do',
};

/**
 * The work of a gathering: jobs kept for it; fit-ups and trials that by the plan are not over before it and can begin
 * before it ends; and the inspection of what comes too late to be inspected before. What each waits for is either among
 * them, or a supply with the day it is expected.
 *
 * @param dayHours  hours of work in a day there: a length that is said in days counts so many hours each
 * @returns         null for a gathering that is over, called off or farther than GATHERING_HORIZON_DAYS
 *
 * Linear in the network.
 */
export function gatheringWork(
  schedule: Schedule,
  gatheringId: number,
  dayHours: number,
): GatheringWork | null {
  const { facts, network, graph, dates } = schedule;
  const { nodes, links, calendar } = network;
  const gathering = facts.gatherings.get(gatheringId);
  if (!gathering || gathering.untilOn < facts.today) return null;
  const from = Math.max(0, calendar.momentOf(gathering.fromOn));
  const until = calendar.momentOf(gathering.untilOn) + 1;
  if (until > GATHERING_HORIZON_DAYS) return null;
  const count = nodes.length;
  const into = linksTo(schedule);

  // When the inputs of each step are expected, work at the gathering taking no time of the plan's days.
  const available = new Float64Array(count);
  const isTask = new Uint8Array(count);
  for (let place = 0; place < count; place++) {
    const at = graph.order[place]!;
    const step = nodes[at]!;
    let inputs = 0;
    let waitsForTask = false;
    for (let k = into.first[at]!; k < into.first[at + 1]!; k++) {
      const source = links[into.links[k]!]!.from;
      inputs = Math.max(inputs, available[source]!);
      if (isTask[source]) waitsForTask = true;
    }
    const { kind, job } = step;
    const isKept = job?.gatheringId === gatheringId;
    const isFree = job === null || job.gatheringId === null;
    const isOpen = waitsForTask || dates.earlyEnds[at]! > from;
    const fits =
      (isKept && MACHINE_ACTS[kind] !== undefined && !(kind === 'inspect')) ||
      ((kind === 'fit-up' || kind === 'trial') && isFree && isOpen && inputs < until) ||
      (kind === 'inspect' && isOpen && inputs < until);
    isTask[at] = fits ? 1 : 0;
    available[at] = fits
      ? Math.max(inputs, from)
      : kind === 'mark'
        ? inputs
        : Math.max(inputs, dates.earlyEnds[at]!);
  }
  dropIdleInspections(schedule, isTask, into);

  const supplies = new Map<number, GatheringSupply>();
  const tasks: GatheringTask[] = [];
  nodes.forEach((step, at) => {
    if (!isTask[at]) return;
    const task: GatheringTask = {
      step: at,
      kind: kindOf(step),
      label: step.label,
      jobId: step.jobId,
      partId: step.partId,
      milli: step.milli,
      personId: step.kind === 'inspect' ? null : (step.claim?.personId ?? step.job?.personId ?? null),
      spot: spotOf(step),
      ...hoursThere(schedule, step, dayHours),
      isKept: step.job?.gatheringId === gatheringId && step.kind !== 'inspect',
      isHeld: Boolean(step.job?.heldAt),
      after: [],
      supplies: [],
      floatDays: dates.floats[at]!,
      lateStart: dates.lateStarts[at]!,
    };
    gather(at, task);
    tasks.push(task);
  });

  /** Follows what a task waits for back to other tasks and to supplies, through what takes no time. */
  function gather(at: number, task: GatheringTask): void {
    const seen = new Set<number>();
    const asked = [at];
    while (asked.length > 0) {
      const to = asked.pop()!;
      for (let k = into.first[to]!; k < into.first[to + 1]!; k++) {
        const { from: source, type, lag } = links[into.links[k]!]!;
        const step = nodes[source]!;
        if (isTask[source]) {
          const fromStart = type === 'SS' || type === 'SF';
          if (!task.after.some((one) => one.step === source && one.fromStart === fromStart)) {
            task.after.push({ step: source, lagDays: Math.max(0, lag), fromStart });
          }
        } else if (seen.has(source)) continue;
        else if (
          step.kind === 'mark' ||
          (step.kind === 'inspect' && into.first[source + 1]! > into.first[source]!)
        ) {
          asked.push(source);
        } else {
          task.supplies.push(source);
          if (!supplies.has(source)) supplies.set(source, supplyOf(schedule, source, into));
        }
        seen.add(source);
      }
    }
  }

  const elsewhere = network.openJobs
    .filter(
      (job) =>
        job.gatheringId === gatheringId && !tasks.some(({ jobId, isKept }) => isKept && jobId === job.id),
    )
    .map(({ id, title }) => ({
      jobId: id,
      title,
      because: 'nothing of it is done at the machine: it is ordered, or made and posted',
    }));
  return {
    schedule,
    gathering,
    from,
    until,
    tasks,
    supplies,
    elsewhere,
    into,
    chances: stepChances(schedule, until),
  };
}

/** The links of a network by where they lead: those to step i are links[first[i] .. first[i + 1] - 1]. */
interface LinksTo {
  first: Int32Array;
  links: Int32Array;
}

function linksTo({ network: { nodes, links } }: Schedule): LinksTo {
  const first = new Int32Array(nodes.length + 1);
  for (const { to } of links) first[to + 1]!++;
  for (let at = 0; at < nodes.length; at++) first[at + 1]! += first[at]!;
  const next = first.slice();
  const sorted = new Int32Array(links.length);
  links.forEach(({ to }, link) => {
    sorted[next[to]!++] = link;
  });
  return { first, links: sorted };
}

/** Inspections stay only where work of the gathering waits for them. */
function dropIdleInspections({ network, graph }: Schedule, isTask: Uint8Array, into: LinksTo): void {
  const { nodes, links } = network;
  const isWanted = new Uint8Array(nodes.length);
  for (let place = nodes.length - 1; place >= 0; place--) {
    const at = graph.order[place]!;
    const { kind } = nodes[at]!;
    if (kind === 'inspect' && !isWanted[at]) isTask[at] = 0;
    const passesOn = kind === 'inspect' || kind === 'mark' ? isWanted[at] : isTask[at];
    if (!passesOn) continue;
    for (let k = into.first[at]!; k < into.first[at + 1]!; k++) isWanted[links[into.links[k]!]!.from] = 1;
  }
}

function kindOf({ kind }: Step): GatheringTask['kind'] {
  return kind === 'fit-up' || kind === 'trial' || kind === 'inspect' ? kind : 'other';
}

function spotOf({ kind, job, part }: Step): string | null {
  if (kind !== 'fit-up' && kind !== 'trial' && kind !== 'other') return null;
  const name = job?.spot.trim() ?? '';
  if (name !== '') return name;
  return part ? `${part.number} ${part.name}` : null;
}

/** Hours of a step at a gathering: those of its job; days said of it as days there; else the usual ones. */
function hoursThere({ facts, network }: Schedule, step: Step, dayHours: number) {
  const { job, part, kind, duration } = step;
  const usual = ATTENTION_HOURS[MACHINE_ACTS[kind] ?? 'do'];
  let hours = usual;
  let hoursBecause = `nobody estimated it: usually ${usual} h`;
  const days = isLength(job?.days)
    ? job.days
    : kind === 'fit-up' && isLength(part?.makeDays)
      ? part.makeDays
      : null;
  if (kind !== 'inspect' && isLength(job?.hours)) {
    hours = job.hours;
    hoursBecause = `job ${job.id} says ${hours} h`;
  } else if (kind !== 'inspect' && days !== null) {
    hours = days * dayHours;
    const says = isLength(job?.days) ? `job ${job.id}` : 'the part';
    hoursBecause = `${says} says ${days} ${days === 1 ? 'day' : 'days'}: ${hours} h there`;
  }
  if (job?.startedAt && kind !== 'inspect') {
    const whole = estimateOf(facts, network.calendar.perWeek, part, job).days;
    const left = Math.min(1, duration.days / Math.max(1, whole));
    if (left < 1) {
      hours *= left;
      hoursBecause += `; begun, ${Math.round(left * 100)} in 100 left`;
    }
  }
  return { hours, hoursBecause };
}

function supplyOf(schedule: Schedule, at: number, into: LinksTo): GatheringSupply {
  const { network, dates } = schedule;
  const { nodes, links } = network;
  const step = nodes[at]!;
  const { word, claim, job } = step;
  const kinds: Partial<Record<Step['word'], GatheringSupply['kind']>> = {
    travel: 'in the post',
    post: claim ? 'with a maker' : 'with nobody',
    delivery: job?.orderedAt ? 'on order' : 'not ordered',
    inspect: 'here',
  };
  const kind = kinds[word] ?? 'work';
  const { part, milli } = step;
  const isOne = milli === 1000 && part?.unit === 'piece';
  const named = part && (isOne ? part.name : `${part.name}, ${formatQuantity(milli, part.unit)}`);
  const before = [...into.links.subarray(into.first[at]!, into.first[at + 1]!)];
  const making = before.map((link) => links[link]!.from).find((source) => nodes[source]!.word === 'make');
  return {
    step: at,
    kind,
    label: kind === 'work' || !named ? step.label : named,
    jobId: step.jobId,
    partId: step.partId,
    claimId: claim?.id ?? null,
    makerId: claim?.personId ?? null,
    milli: step.milli,
    expected: kind === 'here' ? 0 : dates.earlyEnds[at]!,
    expectedOn: kind === 'here' ? schedule.facts.today : endDay(schedule, at, dates.earlyEnds[at]!),
    making: word === 'post' ? (making ?? -1) : -1,
  };
}
