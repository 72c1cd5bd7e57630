import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { factsReader } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { dayIn, daysBetween } from '../platform/day.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { forbidden, leadOnly, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { measuredValuesReader } from '../receiving/index.ts';
import { capabilityGroups } from './capability-groups.ts';
import { capabilityRoutes } from './capability-routes.ts';
import { capabilityLines } from './capability-view.ts';
import { AwayForm, ToolForm } from './forms.ts';
import { addAway, addTool, removeAway, removeTool } from './maker-acts.ts';
import { type PromiseRecord, promiseRecord } from './record.ts';
import { awayWords, envelopeWords, promiseLines, promiseStrips, recordWords } from './view.ts';

const PROMISES_ON_PAGE = 60;
// A page that can't be read is the first.
const PageAsked = z.coerce.number().int().min(1).max(10_000).catch(1);

interface MakerParams {
  Params: { id: string; thingId?: string };
}

/** The makers: tools, hours, away dates, promises against what happened. For the lead, and each for themselves. */
export function makerRoutes(app: FastifyInstance, context: Context): void {
  const { db, clock } = context;
  const facts = factsReader(db);
  const measured = measuredValuesReader(db);
  const makerId = (request: FastifyRequest) => rowId((request.params as { id: string }).id);

  async function leadOrSelf(request: FastifyRequest, reply: FastifyReply) {
    const { person } = request;
    if (person && person.role !== 'lead' && person.id !== makerId(request)) {
      return forbidden(reply, 'A maker’s page is for the lead and for that maker.');
    }
    return undefined;
  }
  const guard = { preHandler: [signedIn, leadOrSelf] };

  async function now() {
    const build = found(await db.read.build.findUnique({ where: { id: 1 } }), 'The build is not set up.');
    return { build, today: dayIn(build.timeZone, clock.now()) };
  }

  capabilityRoutes(app, db);

  app.get('/makers', { preHandler: leadOnly }, async (_request, reply) => {
    const { build, today } = await now();
    const people = await db.read.person.findMany({
      where: { forgottenAt: null, deactivatedAt: null, OR: [{ role: 'maker' }, { claims: { some: {} } }] },
      include: {
        tools: { where: { removedAt: null } },
        away: { where: { removedAt: null, untilOn: { gte: today } } },
      },
      orderBy: { name: 'asc' },
    });
    const jobs = facts.all();
    const claims = jobs.filter(({ droppedAt }) => !droppedAt).flatMap((job) => job.claims);
    const records: { id: number; name: string; record: PromiseRecord }[] = [];
    const makers = people.map((person) => {
      const own = claims.filter(({ personId }) => personId === person.id);
      const open = own.filter(
        (claim) => claim.milli - claim.backMilli > claim.travellingMilli + claim.arrivedMilli,
      );
      const lastWord = open.map(({ lastWordAt }) => lastWordAt).sort()[0];
      const silentDays = lastWord ? daysBetween(dayIn(build.timeZone, new Date(lastWord)), today) : 0;
      const record = promiseRecord(own, today, build.timeZone);
      records.push({ id: person.id, name: person.name, record });
      return {
        id: person.id,
        name: person.name,
        country: person.country,
        weeklyHours: person.weeklyHours,
        tools: person.tools.map(({ name }) => name).join(', '),
        openJobs: [...new Set(open.map(({ jobId }) => jobId))],
        silentDays: silentDays > build.silentAfterDays ? silentDays : null,
        lateNow: record.lateNow,
        record: recordWords(record),
        away: person.away.map((away) => awayWords(away, today)).join('; '),
      };
    });
    return reply.page('makers/makers.njk', {
      page: { title: 'Makers', nav: '/makers' },
      makers,
      promises: promiseStrips(records),
      silentAfterDays: build.silentAfterDays,
    });
  });

  async function makerPage(
    request: FastifyRequest,
    forms: { tool?: FormState; away?: FormState },
    reply: FastifyReply,
  ) {
    const id = makerId(request);
    const { build, today } = await now();
    const person = found(
      await db.read.person.findUnique({
        where: { id },
        include: {
          tools: { where: { removedAt: null }, include: { process: true }, orderBy: { id: 'asc' } },
          away: { where: { removedAt: null }, orderBy: { fromOn: 'desc' } },
        },
      }),
      'There is no such maker.',
    );
    const processes = await db.read.process.findMany({
      where: { removedAt: null },
      orderBy: { name: 'asc' },
    });
    const processNames = new Map(
      (await db.read.process.findMany({ select: { id: true, name: true } })).map(({ id: key, name }) => [
        key,
        name,
      ]),
    );
    const jobs = facts.all().filter((job) => job.claims.some(({ personId }) => personId === id));
    const claims = jobs
      .filter(({ droppedAt }) => !droppedAt)
      .flatMap((job) => job.claims.filter(({ personId }) => personId === id));
    const record = promiseRecord(claims, today, build.timeZone);
    const { ticks, lines } = promiseLines(record, new Map(jobs.map((job) => [job.id, job.title])));
    const pages = Math.max(1, Math.ceil(lines.length / PROMISES_ON_PAGE));
    const page = Math.min(PageAsked.parse((request.query as { page?: unknown }).page), pages);
    const address = (to: number) => `/makers/${id}?page=${to}#promises`;
    return reply.page('makers/maker.njk', {
      page: { title: person.name, nav: request.person?.role === 'lead' ? '/makers' : '/me' },
      person,
      own: request.person?.id === id,
      tools: person.tools.map((tool) => ({
        id: tool.id,
        name: tool.name,
        process: tool.process?.name ?? '',
        envelope: envelopeWords(tool),
        materials: tool.materials,
        note: tool.note,
      })),
      away: person.away.map((away) => ({
        id: away.id,
        days: awayWords(away, today),
        note: away.note,
        past: away.untilOn < today,
      })),
      processes: processes.map((process) => ({ value: String(process.id), label: process.name })),
      record: recordWords(record),
      ticks,
      capability: capabilityLines(capabilityGroups(measured(id)), processNames),
      promises: lines.slice((page - 1) * PROMISES_ON_PAGE, page * PROMISES_ON_PAGE),
      pager: {
        page,
        pages,
        prev: page > 1 ? address(page - 1) : '',
        next: page < pages ? address(page + 1) : '',
        text: `${lines.length} promises`,
      },
      toolForm: forms.tool ?? freshForm(),
      awayForm: forms.away ?? freshForm(),
    });
  }

  app.get<MakerParams>('/makers/:id', guard, (request, reply) => makerPage(request, {}, reply));

  const home = (request: FastifyRequest) => `/makers/${makerId(request)}`;

  app.post<MakerParams>('/makers/:id/tools', guard, (request, reply) =>
    formAct(context, request, reply, {
      schema: ToolForm,
      act: (act, input) => addTool(act, makerId(request), input),
      to: home(request),
      done: (_, { name }) => `${name} is on the list.`,
      again: (tool, again) => makerPage(request, { tool }, again),
    }),
  );

  app.post<MakerParams>('/makers/:id/away', guard, (request, reply) =>
    formAct(context, request, reply, {
      schema: AwayForm,
      act: (act, input) => addAway(act, makerId(request), input),
      to: home(request),
      done: 'The days are written down.',
      again: (away, again) => makerPage(request, { away }, again),
    }),
  );

  const removals: [string, (act: Act, personId: number, thingId: number) => Promise<void>][] = [
    ['tools', removeTool],
    ['away', removeAway],
  ];
  for (const [path, remove] of removals) {
    app.post<MakerParams>(`/makers/:id/${path}/:thingId/remove`, guard, (request, reply) =>
      formAct(context, request, reply, {
        schema: z.object({}),
        act: (act) => remove(act, makerId(request), rowId(request.params.thingId)),
        to: home(request),
        done: 'Taken off the list.',
        again: (form, again) => makerPage(request, { [path === 'tools' ? 'tool' : 'away']: form }, again),
      }),
    );
  }
}
