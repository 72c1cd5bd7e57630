export { partJobsReader } from './part-jobs.ts';
export { partPage } from './part-page.ts';
