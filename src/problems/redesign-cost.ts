import { formatQuantity } from '../parts/index.ts';
import { type Day, dayWords } from '../platform/day.ts';
import {
  type CostOfOutcome,
  type OutlookService,
  type RedesignAt80,
  type RedesignCost,
  type RedesignWish,
  redesignAt80,
  redesignCost,
  type Schedule,
} from '../schedule/index.ts';
import { some } from './redesign-impact-words.ts';

interface Kept {
  costs: Map<string, RedesignCost>;
  at80: Map<string, Promise<RedesignAt80 | null>>;
  /** those of them that are there */
  told: Map<string, RedesignAt80 | null>;
}

/** What redesigns cost by one schedule: worked out once, and forgotten with the schedule. */
export class RedesignCosts {
  readonly #kept = new WeakMap<Schedule, Kept>();

  /** Two passes over the network when it is first asked for. */
  of(schedule: Schedule, wish: RedesignWish): RedesignCost {
    const { costs } = this.#of(schedule);
    const key = JSON.stringify(wish);
    const kept = costs.get(key);
    if (kept) return kept;
    const cost = redesignCost(schedule, wish);
    costs.set(key, cost);
    return cost;
  }

  /** Whether it is worked out already. */
  has(schedule: Schedule, wish: RedesignWish): boolean {
    return this.#of(schedule).costs.has(JSON.stringify(wish));
  }

  /** In 80 of 100 runs: three simulations, in a thread of their own. */
  at80(
    outlooks: Pick<OutlookService, 'simulate'>,
    schedule: Schedule,
    wish: RedesignWish,
  ): Promise<RedesignAt80 | null> {
    const { at80, told } = this.#of(schedule);
    const key = JSON.stringify(wish);
    let found = at80.get(key);
    if (!found) {
      found = redesignAt80(outlooks, schedule, wish);
      at80.set(key, found);
      found.then(
        (one) => told.set(key, one),
        // What failed is tried again by who asks next.
        () => at80.delete(key),
      );
    }
    return found;
  }

  /** The same where it is simulated already; null where nobody asked, or it is under way. */
  at80IfThere(schedule: Schedule, wish: RedesignWish): RedesignAt80 | null {
    return this.#of(schedule).told.get(JSON.stringify(wish)) ?? null;
  }

  #of(schedule: Schedule): Kept {
    let kept = this.#kept.get(schedule);
    if (!kept) {
      kept = { costs: new Map(), at80: new Map(), told: new Map() };
      this.#kept.set(schedule, kept);
    }
    return kept;
  }
}

/** Hours as people say them: 5.5 h. */
export const hoursWords = (hours: number) => `${Number(hours.toFixed(1))} h`;

const laterWords = (days: number) => (days === 0 ? 'no days' : some(days, 'day'));
const range = (from: string, to: string) => (from === to ? from : `${from} to ${to}`);

/** What a redesign costs, as its page shows it. */
export function costView(
  cost: RedesignCost,
  { facts }: Pick<Schedule, 'facts'>,
  at80: RedesignAt80 | null = null,
) {
  const { best, worst, finishOn } = cost;
  const day = (one: Day | null) => (one === null ? '' : dayWords(one, facts.today));
  const outcome = (one: CostOfOutcome) => ({
    days: one.days,
    later: laterWords(one.days),
    finishOn: one.days === 0 ? '' : day(one.finishOn),
    leadHours: hoursWords(one.leadHours),
  });
  const lines = [
    ...best.hours,
    ...worst.hours.filter(({ label }) => !best.hours.some((line) => line.label === label)),
  ];
  const hoursIn = (one: CostOfOutcome, label: string) =>
    one.hours.find((line) => line.label === label)?.hours ?? 0;
  const inRuns = (one: RedesignAt80['best']) => ({
    later: laterWords(one.days),
    finishOn: one.days === 0 ? '' : day(one.finishOn),
  });
  return {
    finishOn: day(finishOn),
    /** in 80 of 100 runs; null where nobody asked */
    at80: at80 && {
      finishOn: day(at80.finishOn),
      runs: at80.runs,
      best: inRuns(at80.best),
      worst: inRuns(at80.worst),
    },
    best: { ...outcome(best), because: bestReason(best) },
    worst: { ...outcome(worst), because: worstReason(worst, facts) },
    /** in a few words: from the best to the worst */
    short: `${range(laterWords(best.days), laterWords(worst.days))} for the finish, ${range(hoursWords(best.leadHours), hoursWords(worst.leadHours))} for the lead`,
    hours: lines.map(({ label, because }) => ({
      label,
      because,
      best: hoursWords(hoursIn(best, label)),
      worst: hoursWords(hoursIn(worst, label)),
    })),
    steps: worst.steps.map((step) => ({
      label: step.label,
      from: day(step.earlyStart),
      until: day(step.earlyEnd),
      days: step.working ? some(step.durationDays, 'working day') : some(step.durationDays, 'day'),
      because: step.because,
    })),
  };
}

function bestReason({ days, steps }: CostOfOutcome): string {
  const kept = 'What is made and claimed is finished to the old drawings and used.';
  const waits = steps.some(({ kind }) => kind === 'find' || kind === 'order' || kind === 'fit-up');
  if (days > 0) {
    return waits
      ? `${kept} What nobody has claimed waits for the new drawings, and the finish with it.`
      : `${kept} The drawings themselves are what is finished last.`;
  }
  return waits
    ? `${kept} What nobody has claimed waits for the new drawings, and has the time.`
    : `${kept} Nothing waits for the new drawings.`;
}

function worstReason(
  { days, anew, refits, slackDays }: CostOfOutcome,
  { parts }: Pick<Schedule['facts'], 'parts'>,
): string {
  const named = (list: CostOfOutcome['anew']) =>
    list
      .map(({ partId, milli }) => {
        const part = parts.get(partId)!;
        return `${formatQuantity(milli, part.unit)} of ${part.number}`;
      })
      .join(', ');
  const said = [
    anew.length > 0
      ? `Nothing made to the old drawings can be used: ${named(anew)} made or bought anew, by makers still to be found.`
      : 'Nothing is made to the old drawings yet.',
    refits.length > 0 && `Taken apart and fitted again: ${named(refits)}.`,
    slackDays !== null &&
      slackDays > 0 &&
      `The new pieces could be ${some(slackDays, 'working day')} later still before the finish moves${days > 0 ? ' further' : ''}.`,
    slackDays === 0 && days > 0 && 'The finish waits for the new pieces.',
  ];
  return said.filter(Boolean).join(' ');
}
