export { KINDS } from './acts-told.ts';
export { type BulletinText, editBulletin, publishBulletin } from './bulletin-acts.ts';
export { publicName } from './public-names.ts';
export { type PublishedBulletin, publishedBulletins } from './published.ts';
export { bulletinRoutes } from './routes.ts';
export { type BuildWeek, readBuildWeek, readDraft } from './store.ts';
export { recentWeeks, type Week, weekOf, weekTo } from './week.ts';
