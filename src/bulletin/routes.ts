import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Context } from '../platform/context.ts';
import { dayIn, dayWords } from '../platform/day.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found, NotFound } from '../platform/refusal.ts';
import { correctBulletin } from './bulletin-acts.ts';
import { CorrectionForm } from './edit-form.ts';
import { editRoutes } from './edit-routes.ts';
import { type Frozen, readSections } from './frozen.ts';
import { orderRoutes } from './order-routes.ts';
import { publicName } from './public-names.ts';
import { photosThere, readPeople, shownPhotos, toldFrozen } from './published.ts';
import { shownBulletin } from './shown.ts';
import { type BulletinPorts, readBuildWeek, readWeeks } from './store.ts';
import { spanWords } from './told.ts';
import { NO_WEEK, type OpenWeek, weekReader } from './week-reader.ts';

const WEEKS_LISTED = 60;

interface WeekParams {
  Params: { week: string };
}

/** The weekly bulletin: drafted from the log, edited by the lead, published for everyone. */
export function bulletinRoutes(app: FastifyInstance, context: Context, ports: BulletinPorts): void {
  const { db } = context;
  const weeks = weekReader(context, ports);
  const { editPage } = editRoutes(app, context, ports, weeks, publishedPage);
  orderRoutes(app, context, weeks);

  app.get('/bulletin', async (request, reply) => {
    const build = await readBuildWeek(context);
    const stored = await db.read.bulletin.findMany({
      orderBy: { week: 'desc' },
      select: { week: true, title: true, publishedAt: true },
    });
    const byWeek = new Map(stored.map((bulletin) => [bulletin.week, bulletin]));
    const open = request.person?.role === 'lead' ? readWeeks(context, build) : [];
    const untold = open.filter(({ until }) => !byWeek.get(until)?.publishedAt);
    return reply.page('bulletin/list.njk', {
      page: { title: 'Bulletin', nav: '/bulletin' },
      published: stored
        .filter(({ publishedAt }) => publishedAt)
        .map(({ week, title }) => ({ week, title, until: dayWords(week, build.today) })),
      isLead: request.person?.role === 'lead',
      weeks: untold.slice(0, WEEKS_LISTED).map((week) => ({
        week: week.until,
        span: spanWords(week),
        running: week.until >= build.today,
        begun: byWeek.has(week.until),
      })),
      older: Math.max(0, untold.length - WEEKS_LISTED),
    });
  });

  app.get<WeekParams>('/bulletin/:week', async (request, reply) => {
    const opened = await weeks.open(request);
    if (opened.stored?.publishedAt) return publishedPage(opened, freshForm(), reply);
    if (request.person?.role !== 'lead') throw new NotFound('The bulletin of this week is not published.');
    return editPage(opened, null, reply);
  });

  async function publishedPage({ week, build, stored }: OpenWeek, form: FormState, reply: FastifyReply) {
    const row = found(stored, NO_WEEK);
    const frozen = JSON.parse(found(row.frozen, NO_WEEK)) as Frozen;
    const people = await readPeople(db.read);
    const told = toldFrozen(frozen, readSections(row.sections).corrections, week.until, people);
    const photos = frozen.photos ?? [];
    const published = dayIn(build.timeZone, row.publishedAt!);
    const by = publicName(people.get(row.publishedById ?? 0)) ?? 'the lead';
    const beside = async (order: 'asc' | 'desc') => {
      const next = await db.read.bulletin.findFirst({
        where: {
          week: order === 'asc' ? { gt: week.until } : { lt: week.until },
          NOT: { publishedAt: null },
        },
        orderBy: { week: order },
        select: { week: true, title: true },
      });
      return (
        next && { href: `/bulletin/${next.week}`, title: next.title || `Week to ${dayWords(next.week)}` }
      );
    };
    return reply.page('bulletin/bulletin.njk', {
      page: { title: told.title, sheet: `Bulletin of ${told.span}`, nav: '/bulletin' },
      week: week.until,
      told: shownBulletin(told),
      photos: shownPhotos(week.until, photos, await photosThere(db.read, photos), people),
      publishedOn: dayWords(published),
      by,
      standsAsOf: frozen.asOf ? dayWords(frozen.asOf, week.until) : '',
      before: await beside('desc'),
      after: await beside('asc'),
      form,
      titleBlock: [
        { label: 'Revision', value: String(row.version), kind: 'num' },
        { label: 'Date', value: published, kind: 'num' },
        { label: 'Drawn by', value: by },
        ...(frozen.upToAct ? [{ label: 'Log up to act', value: String(frozen.upToAct), kind: 'num' }] : []),
      ],
    });
  }

  app.post<WeekParams>('/bulletin/:week/correct', { preHandler: leadOnly }, async (request, reply) => {
    const opened = await weeks.open(request);
    return formAct(context, request, reply, {
      schema: CorrectionForm,
      act: (act, { words }) => correctBulletin(act, opened.week.until, words),
      to: `/bulletin/${opened.week.until}`,
      done: 'Put right. What was published stands as it was, and this beside it.',
      again: (form, reply) =>
        opened.stored?.publishedAt ? publishedPage(opened, form, reply) : editPage(opened, form, reply),
    });
  });

  // A photo is open to everyone once a published bulletin shows it, and not before.
  app.get<{ Params: { week: string; id: string } }>('/bulletin/:week/photos/:id', async (request, reply) => {
    const none = 'There is no such photo.';
    const { week: until } = request.params;
    const stored = await db.read.bulletin.findFirst({ where: { week: until, NOT: { publishedAt: null } } });
    const { photos = [] } = JSON.parse(found(stored?.frozen ?? null, none)) as Frozen;
    const id = rowId(request.params.id);
    const photo = photos.some((one) => one.id === id)
      ? await db.read.photo.findFirst({ where: { id, removedAt: null } })
      : null;
    const { sha256, bytes } = found(photo, none);
    return reply
      .headers({ 'cache-control': 'public, max-age=3600', 'content-length': bytes })
      .type('image/jpeg')
      .send(context.files.read(sha256));
  });
}
