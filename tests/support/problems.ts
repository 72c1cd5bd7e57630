import {
  askDecision,
  type NewDecision,
  type NewRedesign,
  openRedesign,
  type PlannedGathering,
  type PlannedTrial,
  planGathering,
  planTrial,
  type SeenProblem,
  seeProblem,
} from '../../src/problems/index.ts';
import type { TestApp } from './app.ts';
import type { CastName } from './cast.ts';
import { asPerson } from './jobs.ts';

/** A problem that hinders, seen by the crew, unless said otherwise. Gives its id. */
export function aProblem(
  app: TestApp,
  { who = 'crew', ...seen }: Partial<SeenProblem> & { who?: CastName } = {},
): Promise<number> {
  return asPerson(app, who, (act) =>
    seeProblem(act, app.context.files, { title: 'The planet gear binds', severity: 6, ...seen }),
  );
}

/** A redesign of a problem (a new one where none is named) that touches the parts given. Gives its id. */
export async function aRedesign(app: TestApp, wish: Partial<NewRedesign> = {}): Promise<number> {
  const problemIds = wish.problemIds ?? [await aProblem(app)];
  return asPerson(app, 'lead', (act) =>
    openRedesign(act, { title: 'Looser planets', partIds: [], ...wish, problemIds }),
  );
}

/** A trial that is planned, not made. Gives its id. */
export function aTrial(
  app: TestApp,
  plan: Partial<PlannedTrial> & { redesignId?: number } = {},
): Promise<number> {
  return asPerson(app, 'lead', (act) =>
    planTrial(act, { title: 'Torque at the crank', measured: 'torque', unit: 'Nm', ...plan }),
  );
}

/** An open question with two options. Gives its id. */
export function aDecision(app: TestApp, wish: Partial<NewDecision> = {}): Promise<number> {
  return asPerson(app, 'lead', (act) =>
    askDecision(act, { question: 'Brass or steel for the moon arm?', options: ['brass', 'steel'], ...wish }),
  );
}

/** A gathering of two days in a fortnight, with four places. Gives its id. */
export function aGathering(app: TestApp, wish: Partial<PlannedGathering> = {}): Promise<number> {
  return asPerson(app, 'lead', (act) =>
    planGathering(act, {
      title: 'Spring fit-up',
      fromOn: '2026-03-14',
      untilOn: '2026-03-15',
      place: 'The old dairy, Fjord Road 7',
      places: 4,
      ...wish,
    }),
  );
}
