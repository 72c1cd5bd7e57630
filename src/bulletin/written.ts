import { escapeHtml, markdownHtml, markdownText } from './markdown.ts';
import { EMPTY_WEEK, saysAnything, type ToldBulletin, unnamedLines } from './told.ts';

/** A picture that stands in a bulletin, under its address in this build. */
export interface WrittenPhoto {
  href: string;
  words: string;
  width: number;
  height: number;
  by: string | null;
}

/** A bulletin as HTML without a page around it, every link absolute: for the feed and the letter. */
export function bulletinHtml(told: ToldBulletin, photos: readonly WrittenPhoto[], baseUrl: string): string {
  const item = (text: string, href: string | null = null, link = '') =>
    `<li>${escapeHtml(text)}${href ? ` <a href="${escapeHtml(baseUrl + href)}">${escapeHtml(link)}</a>` : ''}</li>`;
  const list = (items: string[]) => (items.length ? `<ul>\n${items.join('\n')}\n</ul>` : '');
  const parts = [
    markdownHtml(told.opening, baseUrl),
    saysAnything(told) ? '' : `<p>${EMPTY_WEEK}</p>`,
    told.finish ? `<p><strong>${escapeHtml(told.finish)}</strong></p>` : '',
    ...told.sections.flatMap(({ title, own, lines }) =>
      own || lines.length
        ? [
            `<h2>${escapeHtml(title)}</h2>`,
            markdownHtml(own, baseUrl, 2),
            list(lines.map(({ text, href, link }) => item(text, href, link))),
          ]
        : [],
    ),
    ...photos.map(
      ({ href, words, width, height, by }) =>
        `<p><img src="${escapeHtml(baseUrl + href)}" width="${width}" height="${height}" alt="${escapeHtml(words || 'A photo of the week')}"><br>${escapeHtml([words, by ? `Photo: ${by}` : ''].filter(Boolean).join(' '))}</p>`,
    ),
    thanksLines(told).length ? '<h2>Thanks</h2>' : '',
    list(thanksLines(told).map((one) => item(one))),
    markdownHtml(told.closing, baseUrl),
    ...told.corrections.map(
      ({ on, words }) => `<h2>Put right on ${escapeHtml(on)}</h2>\n${markdownHtml(words, baseUrl, 2)}`,
    ),
  ];
  return parts.filter(Boolean).join('\n');
}

/** A bulletin as plain text, links as bare absolute addresses. */
export function bulletinText(told: ToldBulletin, baseUrl: string): string {
  const text = (words: string) => markdownText(words, 'bare', baseUrl);
  const item = (line: { text: string; href?: string | null }) =>
    `- ${line.text}${line.href ? ` ${baseUrl}${line.href}` : ''}`;
  const thanks = thanksLines(told);
  const parts = [
    text(told.opening),
    saysAnything(told) ? '' : EMPTY_WEEK,
    told.finish,
    ...told.sections.map(({ title, own, lines }) =>
      own || lines.length ? [title, text(own), ...lines.map(item)].filter(Boolean).join('\n') : '',
    ),
    thanks.length ? ['Thanks', ...thanks.map((one) => item({ text: one }))].join('\n') : '',
    text(told.closing),
    ...told.corrections.map(({ on, words }) => `Put right on ${on}\n${text(words)}`),
  ];
  return parts.filter(Boolean).join('\n\n');
}

/** Who is thanked, a line each: 'Ada, for making and posting'. */
export function thanksLines(told: ToldBulletin): string[] {
  return [
    ...told.thanks.map(({ name, reason }) => (reason ? `${name}, for ${reason}` : name)),
    ...unnamedLines(told),
  ];
}

/** The first words of a bulletin, at most so many characters, cut between words: for lists and letters. */
export function bulletinSummary(told: ToldBulletin, most = 280): string {
  const first =
    markdownText(told.opening, 'none') ||
    told.finish ||
    told.sections.flatMap(({ lines }) => lines.map(({ text }) => text)).join(' ') ||
    EMPTY_WEEK;
  const flat = first.replace(/\s+/g, ' ');
  if (flat.length <= most) return flat;
  return `${flat.slice(0, most).replace(/\s+\S*$/, '')} …`;
}
