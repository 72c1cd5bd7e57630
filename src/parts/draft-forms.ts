import { z } from 'zod';
import { ids, line, tick } from '../platform/http/fields.ts';
import { verdicts } from './draft-page.ts';
import type { UseAnswer } from './import-types.ts';

/** Lines as people write them: `12, 15-18`. */
const lineNumbers = line(2000).transform((text, check) => {
  const lines: number[] = [];
  for (const piece of text.split(/[\s,;]+/).filter(Boolean)) {
    const [, from = '', to = from] = /^(\d{1,6})(?:[-–](\d{1,6}))?$/.exec(piece) ?? [];
    const [first, last] = [Number(from), Number(to)];
    if (from === '' || last < first || last - first > 20_000) {
      check.addIssue('Write lines as 12, 15-18.');
      return [];
    }
    for (let at = first; at <= last; at++) lines.push(at);
  }
  return lines;
});

/** What a person says to the plan of a list. */
export const TakeForm = z
  .object({
    mark: line(64),
    allUnusual: tick,
    line: ids,
    despiteBad: tick,
    leaveOut: lineNumbers,
  })
  .transform(({ mark, allUnusual, line: ticked, despiteBad, leaveOut }) => ({
    mark,
    choice: { unusual: allUnusual ? ('all' as const) : ticked, despiteBad, leaveOut },
  }));

const list = z.preprocess(
  (value) => (value === undefined ? [] : Array.isArray(value) ? value : [value]),
  z.array(z.string().max(300)).max(2000, 'At most 2000 answers at once.'),
);

/** How many go into each assembly, where the list names one total for several. */
export const AnswersForm = z
  .object({ line: list, assembly: list, quantity: list })
  .transform((form, check) => {
    const answers: UseAnswer[] = [];
    form.line.forEach((number, at) => {
      const assembly = form.assembly[at];
      if (!/^[1-9]\d{0,5}$/.test(number) || assembly === undefined) {
        check.addIssue('The questions could not be read; load the page again.');
      } else answers.push({ line: Number(number), assembly, quantity: (form.quantity[at] ?? '').trim() });
    });
    return answers;
  });

export const DraftAddress = z.object({
  show: z.enum(['', ...verdicts]).catch(''),
  page: z.coerce.number().int().min(1).max(10_000).catch(1),
});
