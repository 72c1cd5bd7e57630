export * from './facts.ts';
export { type FactsReader, factsReader } from './facts-reader.ts';
export type { JobTime, JobTimes } from './times.ts';
