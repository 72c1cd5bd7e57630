import type { ClaimFacts } from '../jobs/index.ts';
import type { BuildFacts } from './build-facts.ts';
import type { WorkingCalendar } from './calendar.ts';
import { DEFAULTS } from './defaults.ts';
import { ordered, type Seen, seenIn, type ThreeDays, workKey } from './history-facts.ts';
import { type DurationLaw, weightedLaw } from './history-law.ts';
import { threePoints } from './history-points.ts';
import type { Known } from './history-records.ts';
import { BELIEF_WEIGHT, lawOfPoints, USUAL_LAW, USUAL_SHARES } from './history-spread.ts';
import { type Strength, strengthOf } from './history-strength.ts';
import type { Duration } from './steps.ts';

/** A law, and the history it rests on. */
export interface Learnt {
  law: DurationLaw;
  known: Known;
  /** false: what was seen tells nothing yet, and the law is what is believed without it */
  isKnown: boolean;
}

/** A promise's law, in days from the claim. */
export interface LearntPromise extends Learnt {
  /** soonest, likely and latest days, in order */
  promised: ThreeDays;
  /** whether they had to be put in order */
  wasOrdered: boolean;
}

/** Belief in a delivery day somebody named, as shares of the days to it. */
export const NAMED_SHARES = [DEFAULTS.namedSoonestShare, 1, DEFAULTS.namedLatestShare] as const;

/**
 * Whether what was seen tells anything: something has come, or several have been open for longer than is believed
 * likely. One that is late by itself tells of itself alone.
 */
function tells({ own, others, openBeyond }: Known, likely: number): boolean {
  return own.finished + others.finished > 0 || openBeyond(likely) > 1;
}

/**
 * What a build's past tells of durations: laws by what things have in common, few own observations drawn towards those
 * of all the others, both towards what is said or usual where there are few at all. Laws are made when first asked for.
 */
export class History {
  readonly seen: Seen;
  /** durations that many steps have alike, by what they hang on; kept here as long as the history stands */
  readonly alike = new Map<string, Duration>();
  /** and what is said of them */
  readonly said = new Map<string, string>();
  readonly #facts: BuildFacts;
  readonly #calendar: WorkingCalendar;
  readonly #learnt = new Map<string, Learnt>();
  #strength: Strength | null = null;

  /** @param seen  what was seen, where that is known already */
  constructor(facts: BuildFacts, calendar: WorkingCalendar, seen: Seen = seenIn(facts, calendar)) {
    this.#facts = facts;
    this.#calendar = calendar;
    this.seen = seen;
  }

  /** The same past for a build in which something is only tried: that teaches nothing. */
  for(facts: BuildFacts): History {
    return new History(facts, this.#calendar, this.seen);
  }

  /** How far one maker's claims are late together. */
  get strength(): Strength {
    this.#strength ??= strengthOf(this.seen.kept);
    return this.#strength;
  }

  /**
   * A claim's days from claim to posting: the promise, and how the maker's promises and all others came out.
   *
   * Promises are compared by days taken over likely days promised first. Where this one was renewed, what is usually
   * added to a first promise, or taken from it, is put on the new one: not a share of the time gone already.
   */
  promise(claim: ClaimFacts): LearntPromise {
    const promised = ordered(claim);
    const [soonest, likely, latest] = promised;
    const wasOrdered =
      soonest !== claim.soonestDays || likely !== claim.likelyDays || latest !== claim.latestDays;
    const known = this.seen.promises.of(claim.personId);
    if (!tells(known, 1)) return { law: lawOfPoints(promised), known, isKnown: false, promised, wasOrdered };
    const first = this.#facts.firstPromises.get(claim.id);
    const length = Math.max(1, Math.min(likely, first ? ordered(first)[1] : likely));
    const belief = { quantiles: threePoints(promised), weight: BELIEF_WEIGHT };
    const law = weightedLaw(known.sample, belief, (ratio) => Math.max(0, likely + (ratio - 1) * length));
    return { law, known, isKnown: true, promised, wasOrdered };
  }

  /** Days of making by a process, 0 where none is named, where nobody gave any. */
  making(processId: number): Learnt {
    return this.#days(`make ${processId}`, () => this.seen.makings.of(processId), DEFAULTS.makeDays);
  }

  /** Working days of making over those given, with promises as the others: both are guesses of the same work. */
  given(): Learnt {
    return this.#shares('given', () => this.seen.given.beside(this.seen.promises));
  }

  /** Days from the offer to the first claim. */
  finding(): Learnt {
    return this.#days('find', () => this.seen.offers.of('offer'), DEFAULTS.findDays);
  }

  /** Days in the post from a country; null: from a maker not yet found. */
  post(country: string | null): Learnt {
    const home = this.#facts.country;
    if (country === null) return this.#days('post', () => this.seen.posts.whole(), DEFAULTS.postDays);
    const isHome = country === home;
    const usual = isHome ? DEFAULTS.domesticPostDays : DEFAULTS.postDays;
    return this.#days(
      `post ${country}`,
      () => this.seen.posts.of(country, (other) => (other === home) === isHome),
      usual,
    );
  }

  /** Days of a delivery over those of the day named, or of the part's lead time. */
  order(said: 'named' | 'lead'): Learnt {
    return this.#shares(
      `order ${said}`,
      () => this.seen.orders.of(said),
      said === 'named' ? NAMED_SHARES : USUAL_SHARES,
    );
  }

  /** Days of a delivery of which nothing was said. */
  plainOrder(): Learnt {
    return this.#days('order', () => this.seen.plainOrders.of('none'), DEFAULTS.deliveryDays);
  }

  /** Working days of a kind of work over those estimated, or over the default where nobody estimated any. */
  work(kind: string, given: boolean): Learnt {
    return this.workOf(workKey(kind, given));
  }

  /** The same by its key among what was seen. */
  workOf(key: string): Learnt {
    return this.#shares(`work ${key}`, () => this.seen.works.of(key));
  }

  #days(name: string, known: () => Known, usual: number): Learnt {
    return this.#learn(name, known, usual, USUAL_SHARES);
  }

  #shares(name: string, known: () => Known, shares: ThreeDays = USUAL_SHARES): Learnt {
    return this.#learn(name, known, 1, shares);
  }

  #learn(name: string, read: () => Known, likely: number, shares: ThreeDays): Learnt {
    let learnt = this.#learnt.get(name);
    if (!learnt) {
      const known = read();
      const points: ThreeDays = [shares[0] * likely, likely, shares[2] * likely];
      if (tells(known, likely)) {
        const belief = { quantiles: threePoints(points), weight: BELIEF_WEIGHT };
        learnt = { law: weightedLaw(known.sample, belief), known, isKnown: true };
      } else {
        const law = likely === 1 && shares === USUAL_SHARES ? USUAL_LAW : lawOfPoints(points);
        learnt = { law, known, isKnown: false };
      }
      this.#learnt.set(name, learnt);
    }
    return learnt;
  }
}

/** What the facts of a build tell of how long things take. Linear in jobs, claims and parcels, but for sorting them. */
export function historyOf(facts: BuildFacts, calendar: WorkingCalendar): History {
  return new History(facts, calendar);
}
