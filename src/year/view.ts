import { countryName } from '../platform/country.ts';
import { type Day, dayWords } from '../platform/day.ts';
import { ELSEWHERE, pooled } from './by-country.ts';
import { NO_HOURS } from './hours.ts';
import { monthOf, monthWords } from './months.ts';
import { untold } from './outside.ts';
import { countLines, type Estimate, estimateLines, monthBars } from './pictures.ts';
import type { PromisesKept } from './promises.ts';
import type { Year } from './year.ts';

/** So many estimates are drawn one by one; of more, the last of each week, or of each month. */
const MOST_ESTIMATES = 120;
const MOST_ASSEMBLIES = 40;

const LINES = { accepted: 'c-thick', planned: 'c-dashed', needed: 'c-dotted', all: 'c-chain' } as const;
const FINISHES = { finishOn: 'c-axis', at50On: 'c-thin', at80On: 'c-dashed', at95On: 'c-dotted' } as const;

const hoursText = (hours: number) => String(Math.round(hours * 10) / 10);
const percent = (part: number, whole: number) => (whole === 0 ? '' : `${Math.round((part / whole) * 100)} %`);

/** How the pieces stand: a picture, its table, and both in a sentence. */
export function acceptedView({ needed, accepted, ahead, months, neededBy, planned }: Year) {
  const filled = (values: readonly (number | null)[]) => [
    ...values,
    ...ahead.slice(values.length).map(() => null),
  ];
  const now = accepted.ends.at(-1) ?? accepted.before;
  const picture = countLines(
    ahead,
    [
      ...(planned ? [{ kind: LINES.planned, values: [null, ...planned.values] }] : []),
      { kind: LINES.needed, values: [null, ...neededBy] },
      { kind: LINES.accepted, values: [accepted.before, ...filled(accepted.ends)] },
    ],
    { kind: LINES.all, value: needed },
  );
  const hasPlan = planned?.values.some((value) => value !== null) ?? false;
  const hasNeed = neededBy.some((value) => value !== null);
  return {
    picture,
    kinds: LINES,
    needed,
    now,
    spare: accepted.spare,
    share: percent(now, needed),
    plan: hasPlan && planned ? { name: planned.name, day: dayWords(planned.day) } : null,
    hasNeed,
    rows: ahead.map((month, at) => ({
      month: monthWords(month),
      accepted: accepted.ends[at] ?? '',
      more: at < months.length ? accepted.ends[at]! - (accepted.ends[at - 1] ?? accepted.before) : '',
      planned: planned?.values[at] ?? '',
      needed: neededBy[at] ?? '',
    })),
    words: `Of ${needed} pieces needed ${accepted.before} were accepted before ${monthWords(months[0]!)}, and ${now} by the end of ${monthWords(months.at(-1)!)} or so far.`,
  };
}

/** The finish as it was estimated; null where no estimate is stored of the span. */
export function finishView({ months, estimates }: Year) {
  const drawn = thinned(estimates);
  const picture = estimateLines(months, drawn, FINISHES);
  const first = estimates[0];
  const last = estimates.at(-1);
  if (!picture || !first || !last) return null;
  const ofMonth = new Map(estimates.map((one) => [monthOf(one.day), one]));
  const words = (day: Day | null) => (day === null ? '' : dayWords(day));
  return {
    picture,
    kinds: FINISHES,
    simulated: estimates.some(({ at80On }) => at80On !== null),
    rows: [...ofMonth].map(([month, { day, finishOn, at50On, at80On, at95On }]) => ({
      month: monthWords(month),
      on: dayWords(day),
      likely: words(finishOn),
      at50: words(at50On),
      at80: words(at80On),
      at95: words(at95On),
    })),
    words: `The finish, as estimated on ${dayWords(first.day)}: ${dayWords(first.finishOn)}; on ${dayWords(last.day)}: ${dayWords(last.finishOn)}.`,
  };
}

/** The last of each week, or of each month, where there are too many to be told apart. */
function thinned(estimates: readonly Estimate[]): Estimate[] {
  if (estimates.length <= MOST_ESTIMATES) return [...estimates];
  const week = (day: Day) => Math.floor(Date.parse(day) / (7 * 86_400_000));
  const weekly = new Map(estimates.map((one) => [week(one.day), one]));
  if (weekly.size <= MOST_ESTIMATES) return [...weekly.values()];
  return [...new Map(estimates.map((one) => [monthOf(one.day), one])).values()];
}

const OUTCOMES = [
  { name: 'onTime', kind: 'c-fill', label: 'between the soonest and the latest day' },
  { name: 'early', kind: 'c-paper', label: 'before the soonest day' },
  { name: 'late', kind: 'hatch', label: 'after the latest day' },
  { name: 'overdue', kind: 'cross', label: 'not posted, the latest day over' },
  { name: 'open', kind: 'bar-float', label: 'not posted, the latest day to come' },
] as const;

/** Promises and what became of them; null where none fell due in the span. */
export function promisesView({ months, promises }: Year) {
  const total: PromisesKept = { early: 0, onTime: 0, late: 0, overdue: 0, open: 0 };
  for (const row of promises.months) for (const { name } of OUTCOMES) total[name] += row[name];
  const all = OUTCOMES.reduce((sum, { name }) => sum + total[name], 0);
  if (all === 0 && promises.dueLater === 0) return null;
  const judged = all - total.open;
  const kept = total.early + total.onTime;
  return {
    picture: monthBars(
      months,
      OUTCOMES.map(({ name, kind }) => ({ kind, values: promises.months.map((row) => row[name]) })),
    ),
    outcomes: OUTCOMES,
    total,
    dueLater: promises.dueLater,
    rows: promises.months.map((row, at) => ({ month: monthWords(months[at]!), ...row })),
    words:
      judged === 0
        ? total.open > 0
          ? 'No promise of these months has fallen due yet.'
          : 'No promise fell due in these months.'
        : `Promises that fell due: ${judged}. Of them ${kept} kept, ${total.late} posted late, ${total.overdue} late and not posted.`,
  };
}

const FEW = 'few people';
const NOT_OVER = 'still running';

/**
 * Hours that makers reported; null where no report is of the span.
 *
 * @param isInside  whether hours may be told of a month that runs, or of few people
 */
export function hoursView({ months, hours, outside, thisMonth }: Year, isInside: boolean) {
  const isTold = (at: number) => isInside || hours[at]!.said === 0 || outside.months.has(months[at]!);
  const all = hours.reduce(
    (sum, { reports, said }) => ({ reports: sum.reports + reports, said: sum.said + said }),
    { reports: 0, said: 0 },
  );
  if (all.reports === 0) return null;
  const told = hours.map((one, at) => (isTold(at) ? one : NO_HOURS));
  const sum = told.reduce(
    (so, one) => ({
      hours: so.hours + one.hours,
      reports: so.reports + one.reports,
      said: so.said + one.said,
    }),
    NO_HOURS,
  );
  const isHidden = months.some((_, at) => !isTold(at));
  return {
    picture:
      sum.said === 0 && isHidden
        ? null
        : monthBars(months, [{ kind: 'c-fill', values: told.map((one) => one.hours) }]),
    hours: hoursText(sum.hours),
    reports: sum.reports,
    said: sum.said,
    isHidden,
    rows: hours.map((one, at) => ({
      month: monthWords(months[at]!),
      hours: isTold(at) ? hoursText(one.hours) : months[at]! >= thisMonth ? NOT_OVER : FEW,
      reports: one.reports,
      said: one.said,
    })),
    words: `${hoursText(sum.hours)} hours in ${months.length} ${months.length === 1 ? 'month' : 'months'}, as told in ${sum.said} of ${sum.reports} reports.`,
  };
}

/** By main assembly. @param isInside  whether hours of these very months may be told, and of few people */
export function assembliesView({ assemblies, outside }: Year, isInside: boolean) {
  const seen = (rows: Year['assemblies']) => rows.slice(0, MOST_ASSEMBLIES);
  const ofHours = isInside ? assemblies : outside.assemblies;
  const hidden: ReadonlySet<unknown> = isInside
    ? new Set()
    : untold(seen(ofHours), outside.loose, ofHours.slice(MOST_ASSEMBLIES));
  const rows = seen(ofHours).map((row) => {
    const { part, needed, accepted, inSpan, hours, said } = row;
    return {
      name: part.name,
      needed,
      accepted,
      inSpan,
      share: needed === 0 ? 0 : accepted / needed,
      percent: percent(accepted, needed),
      hours: said === 0 ? '' : hidden.has(row) ? FEW : hoursText(hours),
    };
  });
  return {
    rows,
    left: Math.max(0, ofHours.length - MOST_ASSEMBLIES),
    hidden: hidden.size > 0,
    hoursUntil: isInside ? '' : wholeUntil(outside),
  };
}

/** By country. @param isInside  whether these very months may be told, and countries of few people */
export function countriesView({ countries, outside }: Year, isInside: boolean) {
  const rows = isInside ? countries : pooled(outside.countries);
  const hidden: ReadonlySet<unknown> = isInside ? new Set() : untold(rows, new Set());
  const most = Math.max(1, ...rows.map(({ accepted }) => accepted));
  return {
    pooled: rows.some(({ country }) => country === ELSEWHERE),
    isInside,
    until: wholeUntil(outside),
    hidden: hidden.size > 0,
    rows: rows.map((row) => ({
      name: row.country === ELSEWHERE ? 'elsewhere' : countryName(row.country) || 'not known',
      people: row.people,
      accepted: row.accepted,
      share: Math.max(0, row.accepted) / most,
      hours: row.said === 0 ? '' : hidden.has(row) ? FEW : hoursText(row.hours),
    })),
  };
}

const wholeUntil = ({ until }: Year['outside']) => (until === null ? '' : monthWords(until));
