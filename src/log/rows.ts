import type { Unit } from '../parts/index.ts';

/** A row of the log with the names that its sentence needs, as they are now. */
export interface LogRow {
  id: number;
  /** ISO text, UTC */
  at: string;
  kind: string;
  personId: number | null;
  who: string | null;
  partId: number | null;
  partNumber: string | null;
  partName: string | null;
  partUnit: Unit | null;
  jobId: number | null;
  jobTitle: string | null;
  jobKind: string | null;
  aboutId: number | null;
  about: string | null;
  thingType: string | null;
  thingId: number | null;
  milli: number | null;
  before: string | null;
  after: string | null;
}

/** What was noted of the thing before or after; an empty record where nothing was. */
export function noted(json: string | null): Record<string, unknown> {
  return json === null ? {} : (JSON.parse(json) as Record<string, unknown>);
}
