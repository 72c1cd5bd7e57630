import { dayWords } from '../platform/day.ts';
import type { BuildFacts } from './build-facts.ts';
import { DEFAULTS } from './defaults.ts';
import { times } from './durations.ts';
import { count } from './durations-estimate.ts';
import type { History, Learnt } from './history.ts';
import { type DurationLaw, weightedLaw } from './history-law.ts';
import { threePoints } from './history-points.ts';
import type { Known, Records } from './history-records.ts';
import { BELIEF_WEIGHT, USUAL_SHARES } from './history-spread.ts';

/** A history as the page tells it: what its own observations say, and what is reckoned with. */
export interface HistoryRow {
  name: string;
  finished: number;
  open: number;
  /** by when half and 80 of a hundred of its own have come; 'not yet' where too few have */
  half: string;
  most: string;
  /** what its own, the others, and what was said or is usual count for, in observations */
  weights: string;
  /** the same two of the law that durations are taken from */
  reckonedHalf: string;
  reckonedMost: string;
}

export interface HistoryTable {
  title: string;
  /** what is counted, and with what the own ones are pooled */
  note: string;
  what: string;
  rows: HistoryRow[];
}

export interface DurationsPage {
  tables: HistoryTable[];
  strength: { value: string; because: string };
  /** nothing has come yet and nothing is open */
  isEmpty: boolean;
  asOf: string;
}

const MOST = 0.8;

type Unit = (value: number) => string;
const inDays: Unit = (days) => count(Math.round(days), 'day');
const inTimes: Unit = (ratio) => (ratio < 0.05 ? 'at once' : times(ratio));

/** When a share of the observed have come, without any belief; null where the history does not get there. */
function reached(law: DurationLaw, share: number): number | null {
  return (law.opens.at(-1) ?? 1) <= 1 - share + 1e-9 ? law.at(share) : null;
}

function rowOf(
  name: string,
  own: Known,
  { known, law, isKnown }: Learnt,
  unit: Unit,
  said: string,
): HistoryRow {
  const alone = weightedLaw(own.sample);
  const told = (value: number | null) => (value === null ? 'not yet' : unit(value));
  const ofOthers = known.others.finished + known.others.open;
  const others =
    ofOthers === 0 ? 'no others' : `others ${(known.otherWeight * ofOthers).toFixed(1).replace(/\.0$/, '')}`;
  return {
    name,
    finished: own.own.finished,
    open: own.own.open,
    half: told(reached(alone, 0.5)),
    most: told(reached(alone, MOST)),
    weights: `own ${own.own.finished + own.own.open}, ${others}, ${said} ${BELIEF_WEIGHT}`,
    reckonedHalf: isKnown ? unit(law.at(0.5)) : `as ${said}`,
    reckonedMost: isKnown ? unit(law.at(MOST)) : `as ${said}`,
  };
}

/** A row for each key of a history, those with most in it first. */
function rowsOf<K>(
  records: Records<K>,
  learntOf: (key: K) => Learnt,
  nameOf: (key: K) => string,
  unit: Unit,
  said: string,
): HistoryRow[] {
  return records.keys
    .map((key) =>
      rowOf(
        nameOf(key),
        records.whole((one) => one === key),
        learntOf(key),
        unit,
        said,
      ),
    )
    .sort((a, b) => b.finished - a.finished || b.open - a.open || (a.name < b.name ? -1 : 1));
}

/** A maker's law for a promise of the usual spread, as shares of its likely days. */
function promiseShares(history: History, personId: number): Learnt {
  const known = history.seen.promises.of(personId);
  const belief = { quantiles: threePoints(USUAL_SHARES), weight: BELIEF_WEIGHT };
  const isKnown = known.own.finished + known.others.finished > 0;
  return { known, isKnown, law: weightedLaw(known.sample, belief) };
}

/** What durations rest on, for the page that tells it. */
export function durationsPage(facts: BuildFacts, history: History): DurationsPage {
  const { seen } = history;
  const { people, processes, country: home, today } = facts;
  const said = 'said';
  const usual = 'usual';
  const tables: HistoryTable[] = [
    {
      title: 'Promises, by maker',
      note: 'Days from the claim to the posting of the last of it, over the likely days promised first. Claims still open are in it as cut off today; those handed back whole tell nothing of the work and are left out.',
      what: 'Maker',
      rows: rowsOf(
        seen.promises,
        (id) => promiseShares(history, id),
        (id) => people.get(id)?.name ?? 'a maker who left',
        inTimes,
        'promise',
      ),
    },
    {
      title: 'Making, by process',
      note: 'Days from claim to posting: for work without a maker and without days given.',
      what: 'Process',
      rows: rowsOf(
        seen.makings,
        (id) => history.making(id),
        (id) => processes.get(id) ?? 'no process named',
        inDays,
        usual,
      ),
    },
    {
      title: 'Making where days are given',
      note: 'Working days from claim to posting, over those the job or the part says; pooled with the promises.',
      what: 'Work',
      rows: rowsOf(
        seen.given,
        () => history.given(),
        () => 'jobs and parts with days',
        inTimes,
        said,
      ),
    },
    {
      title: 'Finding a maker',
      note: 'Days from holding an offer out to the first claim.',
      what: 'Offers',
      rows: rowsOf(
        seen.offers,
        () => history.finding(),
        () => 'all offers',
        inDays,
        usual,
      ),
    },
    {
      title: 'Post, by country',
      note: 'Days from sending to arrival; pooled with parcels from other places in the country, or from other countries.',
      what: 'Way',
      rows: rowsOf(
        seen.posts,
        (from) => history.post(from),
        (from) => (from === home ? `within ${home}` : `${from || 'not known'} to ${home}`),
        inDays,
        usual,
      ),
    },
    {
      title: 'Purchases',
      note: 'Days from order to delivery, over the days to the day named or the lead time of the part.',
      what: 'Orders',
      rows: rowsOf(
        seen.orders,
        (key) => history.order(key),
        (key) => (key === 'named' ? 'with a day named' : 'with a lead time'),
        inTimes,
        said,
      ),
    },
    {
      title: 'Purchases of which nothing was said',
      note: 'Days from order to delivery.',
      what: 'Orders',
      rows: rowsOf(
        seen.plainOrders,
        () => history.plainOrder(),
        () => 'without a day or lead time',
        inDays,
        usual,
      ),
    },
    {
      title: 'Work at the bench and the drawing board',
      note: `Working days from beginning to end, over those estimated from days or hours; where nobody estimated any, over what is usual (${DEFAULTS.designHours} h of drawing, ${count(DEFAULTS.fitUpDays, 'day')} of other work). Kinds are pooled with one another.`,
      what: 'Kind',
      rows: rowsOf(
        seen.works,
        (key) => history.workOf(key),
        (key) => key,
        inTimes,
        said,
      ),
    },
  ];
  const { value, because } = history.strength;
  return {
    tables: tables.filter(({ rows }) => rows.length > 0),
    strength: { value: value.toFixed(2), because },
    isEmpty: tables.every(({ rows }) => rows.length === 0),
    asOf: dayWords(today),
  };
}
