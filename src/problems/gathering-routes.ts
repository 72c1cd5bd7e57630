import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { FactsReader } from '../jobs/index.ts';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly, shop, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import type { AgendaSources } from './agenda-reader.ts';
import type { DecisionSources } from './decision-reader.ts';
import { ButtonForm, OptionalReasonForm } from './forms.ts';
import {
  changeGathering,
  comeToGathering,
  dropGathering,
  leaveGathering,
  planGathering,
  readGathering,
} from './gathering-acts.ts';
import { ChangeGatheringForm, ComeForm, ComerForm, GatheringForm, LeaveForm } from './gathering-forms.ts';
import { gatheringPlanRoutes } from './gathering-plan-routes.ts';
import { gatheringLists, readGatheringPage } from './gathering-reader.ts';
import { gatheringTabs } from './gathering-tabs.ts';
import { readMoment } from './moment.ts';
import { lastChange } from './store.ts';
import { loopTabs } from './tabs.ts';

interface Named {
  Params: { id: string };
  Querystring: { comer?: string };
}

/** The forms that stand on a gathering's page; one of them may come back with what was typed. */
interface PageForms {
  come?: FormState;
  comer?: FormState;
  drop?: FormState;
  button?: FormState;
}

/** Gatherings: the list, one of them, who comes. Open to makers, but for planning. */
export function gatheringRoutes(
  app: FastifyInstance,
  context: Context,
  sources: DecisionSources & AgendaSources & { facts: FactsReader },
): void {
  gatheringPlanRoutes(app, context, sources);
  const { db } = context;
  const navOf = (request: FastifyRequest) => (request.person?.role === 'maker' ? '/gatherings' : '/problems');

  app.get('/gatherings', { preHandler: signedIn }, async (request, reply) => {
    const moment = readMoment(context);
    const isShop = request.person!.role !== 'maker';
    return reply.page('problems/gatherings.njk', {
      page: { title: 'Gatherings', nav: navOf(request) },
      tabs: isShop ? loopTabs(db, 'gatherings', moment.today) : [],
      isShop,
      lists: await gatheringLists(db.read, request.person!, moment),
    });
  });

  const formPage = (reply: FastifyReply, form: FormState, editing: { id: number; title: string } | null) =>
    reply.page('problems/gathering-form.njk', {
      page: { title: editing ? `Change gathering ${editing.id}` : 'Plan a gathering', nav: '/problems' },
      form,
      editing,
      today: readMoment(context).today,
    });

  app.get('/gatherings/new', { preHandler: shop }, (_request, reply) =>
    formPage(reply, freshForm({ places: '8', beginsAt: '09:00', dayHours: '8' }), null),
  );

  app.post('/gatherings', { preHandler: shop }, (request, reply) =>
    formAct(context, request, reply, {
      schema: GatheringForm,
      act: (act, input) => planGathering(act, input),
      to: (id) => `/gatherings/${id}`,
      done: 'The gathering is planned.',
      again: (form, again) => formPage(again, form, null),
    }),
  );

  const gatheringPage = async (
    request: FastifyRequest<Named>,
    reply: FastifyReply,
    forms: PageForms = {},
  ) => {
    const person = request.person!;
    const gathering = await readGatheringPage(sources, rowId(request.params.id), person, readMoment(context));
    const coming = gathering.comers.map(({ id }) => id);
    // The lead changes what was said for somebody who comes already, in the same form.
    const changedId = Number(forms.comer?.values.personId ?? request.query.comer ?? 0);
    const changed = gathering.comers.find(({ id }) => id === changedId && id !== person.id);
    const others = gathering.may.writeDown
      ? await db.read.person.findMany({
          where: {
            deactivatedAt: null,
            forgottenAt: null,
            id: { notIn: [...coming.filter((id) => id !== changedId), person.id] },
          },
          orderBy: { name: 'asc' },
          select: { id: true, name: true, role: true },
        })
      : [];
    const said = [forms.come, forms.comer, forms.drop, forms.button].find((form) => form?.errors._form);
    return reply.page('problems/gathering.njk', {
      page: { title: gathering.title, sheet: `Gathering ${gathering.id}`, nav: navOf(request) },
      gathering,
      tabs: gathering.seesPlan ? gatheringTabs(gathering.id, 'people') : [],
      isShop: person.role !== 'maker',
      isLead: person.role === 'lead',
      isChanging: changed !== undefined,
      people: others.map(({ id, name, role }) => ({ value: id, label: `${name}, ${role}` })),
      comeForm: forms.come ?? freshForm(gathering.own),
      comerForm: forms.comer ?? freshForm(changed ? { ...changed.said, personId: changed.id } : {}),
      dropForm: forms.drop ?? freshForm(),
      refused: said?.errors._form ?? null,
    });
  };

  app.get<Named>('/gatherings/:id', { preHandler: signedIn }, (request, reply) =>
    gatheringPage(request, reply),
  );

  const editPage = async (request: FastifyRequest<Named>, reply: FastifyReply, typed?: FormState) => {
    const id = rowId(request.params.id);
    const gathering = await readGathering(db.read, id);
    if (gathering.droppedAt) return gatheringPage(request, reply, { button: typed });
    const { title, fromOn, untilOn, place, places, beginsAt, dayHours, note } = gathering;
    const stored = {
      title,
      fromOn,
      untilOn,
      place,
      places,
      beginsAt,
      dayHours,
      note,
      seen: await lastChange(db.read, 'gathering', id),
    };
    return formPage(reply, typed ?? freshForm(stored), { id, title });
  };

  app.get<Named>('/gatherings/:id/change', { preHandler: shop }, (request, reply) =>
    editPage(request, reply),
  );

  app.post<Named>('/gatherings/:id/change', { preHandler: shop }, (request, reply) => {
    const gatheringId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: ChangeGatheringForm,
      act: (act, input) => changeGathering(act, { ...input, gatheringId }),
      to: `/gatherings/${gatheringId}`,
      done: 'Changed.',
      again: (form, again) => editPage(request, again, form),
    });
  });

  app.post<Named>('/gatherings/:id/drop', { preHandler: shop }, (request, reply) => {
    const gatheringId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: OptionalReasonForm,
      act: (act, { reason }) => dropGathering(act, { gatheringId, reason }),
      to: `/gatherings/${gatheringId}`,
      done: 'Called off.',
      again: (drop, again) => gatheringPage(request, again, { drop }),
    });
  });

  app.post<Named>('/gatherings/:id/come', { preHandler: signedIn }, (request, reply) => {
    const gatheringId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: ComeForm,
      act: (act, input) => comeToGathering(act, { ...input, gatheringId, personId: request.person!.id }),
      to: `/gatherings/${gatheringId}`,
      done: 'You are on the list.',
      again: (come, again) => gatheringPage(request, again, { come }),
    });
  });

  app.post<Named>('/gatherings/:id/leave', { preHandler: signedIn }, (request, reply) => {
    const gatheringId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: ButtonForm,
      act: (act) => leaveGathering(act, { gatheringId, personId: request.person!.id }),
      to: `/gatherings/${gatheringId}`,
      done: 'You are off the list, and your place is free.',
      again: (button, again) => gatheringPage(request, again, { button }),
    });
  });

  app.post<Named>('/gatherings/:id/comers', { preHandler: leadOnly }, (request, reply) => {
    const gatheringId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: ComerForm,
      act: (act, input) => comeToGathering(act, { ...input, gatheringId }),
      to: `/gatherings/${gatheringId}`,
      done: 'Written down.',
      again: (comer, again) => gatheringPage(request, again, { comer }),
    });
  });

  app.post<Named>('/gatherings/:id/comers/remove', { preHandler: leadOnly }, (request, reply) => {
    const gatheringId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: LeaveForm,
      act: (act, { personId }) => leaveGathering(act, { gatheringId, personId }),
      to: `/gatherings/${gatheringId}`,
      done: 'Taken off the list.',
      again: (form, again) =>
        gatheringPage(request, again, {
          button: { ...form, errors: { _form: form.errors._form ?? form.errors.personId ?? '' } },
        }),
    });
  });
}
