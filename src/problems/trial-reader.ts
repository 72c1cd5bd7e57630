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
import { storedValues, writtenValues } from './trial-values.ts';
import { trialWords } from './trial-words.ts';

const STATE_LINES = { planned: 'dashed', passed: 'double', failed: 'struck' };

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
    const [before, after] = [storedValues(row.before), storedValues(row.after)];
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
      values: before.length || after.length ? `${before.length} before, ${after.length} after` : '',
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

/** Everything the page of a trial shows. @throws NotFound */
export async function readTrialPage(
  { read, hot }: Pick<Database, 'read' | 'hot'>,
  id: number,
  moment: Moment,
) {
  const trial = found(await read.trial.findUnique({ where: { id } }), `There is no trial ${id}.`);
  const [before, after] = [storedValues(trial.before), storedValues(trial.after)];
  const words = trialWords(before, after, trial.unit);
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
    measured: trial.measured,
    unit: trial.unit,
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
    values: { before: writtenValues(before), after: writtenValues(after) },
    lists: [
      { name: 'Before', values: before.map((value) => String(value).replace('-', '−')) },
      { name: 'After', values: after.map((value) => String(value).replace('-', '−')) },
    ].filter(({ values }) => values.length > 0),
    verdict: words,
    drawing: trialDrawing(before, after, words?.compared ?? null),
    seen: await lastChange(read, 'trial', id),
    history: historyLines(
      readLog({ hot }, { thing: { type: 'trial', id } }, { limit: 30 }),
      moment.timeZone,
    ).map((line) => ({ ...line, href: null })),
  };
}
