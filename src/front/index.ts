export { partJobsReader } from './part-jobs.ts';
export { partPage } from './part-page.ts';
export { type TodayParts, todayRoutes } from './today.ts';
