import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import type { FactsReader, JobTimes } from '../jobs/index.ts';
import type { Role } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { dayWords } from '../platform/day.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { signedIn } from '../platform/http/guards.ts';
import { found, NotFound } from '../platform/refusal.ts';
import { dataSecret } from '../platform/secret.ts';
import { renewCalendarAddress } from './calendar-acts.ts';
import { calendarName, readCalendarName } from './calendar-address.ts';
import { CALENDAR_KINDS, type CalendarEntry, type CalendarKind, calendarFile } from './calendar-file.ts';
import { MOST_NEEDED, NEEDED_DAYS_AHEAD, personCalendar, publicCalendar } from './calendar-reader.ts';
import { sendFetched } from './conditional.ts';
import { type FedBuild, readFedBuild, unchangedSince } from './feed-reader.ts';

const NO_CALENDAR = 'There is no such calendar.';
const CALENDAR_TYPE = 'text/calendar; charset=utf-8';
/** Calendars are asked to look again after so long. */
const FRESH_HOURS = 4;
const NEXT_SHOWN = 12;

const KIND_WORDS: Record<CalendarKind, string> = {
  gatherings: 'gatherings',
  promises: 'your promises',
  needed: 'days jobs are needed by',
  decisions: 'decisions you take',
  trials: 'trials planned',
};

interface CalendarPerson {
  id: number;
  role: Role;
  calendarTurn: number;
}

/** Which kinds an address asks for: all, or those after ?only=. */
function kindsAsked(only: unknown): readonly CalendarKind[] {
  if (only === undefined) return CALENDAR_KINDS;
  const words = String(only).split(',');
  const kinds = CALENDAR_KINDS.filter((kind) => words.includes(kind));
  if (kinds.length !== words.length) throw new NotFound(NO_CALENDAR);
  return kinds;
}

/** Calendar files: the gatherings for everyone, and one's own days at an address that works without signing in. */
export function calendarRoutes(
  app: FastifyInstance,
  context: Context,
  ports: { times: JobTimes; facts: FactsReader },
): void {
  const { db, settings } = context;
  const secret = dataSecret(settings.dataDir, 'calendars');
  const person = db.hot.prepare<[number], CalendarPerson>(
    'SELECT id, role, calendarTurn FROM Person WHERE id = ? AND deactivatedAt IS NULL AND forgottenAt IS NULL',
  );

  function send(
    request: FastifyRequest,
    reply: FastifyReply,
    build: FedBuild,
    { name, open, entries }: { name: string; open: boolean; entries: readonly CalendarEntry[] },
  ) {
    return sendFetched(request, reply, {
      body: calendarFile({ name, open, freshHours: FRESH_HOURS }, entries),
      type: CALENDAR_TYPE,
      // One's own is kept by nobody on the way, and asked for anew each time: its address may have been taken back.
      shared: open,
      freshSeconds: open ? 300 : 0,
      modifiedAt: unchangedSince(db, build),
    });
  }

  app.get('/gatherings.ics', async (request, reply) => {
    const build = await readFedBuild(context);
    const entries = await publicCalendar(context, build);
    return send(request, reply, build, { name: `${build.name}: gatherings`, open: true, entries });
  });

  app.get<{ Params: { file: string }; Querystring: { only?: string } }>(
    '/calendar/:file',
    async (request, reply) => {
      const name = /^(.+)\.ics$/.exec(request.params.file)?.[1] ?? '';
      const id = readCalendarName(name, secret, (personId) => person.get(personId)?.calendarTurn ?? null);
      reply.header('x-robots-tag', 'noindex');
      const whose = found(id === null ? null : person.get(id), NO_CALENDAR);
      const kinds = kindsAsked(request.query.only);
      const build = await readFedBuild(context);
      const entries = await personCalendar(context, ports, build, whose);
      return send(request, reply, build, {
        name: build.name,
        open: false,
        entries: entries.filter(({ kind }) => kinds.includes(kind)),
      });
    },
  );

  async function calendarPage(request: FastifyRequest, form: FormState, reply: FastifyReply) {
    const build = await readFedBuild(context);
    const own = request.person ? found(person.get(request.person.id), NO_CALENDAR) : null;
    const entries = own
      ? await personCalendar(context, ports, build, own)
      : await publicCalendar(context, build);
    const address =
      own &&
      `${settings.baseUrl}/calendar/${calendarName({ personId: own.id, turn: own.calendarTurn }, secret)}.ics`;
    const ahead = entries.filter(({ untilOn }) => untilOn >= build.today);
    const isShop = own !== null && own.role !== 'maker';
    return reply.page('feeds/calendar.njk', {
      page: { title: 'Calendar' },
      address,
      // An address of this machine alone is of no use to a telephone.
      onlyHere: /^https?:\/\/(localhost|127\.|0\.0\.0\.0|\[::1?\])/.test(settings.baseUrl),
      publicAddress: `${settings.baseUrl}/gatherings.ics`,
      kinds: CALENDAR_KINDS.filter((kind) => isShop || kind !== 'trials').map((kind) => ({
        words: KIND_WORDS[kind],
        count: entries.filter((entry) => entry.kind === kind).length,
        address: `${address}?only=${kind}`,
      })),
      neededNote: isShop
        ? `Days jobs are needed by: of the next ${NEEDED_DAYS_AHEAD} days, at most ${MOST_NEEDED}.`
        : '',
      next: ahead.slice(0, NEXT_SHOWN).map((entry) => ({
        on: dayWords(entry.fromOn, build.today),
        until: entry.untilOn === entry.fromOn ? '' : dayWords(entry.untilOn, build.today),
        title: entry.title,
        kind: KIND_WORDS[entry.kind],
        href: own && entry.href.slice(settings.baseUrl.length),
        place: entry.place,
      })),
      more: Math.max(0, ahead.length - NEXT_SHOWN),
      form,
    });
  }

  app.get('/calendar', (request, reply) => calendarPage(request, freshForm(), reply));

  app.post('/calendar/address', { preHandler: signedIn }, (request, reply) =>
    formAct(context, request, reply, {
      schema: z.object({}),
      act: (act) => renewCalendarAddress(act, request.person!.id),
      to: '/calendar',
      done: 'Your calendar has a new address. The old one opens nothing any more.',
      again: (form, again) => calendarPage(request, form, again),
    }),
  );
}
