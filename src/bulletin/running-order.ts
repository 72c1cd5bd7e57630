import { markdownText } from './markdown.ts';
import { spokenWords } from './spoken.ts';
import type { ToldBulletin } from './told.ts';
import { thanksLines } from './written.ts';

/**
 * Words a minute at which English non-fiction is read in silence: 238 on average of 190 studies.
 *
 * Source: Brysbaert, "How many words do we read per minute? A review and meta-analysis of reading rate", Journal of
 * Memory and Language 109 (2019) 104047; from memory.
 */
const READING_PACE = 238;

export interface OrderLine {
  /** the computed line's; null for what the lead wrote and for thanks, which are not cut by a tick */
  key: string | null;
  text: string;
  words: number;
}

/** A piece of the bulletin as it is said. */
export interface OrderItem {
  key: string;
  title: string;
  lines: OrderLine[];
  words: number;
  /** seconds */
  takes: number;
  /** seconds from the beginning */
  at: number;
}

export interface RunningOrder {
  items: OrderItem[];
  words: number;
  /** seconds it takes to say */
  takes: number;
  /** seconds it takes to read in silence */
  reading: number;
}

/**
 * What is said one after the other, and how long each takes. Headings are not said.
 *
 * @param pace  words a minute, above 0
 */
export function runningOrder(told: ToldBulletin, pace: number): RunningOrder {
  const own = (text: string): OrderLine[] =>
    markdownText(text, 'none')
      .split(/\n{2,}/)
      .filter(Boolean)
      .map((paragraph) => ({ key: null, text: paragraph, words: spokenWords(paragraph) }));
  const computed = (key: string | null, text: string): OrderLine => ({ key, text, words: spokenWords(text) });
  const finish = told.finish ? [computed(null, told.finish)] : [];
  const sections = told.sections.map((section) => ({
    key: section.key,
    title: section.key === 'finish' ? 'The finish' : section.title,
    lines: [
      ...(section.key === 'finish' ? finish : []),
      ...own(section.own),
      ...section.lines.map(({ key, text }) => computed(key, text)),
    ],
  }));
  const whole = [
    { key: 'opening', title: 'Opening', lines: own(told.opening) },
    // Where nobody asked why it moved, the finish is told by itself.
    ...(told.sections.some(({ key }) => key === 'finish')
      ? []
      : [{ key: 'finish', title: 'The finish', lines: finish }]),
    ...sections,
    { key: 'thanks', title: 'Thanks', lines: thanksLines(told).map((text) => computed(null, text)) },
    { key: 'closing', title: 'Closing', lines: own(told.closing) },
  ];
  let words = 0;
  const items = whole.flatMap((item): OrderItem[] => {
    if (item.lines.length === 0) return [];
    const own = item.lines.reduce((sum, line) => sum + line.words, 0);
    const at = (words * 60) / pace;
    words += own;
    return [{ ...item, words: own, takes: (own * 60) / pace, at }];
  });
  return { items, words, takes: (words * 60) / pace, reading: (words * 60) / READING_PACE };
}

/** Something that can be left out. */
export interface Cut {
  /** the computed lines it leaves out */
  keys: string[];
  /** the section it is of */
  of: string;
  text: string;
  /** seconds saved */
  saves: number;
}

/**
 * What to leave out so that it takes no longer than wanted: the longest computed lines first, a whole section where all
 * of its lines go. Thanks and the lead's own words are not cut.
 *
 * @param wanted  seconds
 * @returns       over: seconds it is too long; still: seconds too long when all of the cuts are made
 */
export function cutsToFit(order: RunningOrder, wanted: number): { over: number; cuts: Cut[]; still: number } {
  const perWord = order.words ? order.takes / order.words : 0;
  const over = wordsOver(order, wanted) > 0 ? order.takes - wanted : 0;
  const lines = order.items
    .flatMap((item) => item.lines.map((line) => ({ ...line, item })))
    .filter((line): line is typeof line & { key: string } => line.key !== null && line.words > 0)
    .sort((a, b) => b.words - a.words);
  // In words, which are whole: seconds would leave a rest of rounding.
  let left = wordsOver(order, wanted);
  const gone: typeof lines = [];
  for (const line of lines) {
    if (left <= 0) break;
    gone.push(line);
    left -= line.words;
  }
  const cuts = order.items.flatMap((item): Cut[] => {
    const own = gone.filter((line) => line.item === item);
    const all = item.lines.filter(({ key }) => key !== null);
    if (own.length > 1 && own.length === all.length) {
      const saves = own.reduce((sum, line) => sum + line.words * perWord, 0);
      return [{ keys: own.map(({ key }) => key), of: item.title, text: `All ${own.length} lines`, saves }];
    }
    return own.map(({ key, text, words }) => ({ keys: [key], of: item.title, text, saves: words * perWord }));
  });
  return { over, cuts: cuts.sort((a, b) => b.saves - a.saves), still: Math.max(0, left) * perWord };
}

/** How many words have to go so that the rest takes no longer than wanted (seconds); none are negative. */
function wordsOver({ words, takes }: RunningOrder, wanted: number): number {
  if (words === 0) return 0;
  // 300 words a minute said in 2 minutes are 600 to the word, whatever the division leaves behind the point.
  return Math.max(0, words - Math.floor((wanted * words) / takes + 1e-9));
}

/** By how much it is too long, in words, never '0 s'; empty where it is not. */
export function overText(seconds: number): string {
  return seconds > 0 ? spanText(Math.max(1, seconds)) : '';
}

/** Seconds as a clock shows them: 0:00, 6:20, 1:02:05. */
export function clockText(seconds: number): string {
  const whole = Math.round(seconds);
  const two = (value: number) => String(value).padStart(2, '0');
  const [hours, minutes] = [Math.floor(whole / 3600), Math.floor((whole % 3600) / 60)];
  return hours ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`;
}

/** Seconds in words: '40 s', '6 min 20 s'. */
export function spanText(seconds: number): string {
  const whole = Math.round(seconds);
  if (whole < 60) return `${whole} s`;
  return whole % 60 ? `${Math.floor(whole / 60)} min ${whole % 60} s` : `${whole / 60} min`;
}
