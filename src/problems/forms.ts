import { z } from 'zod';
import {
  choice,
  id,
  ids,
  line,
  number,
  optionalDay,
  optionalId,
  optionalNumber,
  words,
} from '../platform/http/fields.ts';
import { RANKS, type Rank } from './problem-scales.ts';

const NO_JOB = 'Type the number of a job.';

/** A title in one line. The log and the bulletin set their own full stop after it. */
export const title = (required: string) =>
  line(120, required).transform((text, check) => {
    const bare = text.replace(/[.\s]+$/, '');
    if (text && !bare) check.addIssue(required);
    return bare;
  });

/** Which change the editor saw, so that the second of two is told. */
const seen = number({ min: 0, max: 1_000_000_000, whole: true });

const RANK_TEXTS = RANKS.map(String) as [string, ...string[]];
const NO_PERSON = 'Choose a person of the list.';

const severity = choice(RANK_TEXTS, 'Say how bad it is.').transform((value) => Number(value) as Rank);

/** A rank that may be left open: null. */
const optionalRank = choice(['', ...RANK_TEXTS], 'Choose a rank of 1 to 10.').transform((value) =>
  value === '' ? null : (Number(value) as Rank),
);

export const ProblemForm = z.object({
  title: title('Say in one line what is wrong.'),
  words: words(4000),
  severity,
  occurrence: optionalRank,
  detection: optionalRank,
  often: line(80),
  part: line(40),
  job: optionalId(NO_JOB),
  seenById: optionalId(NO_PERSON),
  seenOn: optionalDay,
});

export const ChangeProblemForm = ProblemForm.extend({ withoutPhotos: ids, seen });

/** Where in the structure somebody looks for the place of a problem; what is typed beside it is carried along. */
export const PickForm = z.object({ in: line(40), q: line(120) });

export const AcceptForm = z.object({ reason: words(1000, 'Say why it is lived with.') });

export const MergeForm = z.object({ sameAsId: id('Type the number of the problem it is the same as.') });

export const ReasonForm = z.object({ reason: words(500, 'Say why, in a few words.') });

export const OptionalReasonForm = z.object({ reason: words(500) });

const MOST_OPTIONS = 12;

export const DecisionForm = z.object({
  question: line(200, 'Type the question.'),
  options: words(2500).transform((text, check) => {
    const options = text
      .split('\n')
      .map((option) => option.trim())
      .filter((option) => option !== '');
    if (options.length > MOST_OPTIONS) {
      check.addIssue(`At most ${MOST_OPTIONS} options; these are ${options.length}.`);
    } else if (options.some(({ length }) => length > 200)) {
      check.addIssue('An option has at most 200 characters: say the rest in the reason.');
    }
    return options;
  }),
  jobId: optionalId(NO_JOB),
  part: line(40),
  deciderId: optionalId(NO_PERSON),
  gatheringId: optionalId('Choose a gathering of the list.'),
});

export const ChangeDecisionForm = DecisionForm.extend({ seen });

export const AnswerForm = z
  .object({
    option: line(200),
    other: line(200),
    reason: words(2000),
    seen: optionalNumber({ min: 0, max: 1_000_000_000, whole: true }),
  })
  .transform(({ option, other, reason, seen }, check) => {
    if (other && option) {
      check.addIssue({
        code: 'custom',
        path: ['other'],
        message: 'Choose an option or type another answer, not both.',
      });
    } else if (!other && !option) {
      check.addIssue({ code: 'custom', path: ['other'], message: 'Choose an option or type the answer.' });
    }
    return { answer: other || option, reason, seen: seen ?? undefined };
  });

/** A button and nothing else. */
export const ButtonForm = z.object({});
