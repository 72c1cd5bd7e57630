import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import type { Context } from '../platform/context.ts';
import { daysBetween, dayWords } from '../platform/day.ts';
import { line, words } from '../platform/http/fields.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly, shop } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { keepBaseline, removeBaseline, renameBaseline } from './baseline-acts.ts';
import { planOf } from './baseline-plan.ts';
import { baselineReader } from './baseline-reader.ts';
import { type Slip, slipsAgainst } from './baseline-slips.ts';
import { estimateRows, laterWords, planRow, slipRow } from './baseline-view.ts';
import { finishChart, weeklyEstimates } from './finish-chart.ts';
import type { ScheduleService } from './service.ts';
import { scheduleTabs } from './tabs.ts';
import { todayReader } from './today.ts';

const ROWS = 60;
const name = line(80, 'Give it a name: what was agreed, or when.');

const KeepForm = z.object({ name, note: words(500) });
const RenameForm = z.object({ name });

const LISTS = ['assemblies', 'parts', 'jobs', 'new'] as const;
const Asked = z.object({
  of: z.enum(LISTS).catch('assemblies'),
  page: z.coerce.number().int().min(1).max(10_000).catch(1),
});

interface OfPlan {
  Params: { id: string };
}

/** Kept plans: the list, one of them against the schedule of now, and the finish over the weeks. */
export function baselineRoutes(app: FastifyInstance, context: Context, service: ScheduleService): void {
  const reader = baselineReader(context.db);
  const todayOf = todayReader(context);

  const listPage = (request: FastifyRequest, reply: FastifyReply, form?: FormState) => {
    const { schedule, trouble } = service.snapshot();
    const today = todayOf();
    const finishOn = schedule?.finishOn ?? null;
    const estimates = reader.estimates();
    return reply.page('schedule/baselines.njk', {
      page: { title: 'Kept plans', sheet: 'Schedule, kept plans', nav: '/schedule' },
      tabs: scheduleTabs('/schedule/baselines'),
      isLead: request.person?.role === 'lead',
      trouble,
      finish: finishOn && dayWords(finishOn),
      plans: reader.all().map((plan) => planRow(plan, finishOn, today)),
      chart: finishChart(weeklyEstimates(estimates), null),
      weeks: estimateRows(estimates, today),
      form: form ?? freshForm(),
    });
  };

  app.get('/schedule/baselines', { preHandler: shop }, (request, reply) => listPage(request, reply));

  app.post('/schedule/baselines', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: KeepForm,
      // Asked for inside the act: nothing else is committed meanwhile, so what is kept is the plan of this moment.
      act: (act, input) => {
        const { schedule } = service.snapshot();
        return keepBaseline(act, input, schedule && planOf(schedule));
      },
      to: (id) => `/schedule/baselines/${id}`,
      done: (_id, input) => `Kept: ${input.name}.`,
      again: (form, again) => listPage(request, again, form),
    }),
  );

  const onePage = (
    request: FastifyRequest<OfPlan>,
    reply: FastifyReply,
    forms: { rename?: FormState; refused?: string } = {},
  ) => {
    const id = rowId(request.params.id);
    const plan = found(reader.one(id), 'There is no such kept plan, or it is off the list.');
    const { schedule, trouble } = service.snapshot();
    const today = todayOf();
    const finishOn = schedule?.finishOn ?? null;
    const estimates = reader.estimates();
    const now = estimates.at(-1);
    const since = estimates.filter(({ day }) => day >= plan.day);
    return reply.page('schedule/baseline.njk', {
      page: { title: plan.name, sheet: 'Schedule, a kept plan', nav: '/schedule' },
      tabs: scheduleTabs('/schedule/baselines'),
      isLead: request.person?.role === 'lead',
      trouble,
      plan: planRow(plan, finishOn, today),
      finish: finishOn && dayWords(finishOn),
      later: laterWords(finishOn === null ? null : daysBetween(plan.finishOn, finishOn)),
      at80: {
        planned: plan.at80On && dayWords(plan.at80On),
        now: finishOn && now?.finishOn === finishOn && now.at80On ? dayWords(now.at80On) : null,
      },
      ...(schedule ? slips(schedule, id, request) : {}),
      chart: finishChart(weeklyEstimates(since.length > 1 ? since : estimates), plan),
      weeks: estimateRows(since.length > 1 ? since : estimates, today),
      rename: forms.rename ?? freshForm({ name: plan.name }),
      refused: forms.refused ?? '',
    });
  };

  const slips = (
    schedule: NonNullable<ReturnType<ScheduleService['snapshot']>['schedule']>,
    id: number,
    request: FastifyRequest<OfPlan>,
  ) => {
    const found = slipsAgainst(reader.lines(id), schedule, reader.ends(id));
    const lists: Record<(typeof LISTS)[number], Slip[]> = {
      assemblies: found.assemblies,
      parts: found.parts,
      jobs: found.jobs,
      new: [...found.newParts, ...found.newJobs],
    };
    const asked = Asked.parse(request.query);
    const all = lists[asked.of];
    const pages = Math.max(1, Math.ceil(all.length / ROWS));
    const page = Math.min(asked.page, pages);
    const address = (of: string, to = 1) => {
      const query = new URLSearchParams();
      if (of !== 'assemblies') query.set('of', of);
      if (to > 1) query.set('page', String(to));
      const text = query.toString();
      return `/schedule/baselines/${id}${text ? `?${text}` : ''}#slips`;
    };
    const open = [...found.assemblies, ...found.parts].filter(({ state }) => state === 'open');
    const gone = [...found.assemblies, ...found.parts, ...found.jobs].filter(({ state }) => state === 'gone');
    return {
      of: asked.of,
      rows: all.slice((page - 1) * ROWS, page * ROWS).map((slip) => slipRow(slip, schedule.facts.today)),
      lists: LISTS.map((of) => ({
        href: address(of),
        label: { assemblies: 'Assemblies', parts: 'Parts', jobs: 'Jobs', new: 'New since' }[of],
        current: of === asked.of,
        count: lists[of].length,
      })),
      counts: {
        later: open.filter(({ days }) => (days ?? 0) > 0).length,
        open: open.length,
        done: [...found.assemblies, ...found.parts].filter(({ state }) => state === 'done').length,
        fresh: found.newParts.length,
        gone: gone.length,
      },
      pager: {
        page,
        pages,
        prev: page > 1 ? address(asked.of, page - 1) : '',
        next: page < pages ? address(asked.of, page + 1) : '',
        text: `${all.length} lines`,
      },
    };
  };

  app.get<OfPlan>('/schedule/baselines/:id', { preHandler: shop }, (request, reply) =>
    onePage(request, reply),
  );

  app.post<OfPlan>('/schedule/baselines/:id/name', { preHandler: leadOnly }, (request, reply) => {
    const id = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: RenameForm,
      act: (act, input) => renameBaseline(act, id, input.name),
      to: `/schedule/baselines/${id}`,
      done: 'It has its new name.',
      again: (rename, again) => onePage(request, again, { rename }),
    });
  });

  app.post<OfPlan>('/schedule/baselines/:id/remove', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: z.object({}),
      act: (act) => removeBaseline(act, rowId(request.params.id)),
      to: '/schedule/baselines',
      done: 'Off the list.',
      again: (form, again) => listPage(request, again, form),
    }),
  );
}
