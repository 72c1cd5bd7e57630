import type { Unit } from '../parts/index.ts';
import { type Day, daysBetween, dayWords } from '../platform/day.ts';
import { type CardMoment, promisedDay, silentDaysOf } from './card.ts';
import { madeOf, netOf, unfinishedOf, withMakerOf } from './claim-rules.ts';
import type { ClaimFacts } from './facts.ts';
import { say } from './say.ts';

/** A claim in words: how far it is, and its promise against what happened. */
export interface ClaimWords {
  /** what became of it: '1 finished, 3 being made' */
  standing: string;
  /** 'likely 22 Mar, soonest 12 Mar, latest 1 Apr' */
  promise: string;
  /** the promise against what happened so far; empty while it can still be kept */
  outcome: string;
  late: boolean;
  /** days without a word, where they are as many as the build counts as silence; else 0 */
  silentDays: number;
}

const days = (count: number) => `${count} ${count === 1 ? 'day' : 'days'}`;

/** What became of a claim's units. */
export function standingOf(claim: ClaimFacts, unit: Unit): string {
  const toInspect = claim.arrivedMilli - claim.acceptedMilli - claim.rejectedMilli;
  const parts: [number, string][] = [
    [claim.acceptedMilli, 'accepted'],
    [claim.rejectedMilli, 'rejected'],
    [toInspect, 'here, to inspect'],
    [claim.travellingMilli, 'in the post'],
    [madeOf(claim), 'finished, not posted'],
    [unfinishedOf(claim), claim.startedAt ? 'being made' : 'not begun'],
    [claim.backMilli, 'handed back'],
  ];
  const shown = parts.filter(([milli]) => milli > 0);
  const only = shown.length === 1 ? shown[0] : undefined;
  if (only) return `all ${only[1]}`;
  return shown
    .map(([milli, word]) => `${unit === 'piece' ? milli / 1000 : say(milli, unit)} ${word}`)
    .join(', ');
}

type Promised = Pick<ClaimFacts, 'claimedAt' | 'soonestDays' | 'likelyDays' | 'latestDays'>;

function promisedDays(claim: Promised, moment: CardMoment): [Day, Day, Day] {
  const { soonestDays, likelyDays, latestDays } = claim;
  const at = (count: number) => promisedDay(claim, count, moment);
  return [at(soonestDays), at(likelyDays), at(latestDays)];
}

/** A promise in words: 'likely 22 Mar, soonest 12 Mar, latest 1 Apr'. */
export function promiseWords(claim: Promised, moment: CardMoment): string {
  const [soonest, likely, latest] = promisedDays(claim, moment).map((day) => dayWords(day, moment.today));
  return `likely ${likely}, soonest ${soonest}, latest ${latest}`;
}

/** @param sentOn  the day of the last parcel, where there was one */
export function claimWords(
  claim: ClaimFacts,
  unit: Unit,
  moment: CardMoment,
  sentOn: Day | null,
): ClaimWords {
  const { today } = moment;
  const [, likely, latest] = promisedDays(claim, moment);
  const at = (day: Day) => dayWords(day, today);
  const silent = silentDaysOf(claim, moment);
  const words = {
    standing: standingOf(claim, unit),
    promise: promiseWords(claim, moment),
    silentDays: silent >= moment.silentAfterDays ? silent : 0,
  };
  if (netOf(claim) === 0) return { ...words, outcome: '', late: false, silentDays: 0 };
  if (withMakerOf(claim) <= 0) {
    if (sentOn === null) return { ...words, outcome: '', late: false };
    const after = daysBetween(likely, sentOn);
    const against =
      after === 0
        ? 'on the likely day'
        : `${days(Math.abs(after))} ${after < 0 ? 'before' : 'after'} the likely day`;
    return { ...words, outcome: `posted ${at(sentOn)}, ${against}`, late: sentOn > latest };
  }
  if (today > latest)
    return { ...words, outcome: `${days(daysBetween(latest, today))} past the latest day`, late: true };
  if (today > likely) {
    return { ...words, outcome: `${days(daysBetween(likely, today))} past the likely day`, late: false };
  }
  return { ...words, outcome: '', late: false };
}
