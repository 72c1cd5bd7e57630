import { boxWords } from '../drawings/index.ts';
import type { OfferFacts, OpenOffer } from '../offers/index.ts';
import { gradeWords, plainNumber } from '../specs/index.ts';
import { htmlText } from './clean-text.ts';

/** What an offer is told from. */
export interface ToldOffer {
  offer: OpenOffer;
  /** what it takes; null where no drawing says it */
  facts: OfferFacts | null;
  /** absolute address of its public page */
  href: string;
}

const length = (mm: number) => `${plainNumber(Number(mm.toFixed(1)))} mm`;

/** How large it is, as far as the model or the drawing tells. */
function sizeOf({ box, greatest }: OfferFacts): string {
  if (box) return `${boxWords(box.sides)} by its model`;
  return greatest ? `at least ${length(greatest.mm)} (${greatest.text})` : '';
}

/** What it takes to make it: names and values with their units, those left out that nothing is known of. */
export function whatItTakes({ offer, facts }: Pick<ToldOffer, 'offer' | 'facts'>): [string, string][] {
  const rows: [string, string][] = [
    ['Part', `${offer.partNumber}, revision ${offer.letter}`],
    ['Open', offer.openText],
    ['Process', offer.process],
    ['Material', offer.material || 'see the drawing'],
    ['Size', facts ? sizeOf(facts) : ''],
    [
      'Tightest tolerance',
      facts?.tightest ? `${gradeWords(facts.tightest.grade)} (${facts.tightest.text})` : '',
    ],
    [
      'Work',
      facts?.hours
        ? `about ${plainNumber(Math.max(0.1, Number(facts.hours.toFixed(1))))} h for all of it`
        : '',
    ],
    ['To be posted by', offer.needBy],
  ];
  return rows.filter(([, value]) => value !== '');
}

/** The offer as HTML that stands alone. */
export function offerHtml({ offer, facts, href }: ToldOffer): string {
  const rows = whatItTakes({ offer, facts }).map(
    ([name, value]) => `<dt>${htmlText(name)}</dt><dd>${htmlText(value)}</dd>`,
  );
  return [
    `<dl>${rows.join('')}</dl>`,
    offer.critical
      ? '<p>It drives the finish: a day sooner here is a day sooner for the whole machine.</p>'
      : '',
    `<p><a href="${htmlText(href)}">Drawing, limits and how to say that you will make it, or some of it</a></p>`,
  ].join('');
}

/** The offer in one line. */
export function offerSummary({ offer }: Pick<ToldOffer, 'offer'>): string {
  const material = offer.material ? ` in ${offer.material}` : '';
  return `${offer.openText} open of ${offer.title}: ${offer.process}${material}, to be posted by ${offer.needBy}.`;
}
