import type { Database } from '../platform/database.ts';
import { dayIn } from '../platform/day.ts';
import { baselineReader } from './baseline-reader.ts';
import type { Around } from './soundness-finding.ts';

const COMERS = `
  SELECT c.gatheringId, c.personId FROM Comer c JOIN Person p ON p.id = c.personId
   WHERE c.cancelledAt IS NULL AND p.deactivatedAt IS NULL AND p.forgottenAt IS NULL`;

/** Reads what the checks of a plan ask beside the schedule. */
export function aroundReader(db: Pick<Database, 'hot'>): () => Around {
  const { hot } = db;
  const plans = baselineReader(db);
  const comers = hot.prepare<[], Around['comers'][number]>(COMERS);
  const lastAct = hot.prepare<[], string>('SELECT at FROM Act ORDER BY id DESC LIMIT 1').pluck();
  const build = hot.prepare<[], { timeZone: string; silentAfterDays: number }>(
    'SELECT timeZone, silentAfterDays FROM Build WHERE id = 1',
  );
  return () => {
    const { timeZone, silentAfterDays } = build.get() ?? { timeZone: 'UTC', silentAfterDays: 14 };
    const at = lastAct.get();
    return {
      estimates: plans.estimates(),
      baselines: plans.all(),
      lastActOn: at ? dayIn(timeZone, new Date(at)) : null,
      comers: comers.all(),
      silentAfterDays,
    };
  };
}
