import { type Day, daysBetween } from '../platform/day.ts';
import { count } from './durations-estimate.ts';
import { ATTENTION_HOURS } from './lead-steps.ts';
import {
  type AddedWork,
  type Outcome,
  type PlannedRedesign,
  type WithRedesign,
  withRedesign,
} from './redesign-facts.ts';
import { chainTo, type DatedStep, datedStep, type Schedule, scheduleOf } from './schedule.ts';

/** What is asked of the lead beside the drawings, counted by whoever knows the claims and the pieces. */
export interface RedesignWish extends PlannedRedesign {
  /** shares of makers who must be told which drawing to finish to */
  claims: number;
  /** lots of accepted units to decide on */
  lots: number;
}

/** A line of the lead's hours. */
export interface HoursLine {
  label: string;
  hours: number;
  because: string;
}

/** What a redesign costs in one outcome. */
export interface CostOfOutcome {
  outcome: Outcome;
  /** the day the machine is finished with it; null when nothing is left to do even so */
  finishOn: Day | null;
  /** calendar days by which the finish comes later, 0 or more */
  days: number;
  /** the day the new pieces are ready to fit; null where none are made */
  readyOn: Day | null;
  /** working days that the new pieces could be later still without moving the finish; null where none are made */
  slackDays: number | null;
  /** the steps up to the new pieces, in their order, those of the redesign's parts alone */
  steps: DatedStep[];
  anew: AddedWork[];
  refits: AddedWork[];
  hours: HoursLine[];
  leadHours: number;
}

/** What a redesign costs, before it is released. */
export interface RedesignCost {
  /** the finish without it */
  finishOn: Day | null;
  /** parts with no drawing of the new revision yet */
  undrawn: number[];
  best: CostOfOutcome;
  worst: CostOfOutcome;
}

/**
 * What a redesign costs the finish and the lead: the schedule with it against the schedule without it.
 *
 * Best: everything made or claimed until now is used, and only what nobody has claimed waits for the new drawings.
 * Worst: all of it is made anew by makers still to be found, and every finished assembly above is fitted once more.
 * The worst holds all steps of the best and more, so that it never costs less. A redesign that by chance brings a
 * sooner finish (an offer that is out for long is begun anew) is told as costing nothing.
 *
 * Pure; two passes over the network. Hours of attention are those of the lead's steps (common practice, no source).
 */
export function redesignCost(schedule: Schedule, wish: RedesignWish): RedesignCost {
  const best = costOf(schedule, wish, 'used');
  const worst = costOf(schedule, wish, 'remade');
  if (worst.cost.days < best.cost.days) {
    worst.cost.days = best.cost.days;
    worst.cost.finishOn = best.cost.finishOn;
  }
  return { finishOn: schedule.finishOn, undrawn: best.undrawn, best: best.cost, worst: worst.cost };
}

/** The schedule with a redesign in it. */
export function scheduleWith(
  { facts: present, network }: Schedule,
  planned: PlannedRedesign,
  outcome: Outcome,
): Omit<WithRedesign, 'facts'> & { schedule: Schedule } {
  const { facts, ...added } = withRedesign(present, planned, outcome);
  return { ...added, schedule: scheduleOf(facts, { history: network.history.for(facts) }) };
}

function costOf(
  schedule: Schedule,
  wish: RedesignWish,
  outcome: Outcome,
): { cost: CostOfOutcome; undrawn: number[] } {
  const { schedule: changed, drawingHours, undrawn, anew, refits } = scheduleWith(schedule, wish, outcome);
  const before = schedule.finishOn ?? schedule.facts.today;
  const later = changed.finishOn === null ? 0 : Math.max(0, daysBetween(before, changed.finishOn));
  const hours = hoursOf(schedule, wish, { drawingHours, undrawn, anew, refits });
  return {
    undrawn,
    cost: {
      outcome,
      finishOn: later === 0 ? (schedule.finishOn ?? changed.finishOn) : changed.finishOn,
      days: later,
      ...pieces(changed, wish.partIds),
      anew,
      refits,
      hours,
      leadHours: hours.reduce((sum, line) => sum + line.hours, 0),
    },
  };
}

/** When the pieces that the machine waits for longest are ready, and the way there. */
function pieces(
  schedule: Schedule,
  partIds: readonly number[],
): Pick<CostOfOutcome, 'readyOn' | 'slackDays' | 'steps'> {
  const { network, dates } = schedule;
  const marks = partIds.flatMap((id) => network.readyMarks.get(id) ?? []);
  if (marks.length === 0) return { readyOn: null, slackDays: null, steps: [] };
  const { floats, earlyEnds } = dates;
  const last = marks.reduce((one, other) =>
    floats[other]! < floats[one]! || (floats[other] === floats[one] && earlyEnds[other]! > earlyEnds[one]!)
      ? other
      : one,
  );
  const steps = chainTo(schedule, last)
    .filter((at) => {
      const { partId, kind } = network.nodes[at]!;
      return kind !== 'mark' && partId !== null && partIds.includes(partId);
    })
    .map((at) => datedStep(schedule, at));
  return { readyOn: datedStep(schedule, last).earlyEnd, slackDays: floats[last]!, steps };
}

function hoursOf(
  { facts }: Schedule,
  { partIds, hours, claims, lots }: RedesignWish,
  work: { drawingHours: number; undrawn: readonly number[]; anew: AddedWork[]; refits: AddedWork[] },
): HoursLine[] {
  const line = (label: string, times: number, each: number) => ({
    label,
    hours: times * each,
    because: `usually ${each} h each`,
  });
  const { undrawn, drawingHours } = work;
  const said = undrawn.filter((id) => facts.parts.get(id)?.designHours).length;
  const lines: HoursLine[] = [
    {
      label: `Draw ${undrawn.length} of ${count(partIds.length, 'part')}`,
      hours: drawingHours,
      because:
        hours !== null
          ? `by the lead’s own estimate of ${hours} h for all of them`
          : said === undrawn.length
            ? 'as the parts say'
            : `nobody estimated ${undrawn.length - said} of them: usually ${ATTENTION_HOURS.draw} h each`,
    },
    line(`Release ${count(partIds.length, 'revision')}`, partIds.length, ATTENTION_HOURS.release),
    line(`Settle ${count(claims, 'claim')} with makers at work`, claims, ATTENTION_HOURS.answer),
    line(`Decide on ${count(lots, 'lot')} of accepted units`, lots, ATTENTION_HOURS.decide),
    line(`Offer or order ${count(work.anew.length, 'part')} anew`, work.anew.length, ATTENTION_HOURS.offer),
    line(`Inspect ${count(work.anew.length, 'part')} made anew`, work.anew.length, ATTENTION_HOURS.inspect),
    line(
      `Fit ${work.refits.length} ${work.refits.length === 1 ? 'assembly' : 'assemblies'} again`,
      work.refits.length,
      ATTENTION_HOURS.fit,
    ),
  ];
  return lines.filter((one) => one.hours > 0);
}
