import { type Day, dayWords } from '../platform/day.ts';
import { type DaysScale, daysScale, type PromiseBar, promiseBar } from './promises-drawing.ts';
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
  bar: PromiseBar;
}

/** Promises as lines of a table, the last one first, each with its drawing on one scale. */
export function promiseLines(
  record: PromiseRecord,
  titles: Map<number, string>,
): { ticks: DaysScale['ticks']; lines: PromiseLine[] } {
  const scale = daysScale(record.promises);
  const lines = record.promises
    .map((one) => ({
      jobId: one.jobId,
      title: titles.get(one.jobId) ?? `job ${one.jobId}`,
      promise: `${one.soonestDays} / ${one.likelyDays} / ${one.latestDays} d`,
      took: `${one.tookDays} d${one.finished ? '' : ' so far'}`,
      verdict: one.verdict,
      late: one.late,
      bar: promiseBar(scale, one),
    }))
    .reverse();
  return { ticks: scale.ticks, lines };
}

/** The promises of one maker as a strip of lines, the last ones. */
export interface PromiseStrip {
  id: number;
  name: string;
  record: string;
  bars: PromiseBar[];
  /** earlier promises that are not drawn */
  earlier: number;
}

/** So many promises of each maker are drawn under one another. */
const MOST_IN_STRIP = 12;

/** What all makers promised against what happened, on one scale; makers who promised nothing are left out. */
export function promiseStrips(makers: readonly { id: number; name: string; record: PromiseRecord }[]): {
  ticks: DaysScale['ticks'];
  strips: PromiseStrip[];
} {
  const drawn = makers
    .filter(({ record }) => record.promises.length > 0)
    .map((maker) => ({ ...maker, last: maker.record.promises.slice(-MOST_IN_STRIP).reverse() }));
  const scale = daysScale(drawn.flatMap(({ last }) => last));
  return {
    ticks: scale.ticks,
    strips: drawn.map(({ id, name, record, last }) => ({
      id,
      name,
      record: recordWords(record),
      bars: last.map((promise) => promiseBar(scale, promise)),
      earlier: record.promises.length - last.length,
    })),
  };
}
