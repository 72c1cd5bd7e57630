import { markdownHtml } from './markdown.ts';
import { EMPTY_WEEK, saysAnything, type ToldBulletin } from './told.ts';
import { thanksLines } from './written.ts';

/** What views/bulletin/_told.njk shows: the bulletin with its Markdown made into HTML. */
export function shownBulletin(told: ToldBulletin) {
  return {
    span: told.span,
    opening: markdownHtml(told.opening),
    closing: markdownHtml(told.closing),
    finish: told.finish,
    sections: told.sections
      .filter(({ own, lines }) => own !== '' || lines.length > 0)
      .map((section) => ({ ...section, own: markdownHtml(section.own, '', 2) })),
    thanks: thanksLines(told),
    nothing: saysAnything(told) ? '' : EMPTY_WEEK,
    corrections: told.corrections.map(({ on, words }) => ({ on, words: markdownHtml(words, '', 2) })),
  };
}
