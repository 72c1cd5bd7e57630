import type { FastifyInstance } from 'fastify';
import { type Day, dayWords } from '../platform/day.ts';
import { shop } from '../platform/http/guards.ts';
import type { Workers } from '../platform/workers.ts';
import { dateScale } from './drawing.ts';
import { count } from './durations.ts';
import type { Levelled } from './levelled.ts';
import { LevelledService } from './levelled-service.ts';
import { gatheringRows, personRows, spotRows, unknownHours, waitingRows } from './levelled-view.ts';
import type { ScheduleService } from './service.ts';
import { scheduleTabs } from './tabs.ts';

/** A page waits so long for a plan that is being searched; then it shows the one before, or says so. */
const PATIENCE_MS = 2500;

/** GET /schedule/levelled: the plan within people's hours, the spots at the machine and the places at gatherings. */
export function levelledRoutes(app: FastifyInstance, schedules: ScheduleService, workers: Workers): void {
  const plans = new LevelledService(schedules, workers, (fault) => app.log.error({ err: fault }, 'levelled'));

  app.get('/schedule/levelled', { preHandler: shop }, async (_request, reply) => {
    const { schedule, trouble } = schedules.snapshot();
    const isOpen = schedule !== null && schedule.finishOn !== null;
    const { levelled, isCurrent, hasFailed } = isOpen
      ? await plans.within(PATIENCE_MS)
      : { levelled: null, isCurrent: true, hasFailed: false };
    const isEmpty = !schedule || schedule.facts.parts.size + schedule.facts.jobs.length === 0;
    const head = {
      page: { title: 'Levelled plan', sheet: 'Schedule', nav: '/schedule' },
      tabs: scheduleTabs('/schedule/levelled'),
      trouble:
        trouble ??
        (hasFailed ? 'The plan could not be levelled. What went wrong has been written down.' : null),
      isCurrent,
    };
    if (head.trouble) return reply.page('schedule/levelled.njk', { ...head, state: 'trouble' });
    if (!isOpen) return reply.page('schedule/levelled.njk', { ...head, state: isEmpty ? 'empty' : 'done' });
    if (!levelled || levelled.finishOn === null) {
      return reply.page('schedule/levelled.njk', { ...head, state: 'soon' });
    }
    return reply.page('schedule/levelled.njk', {
      ...head,
      state: 'open',
      ...told(levelled, levelled.finishOn),
    });
  });
}

function told(levelled: Levelled, finishOn: Day) {
  const { question, lost, outcome } = levelled;
  const { facts, finishOn: freeFinish } = question.schedule;
  const { today } = facts;
  const scale = dateScale(today, finishOn);
  const days = (n: number) => (n === 0 ? 'nothing' : count(n, 'day'));
  return {
    finish: {
      free: dayWords(freeFinish ?? finishOn, today),
      levelled: dayWords(finishOn, today),
      isLater: lost.all > 0,
      lost: days(lost.all),
      hours: days(lost.hours),
      spots: days(lost.spots),
      gatherings: days(lost.gatherings),
    },
    unknown: unknownHours(levelled),
    waiting: waitingRows(levelled),
    ticks: scale.ticks,
    people: personRows(levelled, scale),
    gatherings: gatheringRows(levelled),
    ...spotRows(levelled),
    tried: outcome.schedulesTried,
  };
}
