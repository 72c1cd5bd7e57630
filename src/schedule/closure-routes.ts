import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import type { Context } from '../platform/context.ts';
import { addDays, type Day, weekday } from '../platform/day.ts';
import { day, line, words } from '../platform/http/fields.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly, shop } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import type { DayRange } from './build-facts.ts';
import { weekdaysOf } from './calendar.ts';
import { addClosure, addClosures, rangeWords, removeClosure } from './closure-acts.ts';
import { closuresOfLines, daysOfClosure, LONGEST_CLOSURE_NAME } from './closure-lines.ts';
import { count } from './durations.ts';
import { scheduleTabs } from './tabs.ts';
import { todayReader } from './today.ts';

const ClosureForm = z
  .object({ name: line(LONGEST_CLOSURE_NAME, 'Say what for.'), fromOn: day, untilOn: day })
  .superRefine((closure, check) => {
    const wrong = daysOfClosure(closure);
    if (wrong) check.addIssue({ code: 'custom', path: ['untilOn'], message: wrong });
  });

const ClosureLinesForm = z.object({
  lines: words(20_000, 'Type one closure to a line.').transform((text, check) => {
    const { closures, wrong } = closuresOfLines(text);
    if (wrong) check.addIssue(wrong);
    return closures;
  }),
});

interface PageForms {
  one?: FormState;
  many?: FormState;
  refused?: string;
}

/** Closures: days on which the build does not work, typed by the lead, seen by the shop. */
export function closureRoutes(app: FastifyInstance, context: Context): void {
  const { db } = context;
  const todayOf = todayReader(context);

  const page = async (request: FastifyRequest, reply: FastifyReply, forms: PageForms = {}) => {
    const rows = await db.read.closure.findMany({
      where: { removedAt: null },
      orderBy: [{ fromOn: 'asc' }, { id: 'asc' }],
    });
    const build = await db.read.build.findUniqueOrThrow({ where: { id: 1 }, select: { weekdays: true } });
    const weekdays = weekdaysOf(build.weekdays);
    const today = todayOf();
    const lines = rows.map((row) => ({
      id: row.id,
      name: row.name,
      days: rangeWords(row),
      takes: count(workingDaysIn(row, weekdays), 'working day'),
      isPast: row.untilOn < today,
      isNow: row.fromOn <= today && today <= row.untilOn,
    }));
    return reply.page('schedule/closures.njk', {
      page: { title: 'Closures', sheet: 'Schedule, closures', nav: '/schedule' },
      tabs: scheduleTabs('/schedule/closures'),
      isLead: request.person?.role === 'lead',
      ahead: lines.filter(({ isPast }) => !isPast),
      past: lines.filter(({ isPast }) => isPast).reverse(),
      one: forms.one ?? freshForm(),
      many: forms.many ?? freshForm(),
      refused: forms.refused ?? '',
    });
  };

  app.get('/schedule/closures', { preHandler: shop }, (request, reply) => page(request, reply));

  app.post('/schedule/closures', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: ClosureForm,
      act: addClosure,
      to: '/schedule/closures',
      done: (_result, { name }) => `Written down: ${name}. The schedule counts these days out.`,
      again: (one, again) => page(request, again, { one }),
    }),
  );

  app.post('/schedule/closures/list', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: ClosureLinesForm,
      act: (act, { lines }) => addClosures(act, lines),
      to: '/schedule/closures',
      done: ({ added, doubles }) =>
        `${count(added, 'closure')} written down.${doubles.length ? ` Passed over, on the list already: ${doubles.join(', ')}.` : ''}`,
      again: (many, again) => page(request, again, { many }),
    }),
  );

  app.post<{ Params: { id: string } }>(
    '/schedule/closures/:id/remove',
    { preHandler: leadOnly },
    (request, reply) =>
      formAct(context, request, reply, {
        schema: z.object({}),
        act: (act) => removeClosure(act, rowId(request.params.id)),
        to: '/schedule/closures',
        done: 'Off the list: the build works on these days.',
        again: ({ errors }, again) => page(request, again, { refused: errors._form ?? '' }),
      }),
  );
}

function workingDaysIn({ fromOn, untilOn }: DayRange, weekdays: readonly number[]): number {
  let days = 0;
  for (let at: Day = fromOn; at <= untilOn; at = addDays(at, 1))
    if (weekdays.includes(weekday(at))) days += 1;
  return days;
}
