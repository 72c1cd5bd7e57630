import { createHash } from 'node:crypto';
import { historyLines, readLog } from '../log/index.ts';
import type { Database } from '../platform/database.ts';
import { daysBetween, dayWords } from '../platform/day.ts';
import { found } from '../platform/refusal.ts';
import type { Moment } from './moment.ts';
import { partNames } from './problem-reader.ts';
import { trialWord } from './redesign-reader.ts';
import { redesignState } from './redesign-rules.ts';
import { lastChange } from './store.ts';
import { trialDrawing } from './trial-drawing.ts';
import { countWords, plainNumber, threeFigures } from './trial-figures.ts';
import type { TrialData } from './trial-finding.ts';
import { isCounted, KINDS, kindOf } from './trial-kinds.ts';
import { storedValues, writtenValues } from './trial-values.ts';
import { disagreement, limitsWords, noun } from './trial-wanted.ts';
import { type TrialWords, trialWords, wantedUnit } from './trial-words.ts';

const STATE_LINES = { planned: 'dashed', passed: 'double', failed: 'struck' };
/** Values of a side that the page lists; all of them are in the file. */
const LISTED = 200;

type StoredTrial = NonNullable<Awaited<ReturnType<Database['read']['trial']['findUnique']>>>;

/** What the figures of a stored trial are worked out from. */
export function trialData(row: StoredTrial): TrialData {
  const { unit, runsBefore, runsAfter, runsUnit, wantedMin, wantedMax, worthwhile } = row;
  return {
    ...{ unit, runsBefore, runsAfter, runsUnit, wantedMin, wantedMax, worthwhile },
    kind: kindOf(row.kind),
    before: storedValues(row.before),
    after: storedValues(row.after),
    noiseBefore: storedValues(row.noiseBefore),
    noiseAfter: storedValues(row.noiseAfter),
  };
}

/** How much was measured on a side: '8', '7 of 10', '3 in 200 hours'. */
function amountOf({ kind, runsUnit }: TrialData, values: readonly number[], runs: number | null): string {
  const sum = values.reduce((total, value) => total + value, 0);
  if (kind === 'yes-no') return `${sum} of ${values.length}`;
  if (kind !== 'failures') return String(values.length);
  return `${sum} in ${runs === null ? 'no' : threeFigures(runs)} ${runsUnit || 'runs'}`;
}

/** All trials: planned ones by their day, made ones the newest on top. */
export async function trialLists(read: Database['read'], moment: Moment) {
  const rows = await read.trial.findMany({ orderBy: { id: 'desc' } });
  const parts = await partNames(
    read,
    rows.map(({ partId }) => partId),
  );
  const redesigns = await read.redesign.findMany({
    where: { trialId: { in: rows.map(({ id }) => id) }, droppedAt: null },
    select: { id: true, title: true, trialId: true },
  });
  const lines = rows.map((row) => {
    const word = trialWord(row.passed);
    const data = trialData(row);
    const { before, after } = data;
    const amounts = [
      before.length > 0 ? `${amountOf(data, before, data.runsBefore)} before` : '',
      after.length > 0 ? `${amountOf(data, after, data.runsAfter)} after` : '',
    ].filter(Boolean);
    return {
      id: row.id,
      href: `/trials/${row.id}`,
      title: row.title,
      word,
      line: STATE_LINES[word],
      measured: `${row.measured}${row.unit ? `, ${row.unit}` : ''}`,
      part: parts.get(row.partId ?? 0) ?? null,
      plannedOn: row.plannedOn,
      planned: row.plannedOn ? dayWords(row.plannedOn, moment.today) : '',
      overdue: row.passed === null && row.plannedOn !== null && row.plannedOn < moment.today,
      doneOn: row.doneAt ? moment.words(row.doneAt) : '',
      doneAt: row.doneAt,
      values: amounts.join(', '),
      redesigns: redesigns
        .filter(({ trialId }) => trialId === row.id)
        .map(({ id, title }) => ({ href: `/redesigns/${id}`, title })),
    };
  });
  const byDay = (a: { plannedOn: string | null }, b: { plannedOn: string | null }) =>
    (a.plannedOn ?? '9999') < (b.plannedOn ?? '9999') ? -1 : 1;
  return {
    planned: lines.filter(({ word }) => word === 'planned').sort(byDay),
    made: lines.filter(({ word }) => word !== 'planned').sort((a, b) => Number(b.doneAt) - Number(a.doneAt)),
  };
}

/** Drawing thousands of levels again and again takes a third of a second: what came of the last trials is kept. */
const MOST_KEPT = 50;
const kept = new Map<string, TrialWords>();

function keptWords(data: TrialData): TrialWords {
  const key = createHash('sha256').update(JSON.stringify(data)).digest('base64');
  const words = kept.get(key) ?? trialWords(data);
  // the one asked for last is the last to go
  kept.delete(key);
  kept.set(key, words);
  const [oldest] = kept.keys();
  if (kept.size > MOST_KEPT && oldest !== undefined) kept.delete(oldest);
  return words;
}

const plainOrNone = (value: number | null) => (value === null ? null : plainNumber(value));

/** Values that were typed and are looked at before they are written down. */
export type LookedAt = Pick<
  TrialData,
  'before' | 'after' | 'noiseBefore' | 'noiseAfter' | 'runsBefore' | 'runsAfter'
>;

/**
 * Everything the page of a trial shows.
 *
 * @param looked  values to be shown in the place of the stored ones
 * @throws NotFound
 */
export async function readTrialPage(
  { read, hot }: Pick<Database, 'read' | 'hot'>,
  id: number,
  moment: Moment,
  looked?: LookedAt,
) {
  const trial = found(await read.trial.findUnique({ where: { id } }), `There is no trial ${id}.`);
  const data = { ...trialData(trial), ...looked };
  const { kind, before, after, noiseBefore, noiseAfter, unit } = data;
  const words = keptWords(data);
  const values = {
    before: writtenValues(before, kind),
    after: writtenValues(after, kind),
    noiseBefore: writtenValues(noiseBefore),
    noiseAfter: writtenValues(noiseAfter),
    runsBefore: plainOrNone(data.runsBefore) ?? '',
    runsAfter: plainOrNone(data.runsAfter) ?? '',
  };
  const limits = limitsWords(data.wantedMin, data.wantedMax, wantedUnit(data));
  const word = trialWord(trial.passed);
  const redesigns = await read.redesign.findMany({ where: { trialId: id }, orderBy: { id: 'asc' } });
  const parts = await partNames(read, [trial.partId]);
  const job =
    trial.jobId === null
      ? null
      : await read.job.findUnique({
          where: { id: trial.jobId },
          select: { id: true, title: true, finishedAt: true, droppedAt: true },
        });
  return {
    id,
    title: trial.title,
    word,
    line: STATE_LINES[word],
    made: trial.passed !== null,
    passed: trial.passed,
    kind,
    kindLabel: KINDS[kind].label,
    measured: trial.measured,
    unit,
    runsUnit: data.runsUnit,
    wantedUnit: wantedUnit(data),
    /** as they are typed, or null */
    wantedMin: plainOrNone(data.wantedMin),
    wantedMax: plainOrNone(data.wantedMax),
    worthwhile: plainOrNone(data.worthwhile),
    limits: limits && `${noun(data)} ${limits}`,
    how: trial.how,
    passWhen: trial.passWhen,
    plannedOn: trial.plannedOn,
    planned: trial.plannedOn ? dayWords(trial.plannedOn, moment.today) : '',
    daysLate:
      trial.passed === null && trial.plannedOn ? Math.max(0, daysBetween(trial.plannedOn, moment.today)) : 0,
    doneOn: trial.doneAt && moment.words(trial.doneAt),
    words: trial.words,
    part: parts.get(trial.partId ?? 0) ?? null,
    job: job && {
      id: job.id,
      title: job.title,
      href: `/jobs/${job.id}`,
      open: !job.finishedAt && !job.droppedAt,
    },
    redesigns: redesigns.map((redesign) => ({
      href: `/redesigns/${redesign.id}`,
      title: redesign.title,
      state: redesignState(redesign),
    })),
    correctable: trial.passed !== null && redesigns.every(({ closedAt }) => closedAt === null),
    values,
    /** what was written down of it, as its form shows it */
    result: {
      ...values,
      passed: trial.passed === null ? '' : trial.passed ? 'yes' : 'no',
      words: trial.words,
    },
    lists: [
      { name: 'Before', values: before },
      { name: 'After', values: after },
      { name: 'Noise before', values: noiseBefore },
      { name: 'Noise after', values: noiseAfter },
    ].flatMap(({ name, values }) =>
      values.length > 0
        ? [
            {
              name: `${name}${isCounted(kind) || !unit ? '' : `, ${unit}`}`,
              values: values.slice(0, LISTED).map((value) => oneValue(value, kind)),
              more:
                values.length > LISTED ? countWords(values.length - LISTED, 'more value', 'more values') : '',
            },
          ]
        : [],
    ),
    verdict: words,
    disagreement: disagreement(looked ? null : trial.passed, words.wanted),
    drawing: trialDrawing(words.finding, data),
    seen: await lastChange(read, 'trial', id),
    history: historyLines(
      readLog({ hot }, { thing: { type: 'trial', id } }, { limit: 30 }),
      moment.timeZone,
    ).map((line) => ({ ...line, href: null })),
  };
}

const oneValue = (value: number, kind: TrialData['kind']) =>
  kind === 'yes-no' ? (value ? 'yes' : 'no') : String(value).replace('-', '−');

/** All values of a trial as lines of a table, for a spreadsheet. @throws NotFound */
export async function trialValuesTable(read: Database['read'], id: number): Promise<string> {
  const trial = found(await read.trial.findUnique({ where: { id } }), `There is no trial ${id}.`);
  const data = trialData(trial);
  const lists = {
    before: data.before,
    after: data.after,
    'noise before': data.noiseBefore,
    'noise after': data.noiseAfter,
  };
  const lines = Object.entries(lists).flatMap(([name, values]) => values.map((value) => `${name},${value}`));
  return ['side,value', ...lines, ''].join('\r\n');
}
