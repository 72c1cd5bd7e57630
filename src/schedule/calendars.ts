import type { BuildFacts, DayRange, GatheringFacts } from './build-facts.ts';
import { type WorkingCalendar, workingCalendar } from './calendar.ts';

/** The calendars of a build: its own, and those that differ from it, made when first asked for. */
export interface Calendars {
  build: WorkingCalendar;
  /** the build's own first */
  all: readonly WorkingCalendar[];
  /** the place of a person's among all: the build's days without those away; 0 where they are never away */
  ofPerson(personId: number | null): number;
  /** the place of the days of a gathering and of those after it; when the last is over, of the build's */
  ofGathering(gathering: GatheringFacts): number;
}

/** The calendars of a build: working weekdays, closures, people's days away, gatherings. */
export function calendarsOf(facts: BuildFacts): Calendars {
  const { today, weekdays, closures, away, gatherings } = facts;
  const plain = workingCalendar(today, weekdays);
  const moments = (ranges: readonly DayRange[]) =>
    ranges
      .map(({ fromOn, untilOn }): [number, number] => [plain.momentOf(fromOn), plain.momentOf(untilOn)])
      .filter(([from, until]) => from <= until);
  const closed = moments(closures);
  const build = closed.length === 0 ? plain : workingCalendar(today, { weekdays, free: closed });
  const all = [build];
  const add = (calendar: WorkingCalendar) => all.push(calendar) - 1;
  const people = new Map<number, number>();
  const windows = new Map<GatheringFacts, number>();
  const ahead = [...gatherings.values()].filter(({ untilOn }) => untilOn >= today);
  return {
    build,
    all,
    ofPerson(personId) {
      const ranges = personId === null ? [] : moments(away.get(personId) ?? []);
      if (personId === null || ranges.every(([, until]) => until < 0)) return 0;
      let place = people.get(personId);
      if (place === undefined) {
        place = add(workingCalendar(today, { weekdays, free: [...closed, ...ranges] }));
        people.set(personId, place);
      }
      return place;
    },
    ofGathering(gathering) {
      let place = windows.get(gathering);
      if (place === undefined) {
        const only = moments(ahead.filter((one) => one === gathering || one.fromOn >= gathering.fromOn));
        place = only.length === 0 ? 0 : add(workingCalendar(today, { weekdays, free: closed, only }));
        windows.set(gathering, place);
      }
      return place;
    },
  };
}
