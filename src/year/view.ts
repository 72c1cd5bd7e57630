import { countryName } from '../platform/country.ts';
import { type Day, dayWords } from '../platform/day.ts';
import { ELSEWHERE, pooled } from './by-country.ts';
import type { HoursGiven } from './hours.ts';
import { monthOf, monthWords } from './months.ts';
import { countLines, type Estimate, estimateLines, monthBars } from './pictures.ts';
import type { PromisesKept } from './promises.ts';
import type { Year } from './year.ts';

/** Fewer people than this are not told apart to outsiders. */
export const LEAST_PEOPLE = 3;
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
        ? 'No promise has fallen due yet.'
        : `Promises that fell due: ${judged}. Of them ${kept} kept, ${total.late} posted late, ${total.overdue} late and not posted.`,
  };
}

/** Hours that makers reported; null where no report is of the span. */
export function hoursView({ months, hours }: Year) {
  const sum = hours.reduce(
    (all, one): HoursGiven => ({
      hours: all.hours + one.hours,
      reports: all.reports + one.reports,
      said: all.said + one.said,
    }),
  );
  if (sum.reports === 0) return null;
  return {
    picture: monthBars(months, [{ kind: 'c-fill', values: hours.map((one) => one.hours) }]),
    hours: hoursText(sum.hours),
    reports: sum.reports,
    said: sum.said,
    rows: hours.map((one, at) => ({
      month: monthWords(months[at]!),
      hours: hoursText(one.hours),
      reports: one.reports,
      said: one.said,
    })),
    words: `${hoursText(sum.hours)} hours in ${months.length} months, as told in ${sum.said} of ${sum.reports} reports.`,
  };
}

/** By main assembly. @param isInside  whether hours of fewer people than LEAST_PEOPLE may be told */
export function assembliesView({ assemblies }: Year, isInside: boolean) {
  const rows = assemblies.map(({ part, needed, accepted, inSpan, hours, said, people }) => ({
    name: part.name,
    needed,
    accepted,
    inSpan,
    share: needed === 0 ? 0 : accepted / needed,
    percent: percent(accepted, needed),
    hours: said === 0 ? '' : isInside || people >= LEAST_PEOPLE ? hoursText(hours) : 'few people',
  }));
  return {
    rows: rows.slice(0, MOST_ASSEMBLIES),
    left: Math.max(0, rows.length - MOST_ASSEMBLIES),
    hidden: rows.some(({ hours }) => hours === 'few people'),
  };
}

/** By country. @param isInside  whether countries of fewer people than LEAST_PEOPLE may be told apart */
export function countriesView({ countries }: Year, isInside: boolean) {
  const rows = isInside ? countries : pooled(countries, LEAST_PEOPLE);
  const most = Math.max(1, ...rows.map(({ accepted }) => accepted));
  return {
    pooled: rows.some(({ country }) => country === ELSEWHERE),
    rows: rows.map(({ country, people, accepted, hours, said }) => ({
      name: country === ELSEWHERE ? 'elsewhere' : countryName(country) || 'not known',
      people,
      accepted,
      share: Math.max(0, accepted) / most,
      hours: said === 0 ? '' : hoursText(hours),
    })),
  };
}
