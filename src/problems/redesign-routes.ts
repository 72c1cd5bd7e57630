import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { FactsReader, JobTimes } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import type { OutlookService, ScheduleService } from '../schedule/index.ts';
import { ReasonForm } from './forms.ts';
import { readMoment } from './moment.ts';
import { changeRedesign, openRedesign } from './open-redesign.ts';
import { peopleNames, problemLines } from './problem-reader.ts';
import { costView, RedesignCosts } from './redesign-cost.ts';
import { BeginForm, ChangeRedesignForm, CloseForm, RedesignForm, ReleaseForm } from './redesign-forms.ts';
import { type RedesignPage, readRedesignPage, redesignLists, trialWord } from './redesign-reader.ts';
import { releaseRedesign, startRedesignRevisions } from './redesign-revisions.ts';
import { redesignState } from './redesign-rules.ts';
import { closeRedesign, dropRedesign } from './settle-redesign.ts';
import { lastChange, typedParts } from './store.ts';
import { loopTabs } from './tabs.ts';

const NAV = '/problems';

/** In a larger network the page does not wait for what a redesign costs. */
const MOST_STEPS = 2500;

interface Named {
  Params: { id: string };
}

const TRIALS_TO_CHOOSE = 100;

/** The newest trials, and the one that is named already, however old it is: else keeping the form would take it away. */
async function trialChoices(read: Context['db']['read'], namedId: number) {
  const select = { id: true, title: true, passed: true };
  const newest = await read.trial.findMany({ orderBy: { id: 'desc' }, take: TRIALS_TO_CHOOSE, select });
  if (newest.some(({ id }) => id === namedId)) return newest;
  return [...newest, ...(await read.trial.findMany({ where: { id: namedId }, select }))];
}

/** The parts that a redesign touches as it stands. */
const partsOf = async ({ tx }: Act, redesignId: number) =>
  (await tx.redesignPart.findMany({ where: { redesignId } })).map(({ partId }) => partId);

const count = (n: number, word: string) => `${n} ${word}${n === 1 ? '' : 's'}`;

/** Redesigns: the list, one of them, and its way from the problems to the cure. */
export function redesignRoutes(
  app: FastifyInstance,
  context: Context,
  {
    facts,
    times,
    schedules,
    outlooks,
  }: {
    facts: FactsReader;
    times: JobTimes;
    schedules: Pick<ScheduleService, 'snapshot'>;
    outlooks: Pick<OutlookService, 'simulate'>;
  },
): void {
  const { db } = context;
  const costs = new RedesignCosts();

  app.get('/redesigns', { preHandler: shop }, async (_request, reply) => {
    const moment = readMoment(context);
    return reply.page('problems/redesigns.njk', {
      page: { title: 'Redesigns', nav: NAV },
      tabs: loopTabs(db, 'redesigns', moment.today),
      lists: await redesignLists(db.read, moment),
    });
  });

  const formPage = async (
    reply: FastifyReply,
    form: FormState,
    editing: { id: number; title: string; released: boolean } | null,
  ) => {
    const free = await problemLines(
      db.read,
      {
        acceptedAt: null,
        curedAt: null,
        sameAsId: null,
        OR: [{ redesignId: null }, ...(editing ? [{ redesignId: editing.id }] : [])],
      },
      readMoment(context),
    );
    const trials = await trialChoices(db.read, rowId(String(form.values.trialId)));
    return reply.page('problems/redesign-form.njk', {
      page: { title: editing ? `Change redesign ${editing.id}` : 'Open a redesign', nav: NAV },
      form,
      editing,
      problems: free.map(({ id, title, part, severityWord }) => ({
        value: String(id),
        label: `${id} ${title}`,
        hint: [severityWord, part && `${part.number} ${part.name}`].filter(Boolean).join(', '),
      })),
      trials: trials.map(({ id, title, passed }) => ({ value: id, label: `${title}, ${trialWord(passed)}` })),
    });
  };

  app.get<{ Querystring: { problem?: unknown } }>(
    '/redesigns/new',
    { preHandler: shop },
    async (request, reply) => {
      const asked = [request.query.problem ?? []].flat().slice(0, 500);
      const problemIds = asked.map(rowId).filter((id) => id > 0);
      const problems = await db.read.problem.findMany({ where: { id: { in: problemIds } } });
      const parts = await db.read.part.findMany({
        where: { id: { in: problems.flatMap(({ partId }) => partId ?? []) }, removedAt: null },
        orderBy: { numberKey: 'asc' },
        select: { number: true },
      });
      const title = problems.length === 1 ? (problems[0]?.title ?? '') : '';
      const values = {
        title,
        problemIds: problemIds.map(String),
        parts: parts.map(({ number }) => number).join('\n'),
      };
      return formPage(reply, freshForm(values), null);
    },
  );

  app.post('/redesigns', { preHandler: shop }, (request, reply) =>
    formAct(context, request, reply, {
      schema: RedesignForm,
      act: async (act, { parts, ...input }) =>
        openRedesign(act, { ...input, partIds: await typedParts(act.tx, parts) }),
      to: (id) => `/redesigns/${id}`,
      done: 'The redesign is open.',
      again: (form, again) => formPage(again, form, null),
    }),
  );

  /**
   * What it costs before it is released; `later` where the page must not wait for it, `unknown` without a schedule.
   *
   * @param asked  now: worked out whatever the size of the build; runs: simulated as well
   */
  const costOf = async (redesign: RedesignPage, asked: unknown) => {
    const { schedule } = schedules.snapshot();
    const partIds = redesign.changed.filter((part) => part.pending && !part.removed).map(({ id }) => id);
    if (!redesign.impact || partIds.length === 0) return null;
    if (!schedule) return 'unknown';
    const { asked: claims, lots } = redesign.impact;
    const wish = { partIds, hours: redesign.hours, claims, lots };
    if (asked === 'runs') await costs.at80(outlooks, schedule, wish);
    else if (asked !== 'now' && schedule.network.nodes.length > MOST_STEPS && !costs.has(schedule, wish))
      return 'later';
    return costView(costs.of(schedule, wish), schedule, costs.at80IfThere(schedule, wish));
  };

  const redesignPage = async (
    request: FastifyRequest,
    id: number,
    reply: FastifyReply,
    forms: { drop?: FormState; button?: FormState; close?: FormState } = {},
  ) => {
    const person = found(request.person, 'Sign in first.');
    const moment = readMoment(context);
    const redesign = await readRedesignPage(db, { facts, times }, id, moment, person.lengthUnit);
    const { cost } = request.query as { cost?: unknown };
    return reply.page('problems/redesign.njk', {
      page: { title: redesign.title, sheet: `Redesign ${id}`, nav: NAV },
      redesign,
      cost: await costOf(redesign, cost),
      isLead: person.role === 'lead',
      dropForm: forms.drop ?? freshForm(),
      closeForm: forms.close ?? freshForm(),
      refused:
        forms.button?.errors._form ??
        forms.button?.errors.partIds ??
        forms.button?.errors.drafts ??
        forms.close?.errors._form ??
        forms.drop?.errors._form ??
        null,
    });
  };

  app.get<Named>('/redesigns/:id', { preHandler: shop }, (request, reply) =>
    redesignPage(request, rowId(request.params.id), reply),
  );

  const editPage = async (request: FastifyRequest, id: number, reply: FastifyReply, typed?: FormState) => {
    const redesign = found(
      await db.read.redesign.findUnique({
        where: { id },
        include: { problems: { where: { removedAt: null } }, parts: true },
      }),
      `There is no redesign ${id}.`,
    );
    const state = redesignState(redesign);
    if (state === 'closed' || state === 'dropped') {
      return redesignPage(request, id, reply, { button: typed });
    }
    const parts = await db.read.part.findMany({
      where: { id: { in: redesign.parts.map(({ partId }) => partId) } },
      orderBy: { numberKey: 'asc' },
      select: { number: true },
    });
    const stored = {
      title: redesign.title,
      change: redesign.change,
      problemIds: redesign.problems.map((problem) => String(problem.id)),
      parts: parts.map(({ number }) => number).join('\n'),
      hours: redesign.hours ?? '',
      trialId: redesign.trialId ?? '',
      seen: await lastChange(db.read, 'redesign', id),
    };
    return formPage(reply, typed ?? freshForm(stored), {
      id,
      title: redesign.title,
      released: state === 'released',
    });
  };

  app.get<Named>('/redesigns/:id/change', { preHandler: shop }, (request, reply) =>
    editPage(request, rowId(request.params.id), reply),
  );

  app.post<Named>('/redesigns/:id/change', { preHandler: shop }, (request, reply) => {
    const redesignId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: ChangeRedesignForm,
      act: async (act, { parts, ...input }) =>
        changeRedesign(act, {
          ...input,
          redesignId,
          partIds:
            parts === undefined
              ? undefined
              : await typedParts(act.tx, parts, { standing: await partsOf(act, redesignId) }),
        }),
      to: `/redesigns/${redesignId}`,
      done: 'Changed.',
      again: (form, again) => editPage(request, redesignId, again, form),
    });
  });

  app.post<Named>('/redesigns/:id/revisions', { preHandler: shop }, (request, reply) => {
    const redesignId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: BeginForm,
      act: (act, { partIds }) => startRedesignRevisions(act, { redesignId, partIds }),
      to: `/redesigns/${redesignId}`,
      done: (begun) =>
        `${begun.map(({ partNumber, letter, found: there }) => `${partNumber} ${letter}${there ? ', a draft that was open,' : ''}`).join(', ')} ${begun.length === 1 ? 'is' : 'are'} begun.`,
      again: (button, again) => redesignPage(request, redesignId, again, { button }),
    });
  });

  app.post<Named>('/redesigns/:id/release', { preHandler: shop }, (request, reply) => {
    const redesignId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: ReleaseForm,
      act: async (act, { drafts: versions }) => {
        const done = await releaseRedesign(act, { redesignId, versions });
        const names = await peopleNames(
          act.tx,
          done.told.map(({ personId }) => personId),
        );
        return { ...done, names };
      },
      to: `/redesigns/${redesignId}`,
      done: ({ revisions, oldUnits, told, names }) =>
        [
          `${count(revisions, 'revision')} released.`,
          told.length > 0 &&
            `Told: ${told.map(({ personId, jobId }) => `${names.get(personId) ?? 'somebody'}, job ${jobId}`).join('; ')}.`,
          oldUnits &&
            `${count(oldUnits, 'lot')} of accepted units ${oldUnits === 1 ? 'waits' : 'wait'} for a decision on the page of ${oldUnits === 1 ? 'its' : 'their'} part’s new revision.`,
        ]
          .filter(Boolean)
          .join(' '),
      again: (button, again) => redesignPage(request, redesignId, again, { button }),
    });
  });

  app.post<Named>('/redesigns/:id/close', { preHandler: shop }, (request, reply) => {
    const redesignId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: CloseForm,
      act: (act, { reason, seen }) => closeRedesign(act, { redesignId, reason, seen }),
      to: `/redesigns/${redesignId}`,
      done: (cured) => `Closed: ${count(cured, 'problem')} cured.`,
      again: (close, again) => redesignPage(request, redesignId, again, { close }),
    });
  });

  app.post<Named>('/redesigns/:id/drop', { preHandler: shop }, (request, reply) => {
    const redesignId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: ReasonForm,
      act: (act, { reason }) => dropRedesign(act, { redesignId, reason }),
      to: `/redesigns/${redesignId}`,
      done: 'Dropped: its problems are open again.',
      again: (drop, again) => redesignPage(request, redesignId, again, { drop }),
    });
  });
}
