import type { FastifyInstance } from 'fastify';
import { type Day, dayWords } from '../platform/day.ts';
import { shop } from '../platform/http/guards.ts';
import type { MovedBy, MovedWords, WhyMoved } from './finish-moved.ts';
import type { FinishMovedService } from './finish-moved-service.ts';
import { movedBy } from './finish-moved-words.ts';
import type { ScheduleService } from './service.ts';
import { scheduleTabs } from './tabs.ts';

/** GET /schedule/moved: what moved the finish in the last seven days. */
export function finishMovedRoutes(
  app: FastifyInstance,
  schedules: ScheduleService,
  moved: FinishMovedService,
): void {
  app.get('/schedule/moved', { preHandler: shop }, async (_request, reply) => {
    const { schedule, trouble } = schedules.snapshot();
    const head = {
      page: { title: 'Why the finish moved', sheet: 'Schedule, why it moved', nav: '/schedule' },
      tabs: scheduleTabs('/schedule/moved'),
      trouble,
    };
    const week = moved.lastSevenDays();
    if (!schedule || !week) return reply.page('schedule/moved.njk', { ...head, state: 'trouble' });
    if (schedule.finishOn === null) {
      const { parts, jobs } = schedule.facts;
      const isEmpty = parts.size === 0 && jobs.length === 0;
      return reply.page('schedule/moved.njk', { ...head, state: isEmpty ? 'empty' : 'done' });
    }
    const told = moved.of(week);
    const { people, today } = schedule.facts;
    const days = { from: dayWords(week.from, today), until: dayWords(week.until, today) };
    if (told.state === 'computing') {
      return reply.page('schedule/moved.njk', { ...head, state: 'computing', days });
    }
    const nameOf = (id: number) => people.get(id)?.name ?? 'somebody';
    return reply.page('schedule/moved.njk', {
      ...head,
      state: told.why ? 'open' : 'unknown',
      days,
      ...(told.why ? shown(told.why, nameOf, today) : {}),
    });
  });
}

function shown(why: WhyMoved, nameOf: (id: number) => string, today: Day) {
  const row = ({ key, days, words }: MovedBy) => ({ key, text: inWords(words, nameOf), days });
  return {
    finish: {
      now: why.finishOn === null ? '' : dayWords(why.finishOn, today),
      before: why.before
        ? { finish: dayWords(why.before.finishOn, today), day: dayWords(why.before.day, today) }
        : null,
      moved: why.movedDays === null ? '' : why.movedDays === 0 ? 'the same' : movedBy(why.movedDays),
    },
    facts: why.facts.map(row),
    waits: why.waits.map(row),
    remarks: why.remarks,
  };
}

/** Words with the people in them named. */
function inWords(words: MovedWords, nameOf: (id: number) => string): string {
  return words.map((word) => (typeof word === 'string' ? word : nameOf(word.person))).join('');
}
