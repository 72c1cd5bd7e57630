import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { ChangeTrialForm, TrialForm, TrialResultForm } from './forms.ts';
import { readMoment } from './moment.ts';
import { typedPart } from './store.ts';
import { loopTabs } from './tabs.ts';
import { changeTrial, correctTrial, finishTrial, planTrial } from './trial-acts.ts';
import { readTrialPage, trialLists } from './trial-reader.ts';

const NAV = '/problems';

interface Named {
  Params: { id: string };
}

/** Trials: the list, one of them with what its values say, planning one and writing down what came of it. */
export function trialRoutes(app: FastifyInstance, context: Context): void {
  const { db } = context;

  app.get('/trials', { preHandler: shop }, async (_request, reply) => {
    const moment = readMoment(context);
    return reply.page('problems/trials.njk', {
      page: { title: 'Trials', nav: NAV },
      tabs: loopTabs(db, 'trials', moment.today),
      lists: await trialLists(db.read, moment),
    });
  });

  const formPage = async (
    reply: FastifyReply,
    form: FormState,
    editing: { id: number; title: string } | null,
  ) => {
    const jobs = await db.read.job.findMany({
      where: {
        kind: 'trial',
        OR: [{ finishedAt: null, droppedAt: null }, { id: rowId(String(form.values.jobId)) }],
      },
      orderBy: { id: 'desc' },
      take: 200,
      select: { id: true, title: true },
    });
    const redesigns = await db.read.redesign.findMany({
      where: { closedAt: null, droppedAt: null },
      orderBy: { id: 'desc' },
      select: { id: true, title: true },
    });
    return reply.page('problems/trial-form.njk', {
      page: { title: editing ? `Change trial ${editing.id}` : 'Plan a trial', nav: NAV },
      form,
      editing,
      jobs: jobs.map(({ id, title }) => ({ value: id, label: `${id} ${title}` })),
      redesigns: redesigns.map(({ id, title }) => ({ value: id, label: `${id} ${title}` })),
    });
  };

  app.get<{ Querystring: { redesign?: unknown; part?: unknown; job?: unknown } }>(
    '/trials/new',
    { preHandler: shop },
    (request, reply) => {
      const { redesign, part, job } = request.query;
      const values = {
        redesignId: rowId(redesign) || '',
        part: typeof part === 'string' ? part.slice(0, 40) : '',
        jobId: rowId(job) || '',
      };
      return formPage(reply, freshForm(values), null);
    },
  );

  app.post('/trials', { preHandler: shop }, (request, reply) =>
    formAct(context, request, reply, {
      schema: TrialForm,
      act: async (act, { part, ...input }) =>
        planTrial(act, { ...input, partId: await typedPart(act.tx, part) }),
      to: (id) => `/trials/${id}`,
      done: 'The trial is planned.',
      again: (form, again) => formPage(again, form, null),
    }),
  );

  const trialPage = async (id: number, reply: FastifyReply, typed?: FormState) => {
    const trial = await readTrialPage(db, id, readMoment(context));
    return reply.page('problems/trial.njk', {
      page: { title: trial.title, sheet: `Trial ${id}`, nav: NAV },
      trial,
      form:
        typed ??
        freshForm({
          ...trial.values,
          passed: trial.passed === null ? '' : trial.passed ? 'yes' : 'no',
          words: trial.words,
          finishJob: true,
        }),
      refused: typed?.errors._form ?? null,
    });
  };

  app.get<Named>('/trials/:id', { preHandler: shop }, (request, reply) =>
    trialPage(rowId(request.params.id), reply),
  );

  const editPage = async (id: number, reply: FastifyReply, typed?: FormState) => {
    const trial = await readTrialPage(db, id, readMoment(context));
    if (trial.made) return trialPage(id, reply, typed && freshFormWithTrouble(trial.values, typed));
    const { title, measured, unit, how, passWhen, plannedOn, seen } = trial;
    const stored = {
      ...{ title, measured, unit, how, passWhen, plannedOn, seen },
      part: trial.part?.number ?? '',
      jobId: trial.job?.id ?? '',
      before: trial.values.before,
    };
    return formPage(reply, typed ?? freshForm(stored), trial);
  };

  app.get<Named>('/trials/:id/change', { preHandler: shop }, (request, reply) =>
    editPage(rowId(request.params.id), reply),
  );

  app.post<Named>('/trials/:id/change', { preHandler: shop }, (request, reply) => {
    const trialId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: ChangeTrialForm,
      act: async (act, { part, ...input }) =>
        changeTrial(act, { ...input, trialId, partId: await typedPart(act.tx, part) }),
      to: `/trials/${trialId}`,
      done: 'Changed.',
      again: (form, again) => editPage(trialId, again, form),
    });
  });

  app.post<Named>('/trials/:id/result', { preHandler: shop }, (request, reply) => {
    const trialId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: TrialResultForm,
      act: (act, result) => finishTrial(act, { ...result, trialId }),
      to: `/trials/${trialId}`,
      done: (_, { passed }) => (passed ? 'Written down: passed.' : 'Written down: not passed.'),
      again: (form, again) => trialPage(trialId, again, form),
    });
  });

  app.post<Named>('/trials/:id/correct', { preHandler: shop }, (request, reply) => {
    const trialId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: TrialResultForm,
      act: (act, { finishJob: _, ...result }) => correctTrial(act, { ...result, trialId }),
      to: `/trials/${trialId}`,
      done: 'Corrected.',
      again: (form, again) => trialPage(trialId, again, form),
    });
  });
}

/** The result as it is, with what was refused of another form. */
function freshFormWithTrouble(values: Record<string, unknown>, { errors }: FormState): FormState {
  return { values, errors: { _form: errors._form ?? 'This trial is made: its plan stays as it was.' } };
}
