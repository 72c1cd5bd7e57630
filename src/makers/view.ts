import { type Day, dayWords } from '../platform/day.ts';
import type { PromiseRecord } from './record.ts';

/** A promise record in words and percentages. */
export function recordWords(record: PromiseRecord): string {
  if (record.finished === 0) {
    return record.promises.length ? 'Nothing posted whole yet.' : 'No claim yet.';
  }
  const share = Math.round((100 * record.onTime) / record.finished);
  const ratio =
    record.medianRatio === null ? '' : `, typically ${record.medianRatio.toFixed(1)} times the likely days`;
  return `${record.onTime} of ${record.finished} on time (${share} %)${ratio}.`;
}

/** The envelope of a tool in words. */
export function envelopeWords(tool: { xMm: number | null; yMm: number | null; zMm: number | null }): string {
  const sides = [tool.xMm, tool.yMm, tool.zMm].filter((side) => side !== null);
  return sides.length ? `${sides.join(' × ')} mm` : '';
}

/** Days away in words. */
export function awayWords(away: { fromOn: Day; untilOn: Day }, today: Day): string {
  return away.fromOn === away.untilOn
    ? dayWords(away.fromOn, today)
    : `${dayWords(away.fromOn, today)} to ${dayWords(away.untilOn, today)}`;
}

export interface PromiseLine {
  jobId: number;
  title: string;
  promise: string;
  took: string;
  verdict: string;
  late: boolean;
  /** the drawn line, in hundredths of the picture's width */
  from: number;
  likely: number;
  to: number;
  at: number;
}

/** Promises as lines of a table, with a small picture of each: the promised span, its likely day, what happened. */
export function promiseLines(record: PromiseRecord, titles: Map<number, string>): PromiseLine[] {
  const longest = Math.max(
    1,
    ...record.promises.map(({ latestDays, tookDays }) => Math.max(latestDays, tookDays)),
  );
  const scale = (days: number) => Math.round((1000 * days) / longest) / 10;
  return record.promises
    .map((one) => ({
      jobId: one.jobId,
      title: titles.get(one.jobId) ?? `job ${one.jobId}`,
      promise: `${one.soonestDays} / ${one.likelyDays} / ${one.latestDays} d`,
      took: `${one.tookDays} d${one.finished ? '' : ' so far'}`,
      verdict: one.verdict,
      late: one.late,
      from: scale(one.soonestDays),
      likely: scale(one.likelyDays),
      to: scale(one.latestDays),
      at: scale(one.tookDays),
    }))
    .reverse();
}
