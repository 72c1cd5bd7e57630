import { z } from 'zod';
import { addMonths, isMonth, type Month, monthNumber } from './months.ts';

/** A page shows no more months than this. */
export const MOST_MONTHS = 60;
const USUAL_MONTHS = 12;

const month = (sentence: string) =>
  z.preprocess(
    (value) => (typeof value === 'string' ? value.trim() : ''),
    z.string().refine((text) => text === '' || isMonth(text), sentence),
  );

const EXAMPLE = 'Type a month as year and number, like 2026-03.';

/** The span that the address asks for; what is left out follows from the other, and from today. */
export const SpanForm = (thisMonth: Month) =>
  z
    .object({ from: month(EXAMPLE), until: month(EXAMPLE) })
    .transform(({ from, until }) => {
      const last = until || (from ? earlier(addMonths(from, USUAL_MONTHS - 1), thisMonth) : thisMonth);
      return { from: from || addMonths(last, 1 - USUAL_MONTHS), until: last };
    })
    .superRefine(({ from, until }, check) => {
      const add = (path: string, message: string) =>
        check.addIssue({ code: 'custom', path: [path], message });
      if (from > thisMonth) add('from', 'This month is still to come.');
      else if (until > thisMonth) add('until', 'This month is still to come.');
      else if (until < from) add('until', 'This month lies before the first one.');
      else if (monthNumber(until) - monthNumber(from) >= MOST_MONTHS) {
        add('until', `At most ${MOST_MONTHS} months at a time.`);
      }
    });

const earlier = (a: Month, b: Month) => (a < b ? a : b);
