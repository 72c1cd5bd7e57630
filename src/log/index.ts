export { countLog, type HistoryLine, historyLines, type LogFilter, readLog } from './history.ts';
export { logRoutes } from './routes.ts';
export { type LogRow, noted } from './rows.ts';
export { actHref, actSentence } from './sentence.ts';
