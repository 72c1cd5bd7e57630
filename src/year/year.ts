import { type JobFacts, quantitiesOf } from '../jobs/index.ts';
import type { PartsGraph } from '../parts/index.ts';
import type { Day } from '../platform/day.ts';
import {
  type AcceptedOverTime,
  type AcceptedUnits,
  acceptedByPart,
  acceptedOverTime,
  neededOverTime,
  plannedOverTime,
  type ToCome,
} from './accepted.ts';
import { type AssemblyYear, byAssembly, type MainAssembly, mainAssemblies } from './by-assembly.ts';
import { byCountry, type CountryYear } from './by-country.ts';
import { type HoursGiven, hoursByMonth } from './hours.ts';
import { addMonths, firstDayOf, lastDayOf, type Month, monthOf, monthsFrom } from './months.ts';
import { giversOf, toldMonths } from './outside.ts';
import type { Estimate } from './pictures.ts';
import { type PromiseMade, type PromisesKept, postedAt, promisesByMonth } from './promises.ts';
import type { YearFacts } from './year-reader.ts';

/** A year, or another span of months, in figures. */
export interface Year {
  months: Month[];
  /** the month that runs */
  thisMonth: Month;
  /** whole pieces that the machine needs of parts made for it */
  needed: number;
  accepted: AcceptedOverTime;
  /** over the months, and those after them up to the last day by which something is needed */
  ahead: Month[];
  neededBy: (number | null)[];
  planned: { name: string; day: Day; values: (number | null)[] } | null;
  estimates: readonly Estimate[];
  promises: { months: PromisesKept[]; dueLater: number };
  hours: HoursGiven[];
  assemblies: AssemblyYear[];
  countries: CountryYear[];
  outside: OutsideYear;
}

/**
 * What outsiders are told of hours and countries: of whole months, and by assembly and country the same whatever months are
 * asked for, so that nothing follows from the difference of two spans.
 */
export interface OutsideYear {
  /** the last month that is over; null while the first of the build runs */
  until: Month | null;
  /** months whose hours are told */
  months: ReadonlySet<Month>;
  /** with the hours of those months, since the beginning */
  assemblies: AssemblyYear[];
  /** who told hours in them for a part that is in no assembly */
  loose: ReadonlySet<number>;
  /** since the beginning, until the last month that is over */
  countries: CountryYear[];
}

/** Months drawn after the span at most, to show what is needed by when. */
const MOST_AHEAD = 12;

/** What makers make, in pieces: the parts that are counted, and how much the machine needs of each. */
export function countedParts({
  parts,
  required,
}: Pick<PartsGraph, 'parts' | 'required'>): Map<number, number> {
  return new Map(
    [...required()].filter(([id, milli]) => {
      const part = parts.get(id);
      return part?.kind === 'made' && part.unit === 'piece' && milli > 0;
    }),
  );
}

/**
 * A span of months in figures. Pure.
 *
 * @param needByOn  by job: the latest day it may be there without moving the finish
 */
export function yearOf(
  facts: YearFacts,
  span: { from: Month; until: Month },
  today: Day,
  needByOn: (jobId: number) => Day | null,
): Year {
  const { graph, units, jobs, plan } = facts;
  const months = monthsFrom(span.from, span.until);
  const from = firstDayOf(span.from);
  const until = lastDayOf(span.until);
  const inSpan = <T extends { day: Day }>(rows: readonly T[]) =>
    rows.filter(({ day }) => day >= from && day <= until);
  const required = countedParts(graph);
  let needed = 0;
  for (const milli of required.values()) needed += milli;
  const isNow = today >= from && today <= until;
  const toCome = isNow ? stillToCome(jobs, required, needByOn) : [];
  const ahead = [...months, ...monthsAhead(span.until, toCome)];
  const unitsInSpan = inSpan(units);
  const reportsInSpan = inSpan(facts.reports);
  const acceptedNow = acceptedByPart(
    units.filter(({ day }) => day <= until),
    required,
  );
  const mains = mainAssemblies(graph);
  const planRequired = new Map([...required].filter(([id]) => !facts.addedSince.has(id)));
  return {
    months,
    thisMonth: monthOf(today),
    needed: Math.round(needed / 1000),
    accepted: acceptedOverTime(units, required, months),
    ahead,
    neededBy:
      toCome.length > 0 ? neededOverTime(toCome, acceptedNow, required, ahead, today) : ahead.map(() => null),
    planned: plan && {
      name: plan.name,
      day: plan.day,
      values: plannedOverTime(plan, planRequired, ahead),
    },
    estimates: facts.estimates,
    promises: promisesByMonth(promisesOf(jobs, facts.dayOf), months, today),
    hours: hoursByMonth(facts.reports, months),
    assemblies: byAssembly(mains, required, acceptedNow, unitsInSpan, reportsInSpan),
    countries: byCountry(
      unitsInSpan.filter(({ partId }) => required.has(partId)),
      reportsInSpan,
      facts.countryOf,
    ),
    outside: outsideYear(facts, today, required, mains, acceptedNow, unitsInSpan),
  };
}

function outsideYear(
  { units, reports, countryOf, createdOn }: YearFacts,
  today: Day,
  required: ReadonlyMap<number, number>,
  mains: readonly MainAssembly[],
  accepted: ReadonlyMap<number, number>,
  unitsInSpan: readonly AcceptedUnits[],
): OutsideYear {
  const thisMonth = monthOf(today);
  const months = toldMonths(reports, thisMonth);
  const told = reports.filter(({ day }) => months.has(monthOf(day)));
  const inAssemblies = new Set(mains.flatMap(({ takes }) => [...takes.keys()]));
  const isOver = ({ day }: { day: Day }) => monthOf(day) < thisMonth;
  return {
    until: monthOf(createdOn) < thisMonth ? addMonths(thisMonth, -1) : null,
    months,
    assemblies: byAssembly(mains, required, accepted, unitsInSpan, told),
    loose: giversOf(told.filter(({ partId }) => partId === null || !inAssemblies.has(partId))),
    countries: byCountry(
      units.filter((unit) => isOver(unit) && required.has(unit.partId)),
      told,
      countryOf,
    ),
  };
}

/** What open jobs for makers still owe of the parts that are counted. */
function stillToCome(
  jobs: readonly JobFacts[],
  required: ReadonlyMap<number, number>,
  needByOn: (jobId: number) => Day | null,
): ToCome[] {
  return jobs.flatMap((job) => {
    if (job.kind !== 'fabricate' || job.droppedAt || job.partId === null || !required.has(job.partId))
      return [];
    const { total, accepted, rejected } = quantitiesOf(job);
    const milli = total - accepted - rejected;
    return milli > 0 ? [{ partId: job.partId, milli, byOn: needByOn(job.id) }] : [];
  });
}

function monthsAhead(last: Month, toCome: readonly ToCome[]): Month[] {
  const lastDay = toCome.reduce((latest, { byOn }) => (byOn !== null && byOn > latest ? byOn : latest), '');
  return lastDay === '' ? [] : monthsFrom(last, lastDay.slice(0, 7)).slice(1, MOST_AHEAD + 1);
}

/** Promises that can be judged: what was handed back whole, or dropped before it was posted, tells nothing. */
function promisesOf(jobs: readonly JobFacts[], dayOf: (instant: string) => Day): PromiseMade[] {
  return jobs.flatMap((job) =>
    job.claims.flatMap((claim): PromiseMade[] => {
      const posted = postedAt(claim);
      if (claim.milli - claim.backMilli <= 0 || (job.droppedAt && posted === null)) return [];
      const { soonestDays, latestDays } = claim;
      return [
        {
          claimedOn: dayOf(claim.claimedAt),
          soonestDays,
          latestDays,
          postedOn: posted === null ? null : dayOf(posted),
        },
      ];
    }),
  );
}
