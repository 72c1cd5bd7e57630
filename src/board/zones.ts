import { isOver, type JobCard, type JobFacts, type Stage } from '../jobs/index.ts';
import { formatQuantity, type Unit } from '../parts/index.ts';

/** Down the page: what is furthest from done first, what is over last. */
export const STAGES = [
  'preparing',
  'waiting',
  'ready',
  'offered',
  'promised',
  'in work',
  'in the post',
  'to inspect',
  'on hold',
  'accepted',
  'finished',
  'dropped',
] as const satisfies readonly Stage[];

/** Above so many a zone is rows of one line each. */
export const MOST_CARDS = 40;
/** The same on a board of more than MANY jobs, so that a page stays light. */
const MOST_CARDS_OF_MANY = 12;
const MANY = 100;
/** Rows of a zone before the rest is a page of its own. */
export const MOST_ROWS = 40;
const RECENT = 8;
/** Rows of the page of one stage. */
export const PAGE_ROWS = 300;

export interface BoardJob {
  card: JobCard;
  job: JobFacts;
  unit: Unit;
}

export interface Zone {
  stage: Stage;
  /** '12 jobs, 48 pieces' */
  counts: string;
  /** done with: folded, the latest first */
  over: boolean;
  as: 'cards' | 'rows';
  cards: JobCard[];
  /** jobs that are not on the page */
  more: number;
  all: number;
}

/** Jobs in words, with what they are for: `12 jobs, 48 pieces, 3.5 m`. */
export function countsInWords(jobs: readonly BoardJob[]): string {
  const sums = new Map<Unit, number>();
  for (const { card, job, unit } of jobs) {
    if (card.quantityText) sums.set(unit, (sums.get(unit) ?? 0) + job.milli);
  }
  const quantities = [...sums].map(([unit, milli]) => formatQuantity(milli, unit));
  return [`${jobs.length} ${jobs.length === 1 ? 'job' : 'jobs'}`, ...quantities].join(', ');
}

/** When a job that is over last saw something happen. */
function lastOf({ job }: BoardJob): string {
  const arrivals = job.claims.map(({ lastArrivedAt, lastWordAt }) => lastArrivedAt ?? lastWordAt);
  return [job.droppedAt ?? '', job.finishedAt ?? '', job.createdAt, ...arrivals].sort().at(-1)!;
}

/**
 * The jobs in the order a person reads them: what waits for them, what is theirs, then what has the least float.
 *
 * @param personId  whose work goes first; null for the shop, to whom all of it belongs
 */
export function inReadingOrder(jobs: readonly BoardJob[], personId: number | null): BoardJob[] {
  const rank = ({ card }: BoardJob) => {
    if (card.ask?.whom === 'you') return 0;
    return personId !== null && card.who.some((one) => one.personId === personId) ? 1 : 2;
  };
  const late = '9999';
  return jobs
    .map((one) => ({ one, rank: rank(one) }))
    .sort(
      (a, b) =>
        a.rank - b.rank ||
        (a.one.card.floatDays ?? 1e6) - (b.one.card.floatDays ?? 1e6) ||
        (a.one.card.needByOn ?? late).localeCompare(b.one.card.needByOn ?? late) ||
        a.one.card.number - b.one.card.number,
    )
    .map(({ one }) => one);
}

/** The zones of a board: each stage that holds a job, its jobs as cards or as rows, and what is left out. */
export function zonesOf(jobs: readonly BoardJob[], personId: number | null): Zone[] {
  const mostCards =
    jobs.filter(({ card }) => !isOver(card.stage)).length > MANY ? MOST_CARDS_OF_MANY : MOST_CARDS;
  const byStage = new Map<Stage, BoardJob[]>();
  for (const one of jobs) {
    const list = byStage.get(one.card.stage);
    if (list) list.push(one);
    else byStage.set(one.card.stage, [one]);
  }
  return STAGES.flatMap((stage): Zone[] => {
    const held = byStage.get(stage);
    if (!held) return [];
    const over = isOver(stage);
    const inOrder = over
      ? held
          .map((one) => ({ one, last: lastOf(one) }))
          .sort((a, b) => b.last.localeCompare(a.last))
          .map(({ one }) => one)
      : inReadingOrder(held, personId);
    const as = !over && held.length <= mostCards ? 'cards' : 'rows';
    const shown = inOrder.slice(0, over ? RECENT : as === 'cards' ? mostCards : MOST_ROWS);
    return [
      {
        stage,
        counts: countsInWords(held),
        over,
        as,
        cards: shown.map(({ card }) => card),
        more: held.length - shown.length,
        all: held.length,
      },
    ];
  });
}
