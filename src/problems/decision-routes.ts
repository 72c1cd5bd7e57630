import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { askDecision, dropDecision, takeDecision } from './decision-acts.ts';
import { type DecisionSources, decisionLists, readDecisionPage } from './decision-reader.ts';
import { AnswerForm, DecisionForm, OptionalReasonForm } from './forms.ts';
import { readMoment, spanWords } from './moment.ts';
import { loopTabs } from './tabs.ts';

const NAV = '/problems';

interface Named {
  Params: { id: string };
}

/** Decisions: the list by the day they press, one of them, asking and taking. */
export function decisionRoutes(app: FastifyInstance, context: Context, sources: DecisionSources): void {
  const { db } = context;

  app.get('/decisions', { preHandler: shop }, async (_request, reply) => {
    const moment = readMoment(context);
    return reply.page('problems/decisions.njk', {
      page: { title: 'Decisions', nav: NAV },
      tabs: loopTabs(db, 'decisions', moment.today),
      lists: await decisionLists(sources, moment),
    });
  });

  const formPage = async (reply: FastifyReply, form: FormState) => {
    const { today } = readMoment(context);
    const gatherings = await db.read.gathering.findMany({
      where: { droppedAt: null, untilOn: { gte: today } },
      orderBy: { fromOn: 'asc' },
      select: { id: true, title: true, fromOn: true, untilOn: true },
    });
    return reply.page('problems/decision-form.njk', {
      page: { title: 'Ask a question', nav: NAV },
      form,
      gatherings: gatherings.map(({ id, title, fromOn, untilOn }) => ({
        value: id,
        label: `${title}, ${spanWords(fromOn, untilOn, today)}`,
      })),
    });
  };

  app.get<{ Querystring: { job?: unknown; gathering?: unknown } }>(
    '/decisions/new',
    { preHandler: shop },
    (request, reply) => {
      const { job, gathering } = request.query;
      return formPage(reply, freshForm({ jobId: rowId(job) || '', gatheringId: rowId(gathering) || '' }));
    },
  );

  app.post('/decisions', { preHandler: shop }, (request, reply) =>
    formAct(context, request, reply, {
      schema: DecisionForm,
      act: (act, input) => askDecision(act, input),
      to: (id) => `/decisions/${id}`,
      done: 'The question stands.',
      again: (form, again) => formPage(again, form),
    }),
  );

  const decisionPage = async (
    id: number,
    reply: FastifyReply,
    forms: { answer?: FormState; drop?: FormState } = {},
  ) => {
    const decision = await readDecisionPage(sources, id, readMoment(context));
    return reply.page('problems/decision.njk', {
      page: { title: decision.question, sheet: `Decision ${id}`, nav: NAV },
      decision,
      answerForm: forms.answer ?? freshForm(),
      dropForm: forms.drop ?? freshForm(),
      refused: forms.answer?.errors._form ?? forms.drop?.errors._form ?? null,
    });
  };

  app.get<Named>('/decisions/:id', { preHandler: shop }, (request, reply) =>
    decisionPage(rowId(request.params.id), reply),
  );

  app.post<Named>('/decisions/:id/take', { preHandler: shop }, (request, reply) => {
    const decisionId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: AnswerForm,
      act: (act, input) => takeDecision(act, { ...input, decisionId }),
      to: `/decisions/${decisionId}`,
      done: 'Decided.',
      again: (answer, again) => decisionPage(decisionId, again, { answer }),
    });
  });

  app.post<Named>('/decisions/:id/drop', { preHandler: shop }, (request, reply) => {
    const decisionId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: OptionalReasonForm,
      act: (act, { reason }) => dropDecision(act, { decisionId, reason }),
      to: `/decisions/${decisionId}`,
      done: 'The question is dropped.',
      again: (drop, again) => decisionPage(decisionId, again, { drop }),
    });
  });
}
