import { markdownText } from './markdown.ts';
import { clockText, type RunningOrder, spanText } from './running-order.ts';
import type { ToldBulletin } from './told.ts';
import { unnamedLines } from './told.ts';

/** A plain text to read aloud: each piece with when it begins and how long it takes. Addresses are not said. */
export function scriptText(told: ToldBulletin, order: RunningOrder, pace: number): string {
  const pieces = order.items.map(({ title, at, takes, lines }) =>
    [`[${clockText(at)}] ${title} (${spanText(takes)})`, ...lines.map(({ text }) => text)].join('\n'),
  );
  return [
    `${told.title}\n${told.span}. ${spanText(order.takes)} at ${pace} words a minute.`,
    ...pieces,
    `[${clockText(order.takes)}] End`,
    '',
  ].join('\n\n');
}

/** Who is thanked, a name a line, each as they chose; by what they are thanked for where that is asked. */
export function creditsText(told: ToldBulletin, byReason: boolean): string {
  const rest = unnamedLines(told).map((line) => `and ${line}`);
  if (!byReason) return [...told.thanks.map(({ name }) => name), ...rest].join('\n');
  const groups = new Map<string, string[]>();
  for (const { name, reason } of told.thanks) {
    const title = reason ? reason.charAt(0).toUpperCase() + reason.slice(1) : 'Thanks';
    const names = groups.get(title);
    if (names) names.push(name);
    else groups.set(title, [name]);
  }
  const blocks = [...groups].map(([title, names]) => [title, ...names.map((name) => `  ${name}`)].join('\n'));
  return [...blocks, ...(rest.length ? [rest.join('\n')] : [])].join('\n\n');
}

/** A text that stands under a video may be so long: characters. */
export const DESCRIPTION_LENGTH = 5000;

/**
 * A plain text to stand under a video of the bulletin: the opening, when each piece begins, what is needed with bare
 * addresses, and the credits.
 *
 * @param address  the bulletin's page
 * @param most     characters; what does not go in is cut, what is needed first, then the opening, then the credits
 * @returns        cut: what was cut, a sentence each; none where all went in
 */
export function descriptionText(
  told: ToldBulletin,
  order: RunningOrder,
  { address, baseUrl }: { address: string; baseUrl: string },
  most = DESCRIPTION_LENGTH,
): { text: string; cut: string[] } {
  const opening = markdownText(told.opening, 'bare', baseUrl);
  const chapters = order.items.map(({ at, title }, index) => `${clockText(index ? at : 0)} ${title}`);
  const needed = (told.sections.find(({ key }) => key === 'needed')?.lines ?? []).map(({ text, href }) =>
    href ? `${text} ${baseUrl}${href}` : text,
  );
  const names = creditsText(told, false).split('\n').filter(Boolean);
  const block = (title: string, lines: readonly string[], shown: number, more: string) =>
    lines.length ? [title, ...lines.slice(0, shown), ...(shown < lines.length ? [more] : [])].join('\n') : '';
  const written = (said: string, offers: number, credits: number) =>
    [
      told.title,
      said,
      chapters.join('\n'),
      block('Needed', needed, offers, `All that is open: ${baseUrl}/offers`),
      `All of it: ${address}`,
      block('Thanks to', names, credits, `and ${names.length - credits} more: ${address}`),
    ]
      .filter(Boolean)
      .join('\n\n');

  let [said, offers, credits] = [opening, needed.length, names.length];
  while (written(said, offers, credits).length > most && offers > 0) offers -= 1;
  const over = written(said, offers, credits).length - most;
  if (over > 0 && said) {
    said = said.slice(0, Math.max(0, said.length - over - 2)).replace(/\s+\S*$/, '');
    said = said ? `${said} …` : '';
  }
  while (written(said, offers, credits).length > most && credits > 0) credits -= 1;
  const cut = [
    ...(offers < needed.length ? [`${needed.length - offers} of ${needed.length} offers`] : []),
    ...(said !== opening ? ['the end of the opening'] : []),
    ...(credits < names.length ? [`${names.length - credits} of ${names.length} names`] : []),
  ];
  return { text: written(said, offers, credits).slice(0, most), cut };
}
