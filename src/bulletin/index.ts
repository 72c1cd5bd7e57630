export { KINDS } from './acts-told.ts';
export { type BulletinText, correctBulletin, editBulletin, publishBulletin } from './bulletin-acts.ts';
export { publicName } from './public-names.ts';
export { type PublishedBulletin, publishedBulletins } from './published.ts';
export { bulletinRoutes } from './routes.ts';
export { readBuildWeek, readDraft } from './store.ts';
export { type Week, weekOf } from './week.ts';
