import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { parseQuantity, partByNumber } from '../parts/index.ts';
import type { Context } from '../platform/context.ts';
import { daysBetween, dayWords } from '../platform/day.ts';
import { day, id, line, number } from '../platform/http/fields.ts';
import { type FormState, freshForm, readForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly, shop } from '../platform/http/guards.ts';
import { refuse } from '../platform/refusal.ts';
import { buildModel } from './build-model.ts';
import { comparison } from './comparison-of-plans.ts';
import { finishSpread } from './outlook.ts';
import type { OutlookService } from './outlook-service.ts';
import { type Schedule, scheduleOf } from './schedule.ts';
import type { ScheduleService } from './service.ts';
import { scheduleTabs } from './tabs.ts';
import {
  claimOf,
  MOST_SLIP_DAYS,
  MOST_TRIES,
  type Try,
  tried,
  tryOfToken,
  tryToken,
  tryWords,
  unfinishedMilli,
  whyNot,
} from './what-if.ts';
import { applyTries, type WhatIfPorts } from './what-if-apply.ts';

const slipDays = number({ min: -MOST_SLIP_DAYS, max: MOST_SLIP_DAYS, whole: true, unit: ' days' });
const promiseDays = number({ min: 0, max: MOST_SLIP_DAYS, whole: true, unit: ' days' });

/** The forms that add a try, by their kind. */
const FORMS = {
  'slip-claim': z.object({ claimId: id(), days: slipDays }),
  'slip-job': z.object({ jobId: id(), days: slipDays }),
  maker: z.object({
    claimId: id(),
    personId: id(),
    soonest: promiseDays,
    likely: promiseDays,
    latest: promiseDays,
  }),
  share: z.object({
    claimId: id(),
    quantity: line(40, 'Say how much the second maker takes.'),
    personId: id(),
    soonest: promiseDays,
    likely: promiseDays,
    latest: promiseDays,
  }),
  drop: z.object({ part: line(60, 'Name the part’s number.') }),
  gathering: z.object({ gatheringId: id(), fromOn: day, untilOn: day }),
  without: z.object({
    part: line(60, 'Name the part’s number.'),
    parent: line(60, 'Name the assembly’s number.'),
  }),
} as const;
type Kind = keyof typeof FORMS;

/** At which field a try that makes no sense is told. */
const MAIN_FIELD: Readonly<Record<Kind, string>> = {
  'slip-claim': 'days',
  'slip-job': 'jobId',
  maker: 'personId',
  share: 'quantity',
  drop: 'part',
  gathering: 'fromOn',
  without: 'part',
};

type Query = Record<string, unknown>;

/** GET /schedule/what-if: changes tried side by side with the plan; nothing is stored until they are applied. */
export function whatIfRoutes(
  app: FastifyInstance,
  context: Context,
  schedules: ScheduleService,
  outlooks: OutlookService,
  ports: WhatIfPorts,
): void {
  app.get('/schedule/what-if', { preHandler: shop }, (request, reply) =>
    page(request, reply, request.query as Query),
  );

  app.get<{ Params: { kind: string } }>(
    '/schedule/what-if/add/:kind',
    { preHandler: shop },
    async (request, reply) => {
      const query = request.query as Query;
      const { kind } = request.params;
      const { schedule } = schedules.snapshot();
      if (!schedule || !isKind(kind)) return reply.redirect('/schedule/what-if', 303);
      const read = readForm(FORMS[kind], query);
      if (!read.fits) {
        reply.code(422);
        return page(request, reply, query, { kind, form: read.form });
      }
      const { tries } = triesIn(query, schedule);
      const made = await tryOf(kind, read.input, schedule);
      const wrong =
        typeof made === 'string'
          ? made
          : tries.length >= MOST_TRIES
            ? `At most ${MOST_TRIES} changes together.`
            : whyNot(tried(schedule.facts, tries).facts, made);
      if (wrong !== null || typeof made === 'string') {
        reply.code(422);
        const form: FormState = { values: query, errors: { [MAIN_FIELD[kind]]: wrong ?? '' } };
        return page(request, reply, query, { kind, form });
      }
      return reply.redirect(addressOf([...tries, made]), 303);
    },
  );

  app.post('/schedule/what-if', { preHandler: leadOnly }, (request, reply) => {
    const { schedule } = schedules.snapshot();
    const body = (request.body ?? {}) as Query;
    return formAct(context, request, reply, {
      schema: z.object({}),
      act: async (act) => {
        if (!schedule) refuse('no-schedule', 'There is no schedule to change.');
        await applyTries(act, schedule, triesIn(body, schedule).tries, ports);
      },
      to: '/schedule/what-if',
      done: 'Done: what was tried is now so.',
      again: (form, again) => page(request, again, body, { kind: null, form }),
    });
  });

  async function page(
    request: FastifyRequest,
    reply: FastifyReply,
    query: Query,
    typed: { kind: Kind | null; form: FormState } | null = null,
  ) {
    const { schedule, trouble } = schedules.snapshot();
    const head = {
      page: { title: 'What if', sheet: 'Schedule, what if', nav: '/schedule' },
      tabs: scheduleTabs('/schedule/what-if'),
      trouble,
      isLead: request.person?.role === 'lead',
      refused: typed?.kind === null ? (typed.form.errors._form ?? '') : '',
    };
    if (!schedule || schedule.finishOn === null) {
      const isEmpty = !schedule || schedule.facts.parts.size + schedule.facts.jobs.length === 0;
      return reply.page('schedule/what-if.njk', {
        ...head,
        state: trouble ? 'trouble' : isEmpty ? 'empty' : 'done',
      });
    }
    const { tries, leftOut } = triesIn(query, schedule);
    const { facts } = schedule;
    return reply.page('schedule/what-if.njk', {
      ...head,
      state: 'open',
      leftOut,
      tokens: tries.map(tryToken),
      tries: tries.map((one, at) => ({
        words: tryWords(facts, one),
        without: addressOf(tries.filter((_, other) => other !== at)),
      })),
      result: tries.length === 0 ? null : await compared(schedule, tries),
      forms: Object.fromEntries(
        Object.keys(FORMS).map((kind) => [
          kind.replace('-', '_'),
          typed?.kind === kind ? typed.form : freshForm({ claimId: String(query.claim ?? '') }),
        ]),
      ),
      opened: typed?.kind ?? (query.claim ? 'slip-claim' : ''),
      ...optionsOf(schedule),
    });
  }

  async function compared(schedule: Schedule, tries: readonly Try[]) {
    const { facts, tweaks } = tried(schedule.facts, tries);
    const after = scheduleOf(facts, { ...tweaks, history: schedule.network.history.for(facts) });
    const [was, is] = await outlooks.simulate([
      buildModel(schedule, { inDetail: true }),
      buildModel(after, { inDetail: true, runs: buildModel(schedule).runs }),
    ]);
    return comparison(
      { schedule, outcome: was!, finish: finishSpread(schedule, was!) },
      { schedule: after, outcome: is!, finish: finishSpread(after, is!) },
    );
  }

  async function tryOf(
    kind: Kind,
    input: Record<string, unknown>,
    { facts }: Schedule,
  ): Promise<Try | string> {
    const partId = async (typed: unknown) => (await partByNumber(context.db.read, String(typed)))?.id ?? null;
    if (kind === 'drop') {
      const part = await partId(input.part);
      return part === null ? `There is no part ${input.part}.` : { kind, partId: part };
    }
    if (kind === 'without') {
      const [part, parent] = [await partId(input.part), await partId(input.parent)];
      if (part === null) return `There is no part ${input.part}.`;
      return parent === null
        ? `There is no assembly ${input.parent}.`
        : { kind, partId: part, parentId: parent };
    }
    if (kind === 'share') {
      const found = claimOf(facts, input.claimId as number);
      const unit = found?.job.partId ? (facts.parts.get(found.job.partId)?.unit ?? 'piece') : 'piece';
      const read = parseQuantity(String(input.quantity), unit);
      if (!read.ok) return read.sentence;
      const { quantity: _typed, ...rest } = input;
      return { kind, milli: read.milli, ...rest } as Try;
    }
    return { kind, ...input } as Try;
  }
}

function isKind(kind: string): kind is Kind {
  return Object.hasOwn(FORMS, kind);
}

/** What an address or a form tries; what can't be read or makes no sense any more is told and left out. */
function triesIn(query: Query, { facts }: Schedule): { tries: Try[]; leftOut: string[] } {
  const tokens = [query.c ?? []].flat().map(String).slice(0, MOST_TRIES);
  const tries: Try[] = [];
  const leftOut: string[] = [];
  let now = facts;
  for (const token of tokens) {
    const one = tryOfToken(token);
    const wrong = one ? whyNot(now, one) : 'It can’t be read.';
    if (one && wrong === null) {
      tries.push(one);
      now = tried(now, [one]).facts;
    } else leftOut.push(`One change is left out: ${wrong}`);
  }
  return { tries, leftOut };
}

function addressOf(tries: readonly Try[]): string {
  const query = new URLSearchParams(tries.map((one): [string, string] => ['c', tryToken(one)]));
  return `/schedule/what-if${tries.length > 0 ? `?${query}` : ''}`;
}

/** What can be chosen in the forms. */
function optionsOf({ facts, network }: Schedule) {
  const claims = network.openJobs.flatMap((job) =>
    job.claims
      .filter((claim) => unfinishedMilli(claim) > 0)
      .map((claim) => ({
        value: String(claim.id),
        label: `Job ${job.id}, ${job.title}: ${facts.people.get(claim.personId)?.name ?? 'somebody'}`,
      })),
  );
  return {
    claims,
    jobs: network.openJobs
      .filter(({ kind }) => kind !== 'purchase')
      .map(({ id: jobId, title }) => ({ value: String(jobId), label: `Job ${jobId}, ${title}` })),
    people: [...facts.people]
      .filter(([, { active }]) => active)
      .map(([personId, { name }]) => ({ value: String(personId), label: name })),
    gatherings: [...facts.gatherings]
      .filter(([, { untilOn }]) => untilOn >= facts.today)
      .map(([gatheringId, { title, fromOn, untilOn }]) => ({
        value: String(gatheringId),
        label: `${title}, ${dayWords(fromOn, facts.today)}, ${daysBetween(fromOn, untilOn) + 1} days`,
      })),
  };
}
