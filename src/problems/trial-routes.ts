import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm, readForm, typedValues } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { readMoment } from './moment.ts';
import { typedPart } from './store.ts';
import { loopTabs } from './tabs.ts';
import { changeTrial, correctTrial, finishTrial, planTrial } from './trial-acts.ts';
import { changePlanForm, planForm, resultForm, valuesForm } from './trial-forms.ts';
import { KINDS, kindOf, TRIAL_KINDS, type TrialKind } from './trial-kinds.ts';
import { type LookedAt, readTrialPage, trialLists, trialValuesTable } from './trial-reader.ts';
import { MOST_TYPED } from './trial-values.ts';
import { wantedUnit } from './trial-words.ts';

const NAV = '/problems';

interface Named {
  Params: { id: string };
}

/** Four lists of values, as the forms allow them, and as a browser encodes them. */
const WITH_VALUES = { preHandler: shop, bodyLimit: 4 * 3 * MOST_TYPED };

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

  /** The kinds to choose from, each with what the address holds besides. */
  const kindLinks = (path: string, more: Record<string, unknown>, current?: TrialKind) =>
    TRIAL_KINDS.filter((kind) => kind !== current).map((kind) => {
      const query = new URLSearchParams({ kind });
      for (const [name, value] of Object.entries(more)) if (value) query.set(name, String(value));
      return { href: `${path}?${query}`, label: KINDS[kind].label, line: KINDS[kind].line };
    });

  const formPage = async (
    reply: FastifyReply,
    form: FormState,
    editing: { id: number; title: string; seen: number } | null,
  ) => {
    const kind = kindOf(form.values.kind);
    const path = editing ? `/trials/${editing.id}/change` : '/trials/new';
    const { redesignId, part, jobId } = form.values;
    const kept = editing ? {} : { redesign: redesignId, part, job: jobId };
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
      kind: { name: kind, ...KINDS[kind] },
      wantedUnit:
        kind === 'failures' && !form.values.runsUnit
          ? 'in 100'
          : wantedUnit({
              kind,
              unit: String(form.values.unit ?? ''),
              runsUnit: String(form.values.runsUnit ?? ''),
            }),
      kinds: kindLinks(path, kept, kind),
      jobs: jobs.map(({ id, title }) => ({ value: id, label: `${id} ${title}` })),
      redesigns: redesigns.map(({ id, title }) => ({ value: id, label: `${id} ${title}` })),
    });
  };

  app.get<{ Querystring: { kind?: unknown; redesign?: unknown; part?: unknown; job?: unknown } }>(
    '/trials/new',
    { preHandler: shop },
    (request, reply) => {
      const { redesign, part, job } = request.query;
      const values = {
        redesignId: rowId(redesign) || '',
        part: typeof part === 'string' ? part.slice(0, 40) : '',
        jobId: rowId(job) || '',
      };
      const kind = TRIAL_KINDS.find((one) => one === request.query.kind);
      if (!kind) {
        return reply.page('problems/trial-kinds.njk', {
          page: { title: 'Plan a trial', nav: NAV },
          kinds: kindLinks('/trials/new', {
            redesign: values.redesignId,
            part: values.part,
            job: values.jobId,
          }),
        });
      }
      return formPage(reply, freshForm({ ...values, kind, unit: KINDS[kind].unit }), null);
    },
  );

  app.post('/trials', WITH_VALUES, (request, reply) =>
    formAct(context, request, reply, {
      schema: planForm(request.body),
      act: async (act, { part, ...input }) =>
        planTrial(act, { ...input, partId: await typedPart(act.tx, part) }),
      to: (id) => `/trials/${id}`,
      done: 'The trial is planned.',
      again: (form, again) => formPage(again, form, null),
    }),
  );

  const trialPage = async (id: number, reply: FastifyReply, typed?: FormState, looked?: LookedAt) => {
    const trial = await readTrialPage(db, id, readMoment(context), looked);
    return reply.page('problems/trial.njk', {
      page: { title: trial.title, sheet: `Trial ${id}`, nav: NAV },
      trial,
      form: typed ?? freshForm({ ...trial.result, finishJob: true }),
      looked: looked !== undefined,
      refused: typed?.errors._form ?? null,
    });
  };

  app.get<Named>('/trials/:id', { preHandler: shop }, (request, reply) =>
    trialPage(rowId(request.params.id), reply),
  );

  app.get<Named>('/trials/:id/values.csv', { preHandler: shop }, async (request, reply) => {
    const id = rowId(request.params.id);
    const table = await trialValuesTable(db.read, id);
    reply.header('content-disposition', `attachment; filename="trial-${id}.csv"`);
    return reply.type('text/csv; charset=utf-8').send(table);
  });

  /** What is typed in a result is read by the kind and the unit that the trial has. */
  const resultOf = async (id: number) => {
    const { kind, unit } = found(
      await db.read.trial.findUnique({ where: { id } }),
      `There is no trial ${id}.`,
    );
    return { kind: kindOf(kind), unit };
  };

  const editPage = async (id: number, reply: FastifyReply, typed?: FormState, kind?: TrialKind) => {
    const trial = await readTrialPage(db, id, readMoment(context));
    if (trial.made) return trialPage(id, reply, typed && freshFormWithTrouble(trial.result, typed));
    const { title, measured, unit, how, passWhen, plannedOn, seen, runsUnit } = trial;
    const stored = {
      ...{ title, measured, unit, how, passWhen, plannedOn, seen, runsUnit },
      kind: kind ?? trial.kind,
      ...(kind && kind !== trial.kind ? { unit: KINDS[kind].unit } : {}),
      wantedMin: trial.wantedMin ?? '',
      wantedMax: trial.wantedMax ?? '',
      worthwhile: trial.worthwhile ?? '',
      part: trial.part?.number ?? '',
      jobId: trial.job?.id ?? '',
      before: trial.values.before,
      noiseBefore: trial.values.noiseBefore,
      runsBefore: trial.values.runsBefore,
    };
    return formPage(reply, typed ?? freshForm(stored), trial);
  };

  app.get<Named & { Querystring: { kind?: unknown } }>(
    '/trials/:id/change',
    { preHandler: shop },
    (request, reply) => {
      const kind = TRIAL_KINDS.find((one) => one === request.query.kind);
      return editPage(rowId(request.params.id), reply, undefined, kind);
    },
  );

  app.post<Named>('/trials/:id/change', WITH_VALUES, (request, reply) => {
    const trialId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: changePlanForm(request.body),
      act: async (act, { part, ...input }) => {
        const trial = await act.tx.trial.findUnique({ where: { id: trialId }, select: { partId: true } });
        const partId = await typedPart(act.tx, part, { standing: trial?.partId });
        await changeTrial(act, { ...input, trialId, partId });
      },
      to: `/trials/${trialId}`,
      done: 'Changed.',
      again: (form, again) => editPage(trialId, again, form),
    });
  });

  // looked at and asked for again by its address: what was typed is gone, the trial is there
  app.get<Named>('/trials/:id/look', { preHandler: shop }, (request, reply) =>
    reply.redirect(`/trials/${rowId(request.params.id)}`),
  );

  app.post<Named>('/trials/:id/look', WITH_VALUES, async (request, reply) => {
    const trialId = rowId(request.params.id);
    const read = readForm(valuesForm(await resultOf(trialId)), request.body);
    if (!read.fits) return trialPage(trialId, reply.code(422), read.form);
    return trialPage(trialId, reply, freshForm(typedValues(request.body)), read.input);
  });

  app.post<Named>('/trials/:id/result', WITH_VALUES, async (request, reply) => {
    const trialId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: resultForm(await resultOf(trialId)),
      act: (act, result) => finishTrial(act, { ...result, trialId }),
      to: `/trials/${trialId}`,
      done: (_, { passed }) => (passed ? 'Written down: passed.' : 'Written down: not passed.'),
      again: (form, again) => trialPage(trialId, again, form),
    });
  });

  app.post<Named>('/trials/:id/correct', WITH_VALUES, async (request, reply) => {
    const trialId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: resultForm(await resultOf(trialId)),
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
