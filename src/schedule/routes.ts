import type { FastifyInstance, FastifyRequest } from 'fastify';
import { z } from 'zod';
import type { Context } from '../platform/context.ts';
import { type Day, dayWords } from '../platform/day.ts';
import { shop } from '../platform/http/guards.ts';
import { found } from '../platform/refusal.ts';
import type { Workers } from '../platform/workers.ts';
import { baselineRoutes } from './baseline-routes.ts';
import { closureRoutes } from './closure-routes.ts';
import { DEFAULTS_IN_WORDS } from './defaults.ts';
import { doneRoutes } from './done-routes.ts';
import { barOf, dateScale, lastDayDrawn } from './drawing.ts';
import { durationsRoutes } from './durations-routes.ts';
import { levelledRoutes } from './levelled-routes.ts';
import { networkRoutes } from './network-routes.ts';
import { lastOfAll, lengthRestsOn, simulatedEnds, stepDrag, stepRisk } from './node-view.ts';
import type { Outlook } from './outlook.ts';
import { outlookRoutes } from './outlook-routes.ts';
import type { OutlookService, Told } from './outlook-service.ts';
import { chainTo, type Schedule } from './schedule.ts';
import type { FinishOfDay, ScheduleService } from './service.ts';
import { soundnessRoutes } from './soundness-routes.ts';
import { scheduleTabs } from './tabs.ts';
import {
  daysMoved,
  drivingRows,
  finishMoved,
  isAskedFor,
  neighbours,
  promiseOf,
  SHOWN,
  stepRow,
  stepsInOrder,
  whyRows,
} from './view.ts';
import type { WhatIfPorts } from './what-if-apply.ts';
import { whatIfRoutes } from './what-if-routes.ts';

const ROWS = 60;

// A filter that can't be read is none: the page itself is always there.
const Asked = z.object({
  show: z.enum(SHOWN).catch('all'),
  words: z.string().trim().max(80).catch(''),
  page: z.coerce.number().int().min(1).max(10_000).catch(1),
});

/** GET /schedule: the finish, what drives it, and every remaining step on dates; /schedule/network; /schedule/nodes/:key: why then. */
export function scheduleRoutes(
  app: FastifyInstance,
  context: Context,
  service: ScheduleService,
  outlooks: OutlookService,
  ports: WhatIfPorts,
  workers: Workers,
): void {
  closureRoutes(app, context);
  durationsRoutes(app, service);
  networkRoutes(app, service);
  baselineRoutes(app, context, service);
  soundnessRoutes(app, context, service);
  doneRoutes(app, context);
  outlookRoutes(app, service, outlooks);
  whatIfRoutes(app, context, service, outlooks, ports);
  levelledRoutes(app, service, workers);

  /** What the simulation says already; these pages do not wait for it, they are told when it is there. */
  const known = () => {
    const told = outlooks.known();
    if (!told.isCurrent) outlooks.soon();
    return told;
  };

  app.get('/schedule', { preHandler: shop }, async (request, reply) => {
    const { schedule, trouble } = service.snapshot();
    const head = {
      page: { title: 'Schedule', nav: '/schedule' },
      tabs: scheduleTabs('/schedule'),
      trouble,
      defaults: DEFAULTS_IN_WORDS,
    };
    if (!schedule) return reply.page('schedule/schedule.njk', { ...head, state: 'trouble' });
    const { facts, network, finishOn, leftOut } = schedule;
    const told = known();
    if (finishOn === null) {
      const empty = facts.parts.size === 0 && facts.jobs.length === 0;
      return reply.page('schedule/schedule.njk', { ...head, state: empty ? 'empty' : 'done' });
    }
    return reply.page('schedule/schedule.njk', {
      ...head,
      state: 'open',
      leftOut,
      ...simulatedFinish(told, service.weekAgo(), facts.today),
      finish: {
        day: dayWords(finishOn),
        moved: finishMoved(finishOn, service.weekAgo(), facts.today),
        criticalSteps: network.nodes.filter(
          (step, at) => isAskedFor(schedule, at, 'drives', '') && step.kind !== 'mark',
        ).length,
        criticalJobs: schedule.criticalJobs,
        openJobs: network.openJobs.length,
        lateSteps: network.nodes.filter(({ duration }) => duration.late).length,
      },
      driving: drivingRows(schedule),
      ...listed(schedule, Asked.parse(request.query), told.outlook),
    });
  });

  app.get(
    '/schedule/nodes/:key',
    { preHandler: shop },
    async (request: FastifyRequest<{ Params: { key: string } }>, reply) => {
      const { schedule } = service.snapshot();
      const at = schedule?.network.nodes.findIndex(({ key }) => key === request.params.key) ?? -1;
      const open = found(
        at === -1 ? null : schedule,
        'No such step remains: it is done, or was never there.',
      );
      const step = stepRow(open, at);
      const told = known();
      const why = whyRows(open, at);
      return reply.page('schedule/node.njk', {
        page: { title: step.label, sheet: 'Schedule, one step', nav: '/schedule' },
        step,
        why,
        whyFrom: open.network.nodes[chainTo(open, at)[0]!]!.notBefore > 0 ? 'a fixed day' : 'today',
        drag: stepDrag(open, at),
        risk: told.outlook && stepRisk(told.outlook, step.key, open.facts.today),
        isCurrent: told.isCurrent,
        restsOn: lengthRestsOn(open.network.nodes[at]!),
        ...neighbours(open, at),
        finish: open.finishOn && dayWords(open.finishOn, open.facts.today),
      });
    },
  );
}

/** The finish by the simulation, and how its date at 80 of 100 moved in a week. */
function simulatedFinish({ outlook, isCurrent }: Told, ago: FinishOfDay | null, today: Day) {
  const finish = outlook?.finish;
  if (!finish) return { spread: null, isCurrent };
  const moved = ago?.at80On
    ? `${daysMoved(ago.at80On, finish.at80)}${ago.at80On === finish.at80 ? ' as' : ' than'} on ${dayWords(ago.day, today)}`
    : '';
  return {
    spread: {
      at50: dayWords(finish.at50, today),
      at80: dayWords(finish.at80, today),
      at95: dayWords(finish.at95, today),
      moved,
      runs: outlook.outcome.runs,
    },
    isCurrent,
  };
}

/** One page of the steps asked for, with their bars on a scale that is the same on every page. */
function listed(schedule: Schedule, asked: z.output<typeof Asked>, outlook: Outlook | null) {
  const { today } = schedule.facts;
  const { show, words } = asked;
  const all = stepsInOrder(schedule);
  const fitting = all.filter((at) => isAskedFor(schedule, at, show, words));
  const pages = Math.max(1, Math.ceil(fitting.length / ROWS));
  const page = Math.min(asked.page, pages);
  const promises = schedule.network.nodes.map((step) => promiseOf(schedule.facts, step));
  // Ranges of another schedule would lie beside these bars.
  const simulated = outlook?.schedule === schedule ? outlook : null;
  const latest = simulated ? [lastOfAll(simulated)] : [];
  const scale = dateScale(today, lastDayDrawn(today, schedule.finishOn ?? today, [...promises, ...latest]));
  const rows = fitting.slice((page - 1) * ROWS, page * ROWS).map((at) => {
    const row = stepRow(schedule, at);
    return {
      ...row,
      bar: barOf(scale, { ...row, simulated: simulated ? simulatedEnds(simulated, at) : null }),
    };
  });
  const address = (to: number) => {
    const query = new URLSearchParams();
    if (show !== 'all') query.set('show', show);
    if (words) query.set('words', words);
    if (to > 1) query.set('page', String(to));
    const text = query.toString();
    return `/schedule${text ? `?${text}` : ''}#steps`;
  };
  return {
    form: { values: { show, words }, errors: {} },
    rows,
    ticks: scale.ticks,
    shown: {
      fitting: fitting.length,
      all: all.length,
      promises: rows.some(({ bar }) => bar.promise !== null),
      simulated: rows.some(({ bar }) => bar.simulated !== null),
    },
    pager: {
      page,
      pages,
      prev: page > 1 ? address(page - 1) : '',
      next: page < pages ? address(page + 1) : '',
      text: `${fitting.length} steps`,
    },
  };
}
