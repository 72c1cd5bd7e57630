import { z } from 'zod';
import { Days, strict } from './network-request.ts';

const mostObservations = 100_000;

/** What `leadTime` takes: days from the order or the promise. */
export const LeadTimeRequest = strict('a lead time question', {
  history: z
    .array(
      strict('an observation', {
        days: Days,
        finished: z.boolean('must be true, or false for one that had not come by then'),
      }),
      'history must be a list',
    )
    .max(mostObservations, `at most ${mostObservations.toLocaleString('en')} observations`),
  elapsed: Days.optional(),
  due: Days.optional(),
});
export type LeadTimeRequest = z.infer<typeof LeadTimeRequest>;

/** Days are counted from the beginning, also with `elapsed`. See `leadTime`. */
export interface LeadTimeReply {
  median: number | null;
  percentiles: { '50': number | null; '80': number | null; '95': number | null };
  chanceByDue: number | null;
  survival: { days: number; open: number; low: number | null; high: number | null }[];
}

/** The standard normal value that 2.5 % lie above. */
const normal95 = 1.959963984540054;

/** A share that reaches a percentile but for rounding error reaches it. */
const rounding = 1e-12;

/**
 * How long a thing takes to come, from how long others took and how long those still open have been open.
 *
 * @param request  `history`: for each, the days it took, or (`finished: false`) the days after which it had not come and
 *                 was seen no more; one cut off on a day when another came counts as open on that day.
 *                 `elapsed`: days it has taken already without coming, more than 0 to matter: all that is replied is
 *                 then on that condition, and rests on the observations longer than that.
 *                 `due`: the day asked about
 * @returns        `survival`: for each day on which something came, the share still `open` after it, with 95 % limits
 *                 (null once nothing is open: there the variance has no value). `percentiles`, `median`: the first day
 *                 by which so many per cent have come; null when the history never gets there. `chanceByDue`: the share
 *                 that has come by `due`; null without `due`, without history, and after the last observation when that
 *                 was still open: what happens there the history does not tell
 *
 * Source: product-limit estimate, Kaplan and Meier, "Nonparametric estimation from incomplete observations" (1958);
 * variance, Greenwood (1926); limits on the scale of ln(-ln), Kalbfleisch and Prentice, "The Statistical Analysis of
 * Failure Time Data" (1980).
 */
export function leadTime({ history, elapsed = 0, due }: LeadTimeRequest): LeadTimeReply {
  const observed = history
    .filter(({ days }) => elapsed === 0 || days > elapsed)
    .sort((one, other) => one.days - other.days);
  const survival = survivalSteps(observed);
  const dayOf = (percent: number) =>
    survival.find(({ open }) => open <= 1 - percent / 100 + rounding)?.days ?? null;
  const median = dayOf(50);
  return {
    median,
    percentiles: { '50': median, '80': dayOf(80), '95': dayOf(95) },
    chanceByDue: due === undefined ? null : chanceBy(due, elapsed, observed, survival),
    survival,
  };
}

function survivalSteps(observed: LeadTimeRequest['history']): LeadTimeReply['survival'] {
  const steps: LeadTimeReply['survival'] = [];
  let open = 1;
  let variance = 0;
  for (let first = 0; first < observed.length; ) {
    const { days } = observed[first]!;
    const atRisk = observed.length - first;
    let came = 0;
    for (; first < observed.length && observed[first]!.days === days; first++)
      if (observed[first]!.finished) came++;
    if (came === 0) continue;
    open *= (atRisk - came) / atRisk;
    variance += came / (atRisk * (atRisk - came));
    steps.push({ days, open, ...limits(open, variance) });
  }
  return steps;
}

/** @param variance  Greenwood's sum, the variance of ln(open) */
function limits(open: number, variance: number): { low: number | null; high: number | null } {
  if (open === 0) return { low: null, high: null };
  const width = (normal95 * Math.sqrt(variance)) / -Math.log(open);
  return { low: open ** Math.exp(width), high: open ** Math.exp(-width) };
}

function chanceBy(
  due: number,
  elapsed: number,
  observed: LeadTimeRequest['history'],
  survival: LeadTimeReply['survival'],
): number | null {
  const last = observed.at(-1);
  if (!last) return null;
  if (elapsed > 0 && due <= elapsed) return 0;
  const open = survival.findLast(({ days }) => days <= due)?.open ?? 1;
  return due > last.days && open > 0 ? null : 1 - open;
}
