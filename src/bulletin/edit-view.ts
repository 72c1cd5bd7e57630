import type { FormState } from '../platform/http/form.ts';
import { type Difference, differences, fieldMarks, type Names, untouchedFields } from './differences.ts';
import { EditForm, fieldOf, OWN_SECTIONS } from './edit-form.ts';
import type { WeekPhoto } from './photos.ts';
import { publicName, publicWords, type ThankedPerson } from './public-names.ts';
import { linkWords } from './told.ts';
import type { LiveWeek } from './week-reader.ts';

type People = ReadonlyMap<number, ThankedPerson>;

/** The form of a week as it is kept. */
export function keptValues({ text }: Pick<LiveWeek, 'text'>): Record<string, unknown> {
  const values: Record<string, unknown> = {
    title: text.title,
    opening: text.opening,
    closing: text.closing,
    minutes: text.minutes ?? '',
  };
  for (const key of OWN_SECTIONS) values[fieldOf.own(key)] = text.own[key] ?? '';
  for (const { id, words } of text.photos) values[fieldOf.said(id)] = words;
  for (const one of text.thanks) {
    // What was said of somebody who has left went with them.
    if ('why' in one) values[fieldOf.why(one.person)] = one.why || 'has left';
    else values[fieldOf.for(one.person)] = one.for;
  }
  return values;
}

/** What the page has to send back to be told what changed since: the version its words were typed on, and their marks. */
export function baseOfForm({ text, stored }: LiveWeek, form: FormState | null) {
  const sent = form && !form.errors._form ? form.values : {};
  return {
    version: sent.version ?? stored?.version ?? 0,
    was: sent.was ?? fieldMarks(text, OWN_SECTIONS),
  };
}

const sentKeys = (value: unknown) => new Set([value ?? []].flat().map(String));

/** Computed lines as they are ticked: as sent, where a form is shown again; new ones are ticked. */
export function sectionsToEdit({ draft, text, people }: LiveWeek, form: FormState | null) {
  const omitted = new Set(text.omitted);
  const [all, kept] = [sentKeys(form?.values.all), sentKeys(form?.values.kept)];
  const isLeft = (key: string) => (form && all.has(key) ? !kept.has(key) : omitted.has(key));
  return draft.sections.map(({ key, title, absent, lines }) => ({
    key,
    title,
    absent,
    field: fieldOf.own(key),
    opens: Boolean(text.own[key]) || Boolean(form?.values[fieldOf.own(key)]),
    lines: lines.map((line) => ({
      key: line.key,
      text: publicWords(line.words, people),
      href: line.href ?? null,
      link: linkWords(line.href),
      left: isLeft(line.key),
    })),
  }));
}

const named = (people: People, id: number) => people.get(id)?.name || 'Somebody who has left';

/** How a person is named in public, where that is not by their name. */
function shownAs(people: People, id: number): string {
  const person = people.get(id);
  const shown = publicName(person);
  if (shown === null) return person?.forgottenAt ? 'has left' : 'not named';
  return shown === person?.name ? '' : `as ${shown}`;
}

/** Who is thanked, who could be taken off, who is thanked by hand, and everyone else of the week's log with why not. */
export function thanksToEdit({ draft, text, people }: LiveWeek, form: FormState | null) {
  const byHand = text.thanks.flatMap((one) => ('for' in one ? [one.person] : []));
  const off = draft.notThanked.filter(({ byLead }) => byLead).map(({ person }) => person);
  const fromLog = draft.thanks.filter(({ person }) => !byHand.includes(person));
  const [shown, ticked] = [sentKeys(form?.values.thankable), sentKeys(form?.values.thank)];
  const row = (person: number, reason: string, isOff: boolean) => ({
    id: person,
    name: named(people, person),
    shown: shownAs(people, person),
    reason,
    field: fieldOf.why(person),
    ticked: form && shown.has(String(person)) ? ticked.has(String(person)) : !isOff,
  });
  return {
    thankable: [
      ...fromLog.map((one) => row(one.person, one.for, false)),
      ...off.map((person) => row(person, '', true)),
    ],
    handed: byHand
      .filter((person) => !off.includes(person))
      .map((person) => ({
        id: person,
        name: named(people, person),
        shown: shownAs(people, person),
        field: fieldOf.for(person),
      })),
    notThanked: draft.notThanked
      .filter(({ byLead }) => !byLead)
      .map(({ person, why }) => ({ name: named(people, person), why })),
    notNamed: draft.thanks.filter(({ person }) => publicName(people.get(person)) === null).length,
    options: [...people.values()]
      .filter(({ forgottenAt }) => forgottenAt === null)
      .map(({ id, name }) => ({ value: String(id), label: name }))
      .sort((a, b) => a.label.localeCompare(b.label)),
  };
}

/** Which photos are chosen: as sent, where a form is shown again. */
export function chosenIds({ text }: Pick<LiveWeek, 'text'>, form: FormState | null): number[] {
  if (!form) return text.photos.map(({ id }) => id);
  return [...sentKeys(form.values.photo)].map(Number).filter((id) => Number.isSafeInteger(id) && id > 0);
}

/** Photos of the week to choose from. */
export function photosToEdit(
  photos: readonly WeekPhoto[],
  { people }: Pick<LiveWeek, 'people'>,
  chosen: readonly number[],
) {
  return photos.map(({ id, of, person }) => ({
    id,
    of,
    href: `/photos/${id}`,
    field: fieldOf.said(id),
    chosen: chosen.includes(id),
    by: publicName(person === null ? undefined : people.get(person)),
  }));
}

/** Where the text that was sent differs from the one that was kept meanwhile; none where they say the same. */
export function differencesToShow(
  live: LiveWeek,
  form: FormState,
  photos: readonly WeekPhoto[],
): Difference[] {
  const sent = EditForm.safeParse(form.values);
  if (!sent.success) return [];
  const titles = new Map(live.draft.sections.map(({ key, title }) => [key, title]));
  const lines = new Map(
    live.draft.sections.flatMap(({ lines }) =>
      lines.map(({ key, words }) => [key, publicWords(words, live.people)] as const),
    ),
  );
  const names: Names = {
    section: (key) => titles.get(key) ?? key,
    line: (key) => lines.get(key) ?? 'A line that is no longer there',
    photo: (id) => photos.find((one) => one.id === id)?.of ?? `photo ${id}`,
    person: (id) => named(live.people, id),
  };
  // A line that is no longer there is left out by nobody.
  const there = (omitted: readonly string[]) => omitted.filter((key) => lines.has(key));
  const theirs = { ...live.text, omitted: there(live.text.omitted) };
  const yours = sent.data.text;
  const whole = {
    title: yours.title,
    opening: yours.opening,
    closing: yours.closing,
    own: yours.own ?? {},
    omitted: there(yours.omitted),
    photos: yours.photos,
    thanks: yours.thanks ?? [],
    minutes: yours.minutes ?? null,
  };
  const untouched = untouchedFields(whole, OWN_SECTIONS, String(form.values.was ?? ''));
  return differences(theirs, whole, names, new Set([...untouched, ...sent.data.take]));
}
