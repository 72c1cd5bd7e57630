import { z } from 'zod';
import {
  choice,
  line,
  number,
  optionalDay,
  optionalId,
  optionalNumber,
  tick,
  words,
} from '../platform/http/fields.ts';
import { title } from './forms.ts';
import { isCounted, kindOf, plainUnit, TRIAL_KINDS, type TrialKind, unitTrouble } from './trial-kinds.ts';
import { MOST_TYPED, readValues } from './trial-values.ts';

const LARGEST = 1e12;
const NO_JOB = 'Type the number of a job.';

const measurements = (kind: TrialKind, unit: string) =>
  words(MOST_TYPED).transform((text, check) => {
    const read = readValues(text, kind, unit);
    if (read.ok) return read.values;
    check.addIssue(read.sentence);
    return z.NEVER;
  });

/** In how many runs was it counted: more than none. */
const runs = optionalNumber({ min: 0, max: LARGEST }).superRefine((value, check) => {
  if (value === 0) check.addIssue('More than 0: in none nothing can be counted.');
});

const limit = (kind: TrialKind) =>
  optionalNumber(
    kind === 'yes-no'
      ? { min: 0, max: 100, unit: ' %' }
      : { min: kind === 'failures' ? 0 : -LARGEST, max: LARGEST },
  );

const change = (kind: TrialKind) =>
  optionalNumber(
    kind === 'yes-no' ? { min: 0, max: 100, unit: ' percentage points' } : { min: 0, max: LARGEST },
  ).superRefine((value, check) => {
    if (value === 0) check.addIssue('More than 0, or leave it empty.');
  });

const typed = (body: unknown): Record<string, unknown> =>
  typeof body === 'object' && body !== null ? (body as Record<string, unknown>) : {};
const typedText = (value: unknown) => (typeof value === 'string' ? plainUnit(value) : '');

/** A count says nothing without the runs it was taken in, nor the runs without a count. */
function countsWithRuns(
  kind: TrialKind,
  sides: readonly { values: string; runs: string; given: readonly number[]; in: number | null }[],
  issue: (path: string, message: string) => void,
): void {
  if (kind !== 'failures') return;
  for (const { values, runs, given, in: inRuns } of sides) {
    if (given.length > 0 && inRuns === null)
      issue(runs, 'Type in how many runs, hours or pieces they were counted.');
    if (given.length === 0 && inRuns !== null)
      issue(values, 'Type how many failures were counted in them; 0 where there was none.');
  }
}

/** What all forms of a plan hold; which of it is asked depends on the kind, what is not asked is empty. */
const plan = (kind: TrialKind, unit: string) =>
  z.object({
    kind: choice(TRIAL_KINDS, 'Choose a kind of the list.'),
    title: title('Say in one line what is tried.'),
    part: line(40),
    jobId: optionalId(NO_JOB),
    measured: line(120, 'Say what is measured, or what is looked at.'),
    unit: line(20)
      .transform((text) => (isCounted(kind) ? '' : plainUnit(text)))
      .superRefine((text, check) => {
        const trouble = unitTrouble(kind, text);
        if (trouble) check.addIssue(trouble);
      }),
    how: words(4000),
    passWhen: words(1000),
    wantedMin: limit(kind),
    wantedMax: limit(kind),
    worthwhile: change(kind),
    plannedOn: optionalDay,
    before: measurements(kind, unit),
    noiseBefore: measurements('level', unit),
    runsBefore: runs,
    runsUnit: line(20),
  });

type Plan = z.output<ReturnType<typeof plan>>;

function checkPlan(input: Plan, check: z.RefinementCtx): void {
  const issue = (path: string, message: string) => check.addIssue({ code: 'custom', path: [path], message });
  if (input.wantedMin !== null && input.wantedMax !== null && input.wantedMin > input.wantedMax) {
    issue('wantedMax', `At least ${input.wantedMin} and at most ${input.wantedMax}: no value can be both.`);
  }
  countsWithRuns(
    input.kind,
    [{ values: 'before', runs: 'runsBefore', given: input.before, in: input.runsBefore }],
    issue,
  );
}

/** What does not belong to the kind is left out, whatever was sent. */
function fitting<T extends Plan>(input: T): T {
  return {
    ...input,
    ...(input.kind === 'level' ? {} : { noiseBefore: [] }),
    ...(input.kind === 'failures'
      ? { runsUnit: input.runsUnit || 'runs' }
      : { runsBefore: null, runsUnit: '' }),
  };
}

/** The form of a plan, for what was sent: its kind says how the values are read. */
export function planForm(body: unknown) {
  const { kind, unit } = typed(body);
  return plan(kindOf(kind), typedText(unit))
    .extend({ redesignId: optionalId('Choose a redesign of the list.') })
    .superRefine(checkPlan)
    .transform(fitting);
}

export function changePlanForm(body: unknown) {
  const { kind, unit } = typed(body);
  return plan(kindOf(kind), typedText(unit))
    .extend({ seen: number({ min: 0, max: 1_000_000_000, whole: true }) })
    .superRefine(checkPlan)
    .transform(fitting);
}

/** What the values of a result are read by. */
export interface ResultOf {
  kind: TrialKind;
  unit: string;
}

const values = ({ kind, unit }: ResultOf) =>
  z.object({
    before: measurements(kind, unit),
    after: measurements(kind, unit),
    noiseBefore: measurements('level', unit),
    noiseAfter: measurements('level', unit),
    runsBefore: runs,
    runsAfter: runs,
  });

type Values = z.output<ReturnType<typeof values>>;

const checkValues =
  (kind: TrialKind) =>
  (input: Values, check: z.RefinementCtx): void =>
    countsWithRuns(
      kind,
      [
        { values: 'before', runs: 'runsBefore', given: input.before, in: input.runsBefore },
        { values: 'after', runs: 'runsAfter', given: input.after, in: input.runsAfter },
      ],
      (path, message) => check.addIssue({ code: 'custom', path: [path], message }),
    );

/** The values alone, to be looked at before the word is given. */
export const valuesForm = (of: ResultOf) => values(of).superRefine(checkValues(of.kind));

/** What came of a trial. */
export const resultForm = (of: ResultOf) =>
  values(of)
    .extend({
      passed: choice(['yes', 'no'], 'Say whether it was passed.').transform((value) => value === 'yes'),
      words: words(4000),
      finishJob: tick,
      seen: optionalNumber({ min: 0, max: 1_000_000_000, whole: true }).transform(
        (seen) => seen ?? undefined,
      ),
    })
    .superRefine(checkValues(of.kind));
