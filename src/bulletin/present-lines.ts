import { countryName } from '../platform/country.ts';
import { addDays, type Day, dayWords } from '../platform/day.ts';
import type { WhyMoved } from '../schedule/index.ts';
import type { DraftLine, DraftSection } from './draft.ts';
import type { Week } from './week.ts';

/** An open job as the bulletin may tell of it. */
export interface ToldJob {
  id: number;
  title: string;
  /** when it is expected to be done; null when the schedule can't tell */
  expectedOn: Day | null;
  /** days past the latest day it was promised for; 0 when it is not late */
  lateDays: number;
  critical: boolean;
  /** everything still open of it has arrived, and waits to be inspected */
  arrived: boolean;
}

/** A job that anybody may offer to make, and what it takes. */
export interface ToldOffer {
  id: number;
  title: string;
  /** '12 pieces' */
  quantity: string;
  process: string;
  material: string;
  /** '160 × 60 × 4 mm', or the greatest length named; empty where neither is known */
  size: string;
  /** hours that all that is open of it takes; null where nobody estimated any */
  hours: number | null;
  postByOn: Day | null;
  /** ISO 3166 code of the country it is posted to */
  country: string;
}

export interface ToldGathering {
  id: number;
  title: string;
  fromOn: Day;
  untilOn: Day;
  /** who comes, or was there */
  people: { person: number; fromOn: Day; untilOn: Day }[];
}

/** A question that waits, and the day it must be answered by. */
export interface ToldDecision {
  id: number;
  question: string;
  byOn: Day | null;
}

/** What is known of the day the bulletin is made on. */
export interface Present {
  jobs: readonly ToldJob[];
  /** the most pressing first, as many as are told */
  offers: readonly ToldOffer[];
  /** how many more are open */
  moreOffers: number;
  gatherings: readonly ToldGathering[];
  decisions: readonly ToldDecision[];
}

const MOST_LATE = 8;
const MOST_NEXT = 12;
export const MOST_OFFERS = 20;

/** What is late, what comes next and what is needed, as of `today`. */
export function presentSections(present: Present, week: Week, today: Day): DraftSection[] {
  return [
    {
      key: 'late',
      title: 'Late',
      absent: 'Nothing is late.',
      lines: lateLines(present.jobs, today),
    },
    {
      key: 'next',
      // Of a week that still runs, what is left of it is told too.
      title: today > week.until ? 'Next week' : 'The days to come',
      absent: 'Nothing is expected until the week that comes is over.',
      lines: nextLines(present, addDays(week.until, 7), today),
    },
    {
      key: 'needed',
      title: 'Needed from you',
      absent: 'No job is open to everyone.',
      lines: neededLines(present, today),
    },
  ];
}

const plural = (count: number, one: string) => `${count} ${count === 1 ? one : `${one}s`}`;
const ended = (words: string) => (/[.!?…]$/.test(words) ? words : `${words}.`);

function lateLines(jobs: readonly ToldJob[], today: Day): DraftLine[] {
  const late = jobs.filter(({ lateDays }) => lateDays > 0).sort((a, b) => b.lateDays - a.lateDays);
  const lines = late.slice(0, MOST_LATE).map(({ id, title, lateDays, expectedOn }) => ({
    key: `late-${id}`,
    words: [
      `${title}: ${plural(lateDays, 'day')} past its promise`,
      expectedOn ? `, now expected ${dayWords(expectedOn, today)}.` : '.',
    ],
  }));
  return [...lines, ...andMore('late', late.length - lines.length)];
}

function andMore(section: string, more: number): DraftLine[] {
  return more > 0 ? [{ key: `more-${section}-${more}`, words: [`And ${more} more.`] }] : [];
}

function nextLines(present: Present, until: Day, today: Day): DraftLine[] {
  const ahead = (day: Day | null) => day !== null && day >= today && day <= until;
  const expected = present.jobs
    .filter(({ expectedOn }) => ahead(expectedOn))
    .sort(
      (a, b) =>
        Number(b.critical) - Number(a.critical) ||
        Number(a.expectedOn! > b.expectedOn!) - Number(a.expectedOn! < b.expectedOn!),
    );
  const jobs = expected.slice(0, MOST_NEXT).map(({ id, title, expectedOn, critical, arrived }) => ({
    key: `next-${id}`,
    words: [
      `${title}: ${arrived ? 'arrived, inspection ' : ''}expected ${dayWords(expectedOn!, today)}${critical ? '; it drives the finish' : ''}.`,
    ],
  }));
  const gatherings = present.gatherings
    .filter(({ fromOn, untilOn }) => untilOn >= today && fromOn <= until)
    .map(({ id, title, fromOn, untilOn }) => ({
      key: `gathering-${id}-${fromOn}`,
      words: [
        fromOn === untilOn
          ? `Gathering: ${title}, ${dayWords(fromOn, today)}.`
          : `Gathering: ${title}, ${dayWords(fromOn, untilOn)} to ${dayWords(untilOn, today)}.`,
      ],
    }));
  const decisions = present.decisions
    .filter(({ byOn }) => byOn !== null && byOn <= until)
    .map(({ id, question, byOn }) => ({
      key: `decision-${id}`,
      words: [`To be decided ${byOn! < today ? 'now' : `by ${dayWords(byOn!, today)}`}: ${ended(question)}`],
    }));
  return [...gatherings, ...jobs, ...andMore('next', expected.length - jobs.length), ...decisions];
}

function neededLines({ offers, moreOffers }: Present, today: Day): DraftLine[] {
  const lines = offers.map((offer) => {
    const takes = [
      offer.process,
      offer.material,
      offer.size,
      offer.hours === null ? '' : `about ${plural(roundedHours(offer.hours), 'hour')} of work`,
      [
        'to be posted',
        offer.country ? `to ${countryName(offer.country) || offer.country}` : '',
        offer.postByOn ? `by ${dayWords(offer.postByOn, today)}` : '',
      ]
        .filter(Boolean)
        .join(' '),
    ].filter(Boolean);
    return {
      key: `offer-${offer.id}`,
      words: [`${offer.title}, ${offer.quantity}: ${takes.join('; ')}.`],
      href: `/offers/${offer.id}`,
    };
  });
  if (moreOffers === 0) return lines;
  return [
    ...lines,
    { key: `offers-more-${moreOffers}`, words: [`And ${moreOffers} more.`], href: '/offers' },
  ];
}

const roundedHours = (hours: number) =>
  Math.max(1, hours < 10 ? Math.round(hours * 2) / 2 : Math.round(hours));

/** A gathering that was held in the week, as far as it has come. */
export function heldGatherings(
  gatherings: readonly ToldGathering[],
  week: Week,
  today: Day,
): { lines: DraftLine[]; people: { person: number; title: string }[] } {
  const last = today < week.until ? today : week.until;
  const held = gatherings.filter(({ fromOn, untilOn }) => fromOn <= last && untilOn >= week.from);
  const lines: DraftLine[] = [];
  const people: { person: number; title: string }[] = [];
  for (const { id, title, fromOn, untilOn, people: coming } of held) {
    const there = coming.filter((one) => one.fromOn <= last && one.untilOn >= week.from);
    people.push(...there.map(({ person }) => ({ person, title })));
    const days =
      fromOn === untilOn ? dayWords(fromOn, last) : `${dayWords(fromOn, last)} to ${dayWords(untilOn, last)}`;
    const who = there.length
      ? `, with ${plural(there.length, 'person').replace('persons', 'people')} on its list`
      : '';
    lines.push({
      key: `held-${id}-${there.length}`,
      words: [
        untilOn > last
          ? `The gathering ${title} is on, ${days}${who}.`
          : `The gathering ${title} was held, ${days}${who}.`,
      ],
    });
  }
  return { lines, people };
}

/**
 * Why the finish moved in the week. Who brought it nearer is named, who put it back is not: that is between the shop and
 * the maker.
 */
export function movedSection(why: WhyMoved | null, computing: boolean): DraftSection {
  const facts = why ? [...why.facts, ...why.waits] : [];
  return {
    key: 'finish',
    title: 'Why the finish moved',
    absent: computing
      ? 'It is being worked out; look again in a moment.'
      : why
        ? 'Nothing in this week moved it by a day.'
        : 'It is worked out for the week that runs and the one before alone.',
    lines: [
      ...facts.map(({ key, days, words }) => ({
        key,
        words: days < 0 ? words : words.map((piece) => (typeof piece === 'string' ? piece : 'a maker')),
      })),
      ...(facts.length ? why!.remarks : []).map((remark, at) => ({
        key: `moved-remark-${at}`,
        words: [remark],
      })),
    ],
  };
}
