import type { ActRow } from '../parts/index.ts';

/** A row of the log with the names that its sentence needs; parts, which stand below the log, tell their own from it. */
export type LogRow = ActRow;

/** What was noted of the thing before or after; an empty record where nothing was. */
export function noted(json: string | null): Record<string, unknown> {
  return json === null ? {} : (JSON.parse(json) as Record<string, unknown>);
}
