import { z } from 'zod';
import {
  choice,
  id,
  line,
  number,
  optionalDay,
  optionalId,
  optionalNumber,
  tick,
  words,
} from '../platform/http/fields.ts';
import { LONGEST_PROMISE_DAYS } from './claim-rules.ts';
import { JOB_KINDS } from './facts.ts';
import { LINK_TYPES } from './link-jobs.ts';

const quantity = line(40, 'Type how much.');
const optionalQuantity = line(40);

const details = {
  title: line(120),
  note: words(4000),
  wantedOn: optionalDay,
  hours: optionalNumber({ min: 0, max: 10_000, unit: ' hours' }),
  days: optionalNumber({ min: 0, max: 1000, whole: true, unit: ' days' }),
  personId: optionalId('Choose a person of the list.'),
  gatheringId: optionalId('Choose a gathering of the list.'),
  spot: line(60),
  firstPiece: tick,
  strangers: tick,
};

export const NewJobForm = z.object({
  kind: choice(JOB_KINDS, 'Choose what kind of work it is.'),
  part: line(40),
  quantity: optionalQuantity,
  ...details,
});

export const ChangeJobForm = z.object({ quantity: optionalQuantity, ...details });

const promisedDays = number({ min: 0, max: LONGEST_PROMISE_DAYS, whole: true, unit: ' days' });
const promise = { soonestDays: promisedDays, likelyDays: promisedDays, latestDays: promisedDays };

function inOrder(
  { soonestDays, likelyDays, latestDays }: { soonestDays: number; likelyDays: number; latestDays: number },
  check: z.core.$RefinementCtx,
): void {
  if (likelyDays < soonestDays) {
    check.addIssue({
      code: 'custom',
      path: ['likelyDays'],
      message: `Not before the soonest, ${soonestDays} days.`,
    });
  } else if (latestDays < likelyDays) {
    check.addIssue({
      code: 'custom',
      path: ['latestDays'],
      message: `Not before the likely, ${likelyDays} days.`,
    });
  }
}

export const ClaimForm = z
  .object({ quantity, ...promise, note: words(500), personId: optionalId('Choose a maker of the list.') })
  .superRefine(inOrder);

export const PromiseForm = z.object(promise).superRefine(inOrder);

export const HandBackForm = z.object({ quantity, words: words(1000) });

export const ReportForm = z.object({
  quantity: optionalQuantity,
  words: words(4000),
  hours: optionalNumber({ min: 0, max: 1000, unit: ' hours' }),
});

export const CorrectionForm = z.object({
  quantity,
  words: words(1000, 'Say in a word what happened.'),
});

export const QueryForm = z.object({ question: words(2000, 'Type the question.') });

export const AnswerForm = z.object({ answer: words(4000, 'Type the answer.') });

export const HoldForm = z.object({ reason: words(500, 'Say why: makers see it.') });

export const DropForm = HoldForm;

export const ApproveFirstForm = z.object({
  words: words(1000, 'Say what it is approved by: measured values, photos.'),
});

export const FinishForm = z.object({ result: words(4000, 'Say what came of it.'), atBench: tick });

export const OrderForm = z.object({ supplier: line(120, 'Name the supplier.'), promisedOn: optionalDay });

export const ArrivalForm = z.object({ quantity: optionalQuantity, noMore: tick });

export const LinkForm = z.object({
  other: id('Type the number of a job.'),
  direction: choice(['waits', 'waited']),
  type: choice(LINK_TYPES),
  lag: number({ min: -365, max: 365, whole: true, unit: ' days' }),
});

/** From a card the offer is one press, which says nothing of the public page: `asked` is the box's own mark. */
export const OfferForm = z.object({ strangers: tick, asked: tick });

/** A button and nothing else. */
export const ButtonForm = z.object({});
