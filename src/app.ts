import type { FastifyBaseLogger, FastifyInstance } from 'fastify';
import { accountRoutes, buildReader, personReader, sessionStore } from './accounts/index.ts';
import { benchRoutes } from './bench/index.ts';
import { boardRoutes } from './board/index.ts';
import { bulletinRoutes } from './bulletin/index.ts';
import { drawingRoutes, modelMasses } from './drawings/index.ts';
import { exchangeRoutes } from './exchange/index.ts';
import { feedRoutes } from './feeds/index.ts';
import { fitsRoutes } from './fits/index.ts';
import { partJobsReader, partPage, todayRoutes } from './front/index.ts';
import { followJob, jobRoutes } from './jobs/index.ts';
import { logRoutes } from './log/index.ts';
import { makerRoutes } from './makers/index.ts';
import { FileFactsService, FileReader } from './models/index.ts';
import { offerRoutes, whoCanMakeSections } from './offers/index.ts';
import { OutboxService, outboxRoutes } from './outbox/index.ts';
import { packSections, papersRoutes } from './papers/index.ts';
import { partsRoutes, takeMassesFrom } from './parts/index.ts';
import type { Context } from './platform/context.ts';
import { dayIn } from './platform/day.ts';
import { addLive } from './platform/http/live.ts';
import { CALCULATE_PATH, SET_UP_PATH } from './platform/http/paths.ts';
import { buildServer, SESSION_DAYS } from './platform/http/server.ts';
import type { SignedIn } from './platform/http/types.ts';
import { Workers } from './platform/workers.ts';
import { mayOpenPhotosOf, moveGathering, problemsRoutes, waitingDecisions } from './problems/index.ts';
import { proposalRoutes } from './proposals/index.ts';
import { parcelsToInspect, receivingRoutes, receivingSections } from './receiving/index.ts';
import {
  FinishMovedService,
  finishMovedRoutes,
  loopThrough,
  OutlookService,
  readyAt80Reader,
  ScheduleService,
  scheduleRoutes,
  titleBlock,
} from './schedule/index.ts';
import { soundnessRoutes } from './soundness/index.ts';
import { specsRoutes } from './specs/index.ts';
import { thanksRoutes } from './thanks/index.ts';
import { viewingRoutes } from './viewing/index.ts';
import { yearRoutes } from './year/index.ts';

interface NavEntry {
  href: string;
  label: string;
  roles: readonly ('lead' | 'crew' | 'maker' | 'visitor')[];
}

const FIRST_SIMULATION_MS = 1500;

const SHOP = ['lead', 'crew'] as const;
const SIGNED_IN = ['lead', 'crew', 'maker'] as const;
const EVERYONE = ['lead', 'crew', 'maker', 'visitor'] as const;

const NAV: NavEntry[] = [
  { href: '/', label: 'Today', roles: SIGNED_IN },
  { href: '/board', label: 'Board', roles: SIGNED_IN },
  { href: '/structure', label: 'Structure', roles: SIGNED_IN },
  { href: '/schedule', label: 'Schedule', roles: SHOP },
  { href: '/receiving', label: 'Receiving', roles: SHOP },
  { href: '/fits', label: 'Fits', roles: SHOP },
  { href: '/problems', label: 'Problems', roles: SHOP },
  { href: '/gatherings', label: 'Gatherings', roles: ['maker'] },
  { href: '/offers', label: 'Offers', roles: EVERYONE },
  { href: '/makers', label: 'Makers', roles: ['lead'] },
  { href: '/bulletin', label: 'Bulletin', roles: EVERYONE },
  { href: '/thanks', label: 'Thanks', roles: EVERYONE },
  { href: '/year', label: 'Year', roles: EVERYONE },
  { href: '/bench', label: 'Bench', roles: EVERYONE },
  { href: '/materials', label: 'Materials', roles: SIGNED_IN },
  { href: '/log', label: 'Log', roles: SHOP },
  { href: '/people', label: 'People', roles: ['lead'] },
  { href: '/exchange', label: 'Exchange', roles: ['lead'] },
  { href: '/settings', label: 'Settings', roles: ['lead'] },
];

function navFor(person: SignedIn | null) {
  const role = person?.role ?? 'visitor';
  return NAV.filter(({ roles }) => roles.includes(role)).map(({ href, label }) => ({ href, label }));
}

/** Builds the whole program from what it is given. It opens no port and reads no environment. */
export async function buildApp(
  context: Context,
  logger: FastifyBaseLogger | boolean | { level: string },
): Promise<FastifyInstance> {
  const { db, clock, settings } = context;
  const readBuild = buildReader(db);
  takeMassesFrom(db.hot, modelMasses(db.hot));
  let schedule: ScheduleService | null = null;
  let outlooks: OutlookService | null = null;
  const app = await buildServer({
    settings,
    logger,
    sessionStore: sessionStore(db, clock, SESSION_DAYS * 86_400_000),
    personOf: personReader(db),
    surroundings(request) {
      const build = readBuild();
      return {
        build,
        nav: build ? navFor(request.person) : [],
        titleBlock: request.person && schedule && outlooks ? titleBlock(schedule, outlooks) : [],
        asOf: dayIn(build?.timeZone ?? 'UTC', clock.now()),
      };
    },
  });

  // Until the build is set up there is one page, and the calculators.
  app.addHook('preHandler', async (request, reply) => {
    const { url } = request;
    const open =
      url.startsWith(SET_UP_PATH) ||
      url.startsWith('/static/') ||
      url.startsWith(CALCULATE_PATH) ||
      url.startsWith('/bench');
    if (!open && !readBuild()) return reply.redirect(SET_UP_PATH, 303);
  });

  app.get('/health', { config: { rateLimit: false } }, async () => {
    db.hot.prepare('SELECT 1').get();
    return { ok: true };
  });
  schedule = new ScheduleService({
    db,
    clock,
    changes: context.changes,
    report: (fault) => app.log.error({ err: fault }, 'schedule'),
  });
  const workers = new Workers({ threads: 1 });
  outlooks = new OutlookService({
    schedules: schedule,
    db,
    clock,
    changes: context.changes,
    workers,
    report: (fault) => app.log.error({ err: fault }, 'outlook'),
  });
  // Soon after a start the simulation is there without being asked for; the first page asked for goes before it.
  let first: NodeJS.Timeout | undefined;
  app.addHook('onListen', async () => {
    first = setTimeout(() => outlooks?.now(), FIRST_SIMULATION_MS).unref();
  });
  const finishMoved = new FinishMovedService({
    schedules: schedule,
    db,
    // Its own thread: seconds of a large build would hold the simulation up.
    workers: new Workers({ threads: 1 }),
    report: (fault) => app.log.error({ err: fault }, 'finish moved'),
  });
  app.addHook('onClose', async () => {
    clearTimeout(first);
    await finishMoved.close();
    await outlooks?.close();
    await schedule?.close();
  });
  const reader = new FileReader();
  const fileFacts = new FileFactsService({
    context,
    reader,
    report: (fault) => app.log.error({ err: fault }, 'models'),
  });
  app.addHook('onListen', () => fileFacts.start());
  app.addHook('onClose', () => fileFacts.close());
  scheduleRoutes(app, context, schedule, outlooks, { moveGathering }, workers);
  finishMovedRoutes(app, schedule, finishMoved);
  boardRoutes(app, context, schedule);
  accountRoutes(app, context);
  makerRoutes(app, context);
  logRoutes(app, context);
  specsRoutes(app, context);
  soundnessRoutes(app, context);
  drawingRoutes(app, context, { followJob });
  const suitsPorts = {
    times: schedule,
    postDays(country: string | null) {
      const learnt = schedule?.snapshot().schedule?.network.history.post(country);
      return learnt ? { days: Math.round(learnt.law.at(0.5)), parcels: learnt.known.own.finished } : null;
    },
  };
  const whoCanMake = whoCanMakeSections(context, suitsPorts);
  const parcelSections = receivingSections(context);
  const packs = packSections(context);
  jobRoutes(app, context, {
    times: schedule,
    loopThrough(link) {
      const open = schedule?.snapshot().schedule;
      return open ? loopThrough(open.facts, link) : null;
    },
    mayOpenPhotosOf: (person, problemId) => mayOpenPhotosOf(db.read, person, problemId),
    sections: async (job, person) => [
      ...(await parcelSections(job, person)),
      ...(await packs(job, person)),
      ...(await whoCanMake(job, person)),
    ],
  });
  fitsRoutes(app, context);
  receivingRoutes(app, context);
  papersRoutes(app, context, { times: schedule });
  viewingRoutes(app, context, fileFacts);
  proposalRoutes(app, context);
  const isReady = (jobId: number) => schedule?.of(jobId)?.ready ?? false;
  const readJobs = partJobsReader(db, isReady);
  const readyAt80 = readyAt80Reader(outlooks);
  partsRoutes(app, context, readJobs, readyAt80);
  partPage(app, context, { readJobs, times: schedule, readyAt80 });
  exchangeRoutes(app, context, isReady);
  benchRoutes(app, context, reader);
  offerRoutes(app, context, suitsPorts);
  feedRoutes(app, context, suitsPorts);
  thanksRoutes(app, context);
  bulletinRoutes(app, context, {
    times: schedule,
    finishMoved,
    jobs: () => schedule?.snapshot().schedule?.facts.jobs ?? null,
  });
  yearRoutes(app, context, { times: schedule });
  problemsRoutes(app, context, { times: schedule, outlooks });
  todayRoutes(app, context, {
    schedule,
    outlooks,
    parcelsHere: async () => parcelsToInspect(db, dayIn(readBuild()?.timeZone ?? 'UTC', clock.now())),
    decisionsWaiting: async () => {
      const today = dayIn(readBuild()?.timeZone ?? 'UTC', clock.now());
      const waiting = schedule ? await waitingDecisions(db, schedule, today) : [];
      return waiting.map(({ href, question, by }) => ({
        href,
        text: question,
        note: by ? `by ${by}` : 'no day follows yet',
      }));
    },
  });
  outboxRoutes(app, context);
  const outbox = new OutboxService({
    context,
    times: schedule,
    report: (fault) => app.log.error({ err: fault }, 'outbox'),
  });
  app.addHook('onListen', async () => outbox.start());
  app.addHook('onClose', () => outbox.close());
  addLive(app, [context.changes, outlooks, finishMoved, fileFacts]);
  return app;
}
