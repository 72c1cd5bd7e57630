import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Context } from '../platform/context.ts';
import { dayIn } from '../platform/day.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { seemsNear } from './far-address.ts';
import {
  addHook,
  changeHook,
  hookSeen,
  pauseHook,
  removeHook,
  renewHookKey,
  resumeHook,
  tryHook,
} from './hook-acts.ts';
import { HookChangeForm, HookForm } from './hook-forms.ts';
import { OutboxKeys } from './keys.ts';
import { HOOK_KINDS, HOOK_WORDS, storedWords } from './kinds.ts';
import { PlainForm } from './mail-forms.ts';
import { momentText } from './moment-text.ts';
import { writtenKey } from './signature.ts';

const CALLS_SHOWN = 20;

/** The lead's page of addresses that are told what happens. */
export function hookRoutes(app: FastifyInstance, context: Context): void {
  const { db, clock } = context;
  const keys = new OutboxKeys(context.settings.dataDir);
  const kinds = HOOK_KINDS.map((value) => ({ value, label: HOOK_WORDS[value].label }));
  const shownKey = (id: number, turn: number) =>
    `Its key, shown this once: ${writtenKey(keys.hookKey(id, turn))}`;

  async function hooksPage(form: FormState, reply: FastifyReply) {
    const [hooks, waiting, failed] = await Promise.all([
      db.read.hook.findMany({ where: { removedAt: null }, orderBy: { id: 'asc' } }),
      db.read.hookCall.groupBy({ by: ['hookId'], where: { state: 'waiting' }, _count: true }),
      db.read.hookCall.findMany({
        where: { state: 'waiting', NOT: { lastError: '' } },
        distinct: ['hookId'],
        select: { hookId: true },
      }),
    ]);
    const failing = new Set(failed.map(({ hookId }) => hookId));
    const counts = new Map(waiting.map(({ hookId, _count }) => [hookId, _count]));
    return reply.page('outbox/hooks.njk', {
      page: { title: 'Web hooks', nav: '/settings' },
      hooks: hooks.map(({ id, url, note, pausedAt, kinds: told }) => ({
        id,
        url,
        note,
        state: pausedAt ? 'paused' : failing.has(id) ? 'not taken, tried again' : 'told',
        told: storedWords(told).length,
        waiting: counts.get(id) ?? 0,
      })),
      kinds,
      fields: HOOK_KINDS.map((type) => ({ type, ...HOOK_WORDS[type] })),
      form,
    });
  }

  app.get('/settings/hooks', { preHandler: leadOnly }, (_request, reply) => hooksPage(freshForm(), reply));

  app.post('/settings/hooks', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: HookForm,
      act: addHook,
      to: (id) => `/settings/hooks/${id}`,
      done: (id) => shownKey(id, 0),
      again: hooksPage,
    }),
  );

  async function hookPage(hookId: number, form: FormState | null, reply: FastifyReply) {
    const hook = await db.read.hook.findUnique({ where: { id: hookId } });
    const {
      url,
      note,
      kinds: told,
      pausedAt,
    } = found(hook?.removedAt ? null : hook, 'There is no such hook.');
    const calls = await db.read.hookCall.findMany({
      where: { hookId },
      orderBy: { id: 'desc' },
      take: CALLS_SHOWN,
    });
    const build = await db.read.build.findUnique({ where: { id: 1 }, select: { timeZone: true } });
    const timeZone = build?.timeZone ?? 'UTC';
    const now = clock.now();
    return reply.page('outbox/hook.njk', {
      page: { title: 'A web hook', nav: '/settings' },
      id: hookId,
      url,
      paused: pausedAt ? dayIn(timeZone, pausedAt) : null,
      isOpen: url.startsWith('http:'),
      isNear: seemsNear(new URL(url)),
      calls: calls.map((call) => ({
        what: call.key.split(':')[0],
        at: momentText(timeZone, call.createdAt, now),
        state: call.state,
        tries: call.tries,
        status: call.status,
        error: call.lastError,
        next: call.state === 'waiting' ? momentText(timeZone, call.nextAt, now) : null,
      })),
      kinds,
      form: form ?? freshForm({ kinds: storedWords(told), note, seen: hookSeen({ kinds: told, note }) }),
    });
  }

  const idOf = (request: FastifyRequest) => rowId((request.params as { id: string }).id);

  app.get('/settings/hooks/:id', { preHandler: leadOnly }, (request, reply) =>
    hookPage(idOf(request), null, reply),
  );

  app.post('/settings/hooks/:id', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: HookChangeForm,
      act: (act, input) => changeHook(act, idOf(request), input),
      to: `/settings/hooks/${idOf(request)}`,
      done: 'Kept.',
      again: (form, again) => hookPage(idOf(request), form, again),
    }),
  );

  const buttons = {
    pause: { act: pauseHook, done: 'It is told nothing until you let it go on.' },
    resume: { act: resumeHook, done: 'It is told again what happens from now on.' },
    try: {
      act: tryHook,
      done: 'A test call is on its way. Load the page again in a moment to see what came of it.',
    },
    remove: { act: removeHook, done: 'The hook is taken off.' },
  } as const;
  for (const [name, { act: doIt, done }] of Object.entries(buttons)) {
    app.post(`/settings/hooks/:id/${name}`, { preHandler: leadOnly }, (request, reply) =>
      formAct(context, request, reply, {
        schema: PlainForm,
        act: (act) => doIt(act, idOf(request)),
        to: name === 'remove' ? '/settings/hooks' : `/settings/hooks/${idOf(request)}`,
        done,
        again: (form, again) => hookAgain(idOf(request), form, again),
      }),
    );
  }

  app.post('/settings/hooks/:id/key', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: PlainForm,
      act: (act) => renewHookKey(act, idOf(request)),
      to: `/settings/hooks/${idOf(request)}`,
      done: (turn) => shownKey(idOf(request), turn),
      again: (form, again) => hookAgain(idOf(request), form, again),
    }),
  );

  /** A button's refusal beside the form as it is stored. */
  async function hookAgain(hookId: number, { errors }: FormState, reply: FastifyReply) {
    const hook = found(await db.read.hook.findUnique({ where: { id: hookId } }), 'There is no such hook.');
    const values = { kinds: storedWords(hook.kinds), note: hook.note, seen: hookSeen(hook) };
    return hookPage(hookId, { values, errors }, reply);
  }
}
