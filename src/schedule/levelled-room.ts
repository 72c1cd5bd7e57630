import { type DayCounter, tableCalendar } from './calendar.ts';
import { type LevelledModel, LIMITS } from './levelled-model.ts';

/** Work that is to be given days. */
export interface Work {
  /** what its days are counted in */
  calendar: DayCounter;
  /** working days, 1 or more */
  days: number;
  /** hours a day */
  hours: number;
  /** -1: nobody's hours are asked */
  person: number;
  /** -1: none */
  spot: number;
  /** -1: at no gathering */
  window: number;
  isNamed: boolean;
}

/**
 * What is left of people's hours, of spots at the machine and of places at gatherings while a plan is laid out.
 *
 * Days are numbered by the work's calendar; work takes `days` of them in a row. It is placed from a day on in either
 * direction, +1 later or -1 sooner: `room` gives the first number, in that direction, from which all its days have room,
 * and `take` takes them. Days before today have room for everything.
 */
export interface Room {
  clear(): void;
  room(work: Work, from: number, direction: 1 | -1): number;
  take(work: Work, from: number, direction: 1 | -1): void;
}

/** A hair of an hour: sums of fractions are not exact. */
const HAIR = 1e-6;

interface Person {
  calendar: DayCounter;
  dayHours: number;
  /** hours taken and steps under way, by number of the day in the person's calendar */
  taken: Float64Array;
  steps: Uint16Array;
  /** hours taken by week, the number of its first day and the hours it has, for weeks of days that were looked at */
  weeks: Float64Array;
  firstDays: Int32Array;
  weekHours: Float64Array;
  /** by day: the week it is in */
  weekOf: Int32Array;
  /** how many days of those arrays are filled */
  known: number;
  /** days and weeks that may have been touched */
  lastDay: number;
  /** at gatherings, by calendar day from today on */
  away: Float64Array;
  awaySteps: Uint16Array;
}

/** Nothing taken yet; `limits` are bits of `LIMITS`, and what they leave out is never scarce. */
export function roomOf(model: LevelledModel, limits: number): Room {
  const calendars = model.calendars.map(tableCalendar);
  const { sinceMonday, windows, places, thereHours, thereFrom, thereUntil } = model;
  const windowDays = windows.reduce((most, window) => Math.max(most, window.length), 0);
  const people = Array.from(
    model.people.dayHours,
    (dayHours, p): Person => ({
      calendar: calendars[model.people.calendars[p]!]!,
      dayHours,
      taken: new Float64Array(256),
      steps: new Uint16Array(256),
      weeks: new Float64Array(64),
      firstDays: new Int32Array(65),
      weekHours: new Float64Array(64),
      weekOf: new Int32Array(256),
      known: 0,
      lastDay: -1,
      away: new Float64Array(windowDays),
      awaySteps: new Uint16Array(windowDays),
    }),
  );
  const spots = Array.from({ length: model.spotCount }, () => [] as number[]);
  const placesTaken = Array.from(places, () => new Int16Array(windowDays));
  const hasHours = (limits & LIMITS.hours) !== 0;
  const hasSpots = (limits & LIMITS.spots) !== 0;
  const hasGatherings = (limits & LIMITS.gatherings) !== 0;

  const weekOf = (moment: number) => Math.floor((moment + sinceMonday) / 7);
  /** Number of the first day of a week, in a calendar; 0 for this one. */
  const firstOfWeek = (calendar: DayCounter, week: number) =>
    calendar.workingBefore(Math.max(0, 7 * week - sinceMonday));

  /** Sees to it that a day, and all of its week, has its place in the arrays. */
  function reach(person: Person, day: number): void {
    if (day > person.lastDay) person.lastDay = day;
    if (day < person.known) return;
    const { calendar, dayHours } = person;
    const lastWeek = weekOf(calendar.workingDay(day));
    const known = firstOfWeek(calendar, lastWeek + 1);
    if (known > person.steps.length) {
      const length = Math.max(known, 2 * person.steps.length);
      person.taken = grown(person.taken, new Float64Array(length));
      person.steps = grown(person.steps, new Uint16Array(length));
      person.weekOf = grown(person.weekOf, new Int32Array(length));
    }
    if (lastWeek >= person.weeks.length) {
      const length = Math.max(lastWeek + 1, 2 * person.weeks.length);
      person.weeks = grown(person.weeks, new Float64Array(length));
      person.weekHours = grown(person.weekHours, new Float64Array(length));
      person.firstDays = grown(person.firstDays, new Int32Array(length + 1));
    }
    const from = person.known === 0 ? 0 : person.weekOf[person.known - 1]! + 1;
    for (let week = from; week <= lastWeek; week++) {
      const first = firstOfWeek(calendar, week);
      const next = firstOfWeek(calendar, week + 1);
      person.firstDays[week] = first;
      person.firstDays[week + 1] = next;
      person.weekHours[week] = dayHours * (next - first);
      person.weekOf.fill(week, first, next);
    }
    person.known = known;
  }

  /** A day takes work that fits into its hours with what is there, or one step alone. */
  const isDayFull = (steps: number, taken: number, hours: number, dayHours: number) =>
    steps > 0 && taken + hours > dayHours + HAIR;

  function roomForHours({ days, hours, person: p }: Work, from: number, direction: 1 | -1): number {
    const person = people[p]!;
    const { dayHours } = person;
    let at = from;
    search: for (;;) {
      reach(person, Math.max(at, at + direction * (days - 1)));
      const { taken, steps, weeks, weekHours, firstDays, weekOf } = person;
      if (at >= 0) {
        // weeks without hours for a single day of it are passed over at once
        const week = weekOf[at]!;
        if (hours > weekHours[week]! - weeks[week]! + HAIR) {
          at = direction > 0 ? firstDays[week + 1]! : firstDays[week]! - 1;
          continue;
        }
      }
      for (let k = days - 1; k >= 0; k--) {
        const day = at + direction * k;
        if (day < 0) continue;
        if (isDayFull(steps[day]!, taken[day]!, hours, dayHours)) {
          at = day + direction;
          continue search;
        }
      }
      for (let day = at, left = days; left > 0 && day >= 0; ) {
        const week = weekOf[day]!;
        const first = firstDays[week]!;
        const next = firstDays[week + 1]!;
        const inside = Math.min(left, direction > 0 ? next - day : day - first + 1);
        const free = weekHours[week]! - weeks[week]! + HAIR;
        if (hours * inside > free) {
          // the nearest place where no more of its days fall into this week than it has hours for
          const allowed = Math.max(0, Math.floor(free / hours));
          at = direction > 0 ? next - allowed : first - 1 + allowed;
          continue search;
        }
        left -= inside;
        day += direction * inside;
      }
      return at;
    }
  }

  function roomInSpot({ calendar, days, spot }: Work, from: number, direction: 1 | -1): number {
    const taken = spots[spot]!;
    let at = from;
    for (let k = 0; k < taken.length; k += 2) {
      const first = direction > 0 ? at : at - days + 1;
      const start = calendar.workingDay(first);
      const end = calendar.workingDay(first + days - 1) + 1;
      if (start >= taken[k + 1]! || end <= taken[k]!) continue;
      at = direction > 0 ? calendar.workingBefore(taken[k + 1]!) : calendar.workingBefore(taken[k]!) - 1;
      k = -2;
    }
    return at;
  }

  /** After the last gathering the work goes on by the hours a day that its person has. */
  const hoursAfter = (person: Person, hours: number) => Math.min(hours, person.dayHours);

  function roomAtGathering(work: Work, from: number, direction: 1 | -1): number {
    const { calendar, days, hours, person: p, isNamed } = work;
    const window = windows[work.window]!;
    const person = p < 0 ? null : people[p]!;
    let at = from;
    search: for (;;) {
      let week = -1;
      let ofWeek = 0;
      for (let k = 0; k < days; k++) {
        const day = at + direction * k;
        if (day < 0) break;
        const moment = calendar.workingDay(day);
        const gathering = moment < window.length ? window[moment]! : -1;
        let isFull = false;
        if (gathering >= 0) {
          if (!hasGatherings) continue;
          const taken = placesTaken[gathering]![moment]! >= places[gathering]!;
          if (isNamed && person) {
            const own = gathering * people.length + p;
            const isThere = moment >= thereFrom[own]! && moment <= thereUntil[own]!;
            const isFirst = person.awaySteps[moment] === 0;
            isFull = !isThere || (isFirst ? taken : person.away[moment]! + hours > thereHours[own]! + HAIR);
          } else isFull = taken;
        } else if (hasHours && person) {
          const own = person.calendar.workingBefore(moment);
          reach(person, own);
          const rate = hoursAfter(person, hours);
          const thisWeek = weekOf(moment);
          ofWeek = thisWeek === week ? ofWeek + rate : rate;
          week = thisWeek;
          isFull =
            person.calendar.workingDay(own) !== moment ||
            isDayFull(person.steps[own]!, person.taken[own]!, rate, person.dayHours) ||
            person.weeks[week]! + ofWeek > person.weekHours[week]! + HAIR;
        }
        if (isFull) {
          at = day + direction;
          continue search;
        }
      }
      return at;
    }
  }

  function takeHours(person: Person, day: number, hours: number): void {
    reach(person, day);
    person.taken[day]! += hours;
    person.steps[day]!++;
    person.weeks[person.weekOf[day]!]! += hours;
  }

  return {
    clear() {
      for (const person of people) {
        const { lastDay } = person;
        if (lastDay >= 0) {
          person.taken.fill(0, 0, lastDay + 1);
          person.steps.fill(0, 0, lastDay + 1);
          person.weeks.fill(0, 0, person.weekOf[lastDay]! + 1);
          person.lastDay = -1;
        }
        person.away.fill(0);
        person.awaySteps.fill(0);
      }
      for (const spot of spots) spot.length = 0;
      for (const taken of placesTaken) taken.fill(0);
    },

    room(work, from, direction) {
      const needsSpot = hasSpots && work.spot >= 0;
      let at = from;
      for (;;) {
        let next = at;
        if (work.window >= 0) next = roomAtGathering(work, next, direction);
        else if (hasHours && work.person >= 0) next = roomForHours(work, next, direction);
        if (!needsSpot) return next;
        at = roomInSpot(work, next, direction);
        if (at === next) return at;
      }
    },

    take(work, from, direction) {
      const { calendar, days, hours, person: p, spot, window: w, isNamed } = work;
      const first = direction > 0 ? from : from - days + 1;
      if (hasSpots && spot >= 0) {
        spots[spot]!.push(calendar.workingDay(first), calendar.workingDay(first + days - 1) + 1);
      }
      const person = p < 0 ? null : people[p]!;
      const window = w < 0 ? null : windows[w]!;
      for (let day = Math.max(0, first); day < first + days; day++) {
        const moment = calendar.workingDay(day);
        const gathering = window && moment < window.length ? window[moment]! : -1;
        if (gathering >= 0) {
          if (!hasGatherings) continue;
          if (person && isNamed) {
            if (person.awaySteps[moment]! === 0) placesTaken[gathering]![moment]!++;
            person.awaySteps[moment]!++;
            person.away[moment]! += hours;
          } else placesTaken[gathering]![moment]!++;
        } else if (person && hasHours) {
          if (window) takeHours(person, person.calendar.workingBefore(moment), hoursAfter(person, hours));
          else takeHours(person, day, hours);
        }
      }
    },
  };
}

function grown<A extends Float64Array | Int32Array | Uint16Array>(old: A, longer: A): A {
  longer.set(old);
  return longer;
}
