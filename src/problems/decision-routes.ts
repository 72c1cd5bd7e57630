import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Act } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { askDecision, changeDecision, dropDecision, takeDecision } from './decision-acts.ts';
import { type DecisionSources, decisionLists, readDecisionPage } from './decision-reader.ts';
import { AnswerForm, ChangeDecisionForm, DecisionForm, OptionalReasonForm } from './forms.ts';
import { readMoment, spanWords } from './moment.ts';
import { peopleChoices } from './problem-people.ts';
import { typedPart } from './store.ts';
import { loopTabs } from './tabs.ts';

const NAV = '/problems';

interface Named {
  Params: { id: string };
}

/** A question whose form is open to be changed. */
interface EditedDecision {
  id: number;
  seen: number;
  gathering: { id: number } | null;
  deciderId: number | null;
  deciderLeft: string;
}

/** Who decides stays a choice where they have left: the question is not handed on unseen. */
function withStanding(people: { value: number; label: string }[], editing: EditedDecision | null) {
  const value = editing?.deciderId ?? null;
  if (value === null || people.some((one) => one.value === value)) return people;
  return [...people, { value, label: `${editing?.deciderLeft || 'Somebody'}, who has left` }];
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

  const formPage = async (reply: FastifyReply, form: FormState, editing: EditedDecision | null = null) => {
    const { today } = readMoment(context);
    const gatherings = await db.read.gathering.findMany({
      where: { OR: [{ droppedAt: null, untilOn: { gte: today } }, { id: editing?.gathering?.id ?? 0 }] },
      orderBy: { fromOn: 'asc' },
      select: { id: true, title: true, fromOn: true, untilOn: true },
    });
    return reply.page('problems/decision-form.njk', {
      page: { title: editing ? 'Change a question' : 'Ask a question', nav: NAV },
      form,
      editing,
      deciders: withStanding(await peopleChoices(db.read, ['lead', 'crew']), editing),
      gatherings: gatherings.map(({ id, title, fromOn, untilOn }) => ({
        value: id,
        label: `${title}, ${spanWords(fromOn, untilOn, today)}`,
      })),
    });
  };

  app.get<{ Querystring: { job?: unknown; part?: unknown; gathering?: unknown } }>(
    '/decisions/new',
    { preHandler: shop },
    (request, reply) => {
      const { job, part, gathering } = request.query;
      const values = {
        jobId: rowId(job) || '',
        part: typeof part === 'string' ? part.slice(0, 40) : '',
        gatheringId: rowId(gathering) || '',
      };
      return formPage(reply, freshForm(values));
    },
  );

  app.post('/decisions', { preHandler: shop }, (request, reply) =>
    formAct(context, request, reply, {
      schema: DecisionForm,
      act: async (act, { part, ...input }) =>
        askDecision(act, { ...input, partId: await typedPart(act.tx, part) }),
      to: (id) => `/decisions/${id}`,
      done: 'The question stands.',
      again: (form, again) => formPage(again, form),
    }),
  );

  const decisionPage = async (
    request: FastifyRequest<Named>,
    reply: FastifyReply,
    forms: { answer?: FormState; drop?: FormState; change?: FormState } = {},
  ) => {
    const id = rowId(request.params.id);
    const decision = await readDecisionPage(sources, id, request.person!, readMoment(context));
    return reply.page('problems/decision.njk', {
      page: { title: decision.question, sheet: `Decision ${id}`, nav: NAV },
      decision,
      answerForm: forms.answer ?? freshForm(),
      dropForm: forms.drop ?? freshForm(),
      refused: forms.answer?.errors._form ?? forms.drop?.errors._form ?? forms.change?.errors._form ?? null,
    });
  };

  app.get<Named>('/decisions/:id', { preHandler: shop }, (request, reply) => decisionPage(request, reply));

  const partOf = async ({ tx }: Act, id: number) =>
    (await tx.decision.findUnique({ where: { id }, select: { partId: true } }))?.partId;

  const editPage = async (request: FastifyRequest<Named>, reply: FastifyReply, typed?: FormState) => {
    const id = rowId(request.params.id);
    const decision = await readDecisionPage(sources, id, request.person!, readMoment(context));
    if (!decision.may.change) return decisionPage(request, reply, { change: typed });
    const stored = {
      question: decision.question,
      options: decision.options.join('\n'),
      jobId: decision.job?.id ?? '',
      part: decision.part?.number ?? '',
      deciderId: decision.deciderId ?? '',
      gatheringId: decision.gathering?.id ?? '',
    };
    return formPage(reply, typed ?? freshForm(stored), decision);
  };

  app.get<Named>('/decisions/:id/change', { preHandler: shop }, (request, reply) => editPage(request, reply));

  app.post<Named>('/decisions/:id/change', { preHandler: shop }, (request, reply) =>
    formAct(context, request, reply, {
      schema: ChangeDecisionForm,
      act: async (act, { part, ...input }) =>
        changeDecision(act, {
          ...input,
          decisionId: rowId(request.params.id),
          partId: await typedPart(act.tx, part, { standing: await partOf(act, rowId(request.params.id)) }),
        }),
      to: `/decisions/${rowId(request.params.id)}`,
      done: 'Changed.',
      again: (form, again) => editPage(request, again, form),
    }),
  );

  app.post<Named>('/decisions/:id/take', { preHandler: shop }, (request, reply) => {
    const decisionId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: AnswerForm,
      act: (act, input) => takeDecision(act, { ...input, decisionId }),
      to: `/decisions/${decisionId}`,
      done: 'Decided.',
      again: (answer, again) => decisionPage(request, again, { answer }),
    });
  });

  app.post<Named>('/decisions/:id/drop', { preHandler: shop }, (request, reply) => {
    const decisionId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: OptionalReasonForm,
      act: (act, { reason }) => dropDecision(act, { decisionId, reason }),
      to: `/decisions/${decisionId}`,
      done: 'The question is dropped.',
      again: (drop, again) => decisionPage(request, again, { drop }),
    });
  });
}
