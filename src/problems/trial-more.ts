import { MOST_RUNS } from '../specs/index.ts';

/** Chances that a planned test finds a difference that is real. Common practice, no source. */
const OFTEN = 0.8;
const SELDOM_MISSED = 0.9;

/** What is asked: how many more would settle it. */
export interface MoreQuestion {
  /** runs there are on either side */
  before: number;
  after: number;
  shown: boolean;
  /** the difference looked for, in words with its unit; null where none was seen and none is named */
  difference: string | null;
  /** whether the lead named it as the smallest that matters */
  named: boolean;
  /** the whole interval lies closer to no change than what matters */
  smaller: boolean;
  /** the whole interval lies further from no change than what matters */
  larger: boolean;
  /** runs on each side for a chance; null when more than can be asked for */
  needed(chance: number): number | null;
  /** the same where no more can be measured before; undefined where it is not worked out */
  neededAfter(chance: number): number | null | undefined;
  /** so many runs in words: '12 values', '12 more values' */
  amount(runs: number, more: boolean): string;
}

/** How many more runs on each side would settle whether it changed, in two or three sentences. */
export function moreWords(question: MoreQuestion): string {
  const { shown, difference, named, smaller, larger } = question;
  if (smaller && difference) {
    return `No more are needed: whatever changed is less than the ${difference} that would matter.`;
  }
  if (shown) {
    if (named && larger)
      return `No more are needed: it changed by more than the ${difference} that would matter.`;
    return named
      ? `No more are needed to tell that it changed. Whether by as much as the ${difference} that would matter, these do not settle: more make the interval narrower.`
      : 'No more are needed to tell that it changed; more only make the interval narrower.';
  }
  if (difference === null) {
    return 'No difference was seen, and no number of runs can show one that is not there. Say which change would matter, and the number for that is worked out.';
  }
  const needed = question.needed(OFTEN);
  if (needed === null) {
    return `To settle it more than ${question.amount(MOST_RUNS, false)} on each side would be needed for a difference of ${difference}: no number of runs that can be asked for will do.`;
  }
  const [before, after] = [question.before, question.after].map((there) => Math.max(0, needed - there)) as [
    number,
    number,
  ];
  const real = named
    ? `a change of ${difference}, the smallest that would matter,`
    : `a difference of ${difference}, as it was seen,`;
  if (before === 0 && after === 0) {
    return `There are as many as would find ${real} 8 times of 10. That they show none speaks against one so large, without ruling it out; more make the interval narrower.`;
  }
  const better = question.needed(SELDOM_MISSED);
  const more = sides(question, before, after);
  const sentences = [
    `To settle it: ${more}. A test at 5 % would then find ${real} 8 times of 10${better === null ? '' : `; for 9 of 10 it takes ${question.amount(better, false)} on each side in all`}.`,
  ];
  const alone = before > 0 ? question.neededAfter(OFTEN) : undefined;
  if (alone !== undefined) {
    sentences.push(
      alone === null
        ? 'If before can’t be measured again, more after alone will not settle it: too many would be needed.'
        : `If before can’t be measured again: ${question.amount(Math.max(1, alone - question.after), true)} after.`,
    );
  }
  if (!named)
    sentences.push(
      'What was seen may be chance itself: a smallest change that matters, named in the plan, makes this firmer.',
    );
  return sentences.join(' ');
}

function sides({ amount }: MoreQuestion, before: number, after: number): string {
  if (before === after) return `${amount(before, true)} on each side`;
  if (before === 0) return `${amount(after, true)} after`;
  if (after === 0) return `${amount(before, true)} before`;
  return `${amount(before, true)} before and ${amount(after, true)} after`;
}

/** Where an interval of a difference lies to the smallest change that matters. */
export function against(worthwhile: number | null, low: number, high: number) {
  return {
    smaller: worthwhile !== null && low > -worthwhile && high < worthwhile,
    larger: worthwhile !== null && (low >= worthwhile || high <= -worthwhile),
  };
}
