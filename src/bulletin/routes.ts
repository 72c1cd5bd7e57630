import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import markdownIt from 'markdown-it';
import { z } from 'zod';
import type { JobTimes } from '../jobs/index.ts';
import type { Context } from '../platform/context.ts';
import { daysBetween, dayWords, isDay } from '../platform/day.ts';
import { ids, line, number, words } from '../platform/http/fields.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found, NotFound, WrongField } from '../platform/refusal.ts';
import { editBulletin, publishBulletin } from './bulletin-acts.ts';
import type { Draft } from './draft.ts';
import type { Frozen } from './frozen.ts';
import { type ChosenPhoto, type FrozenPhoto, photosOfWeek, storedPhotos } from './photos.ts';
import { publicName, publicWords, type ThankedPerson } from './public-names.ts';
import { readBuildWeek, readDraft } from './store.ts';
import { closesWeek, recentWeeks, type Week, weekOf, weekTo } from './week.ts';

const WEEKS_LISTED = 60;
const NO_WEEK = 'There is no bulletin of this week.';
/** HTML in Markdown is shown as text; only links that a reader can trust to be links are made. */
const markdown = markdownIt({ html: false, linkify: true, breaks: true });

const version = number({ min: 0, max: 1_000_000, whole: true });
const PHOTO_WORDS = line(200);
const EditForm = z.looseObject({
  title: line(120),
  photo: ids,
  opening: words(10_000),
  closing: words(10_000),
  version,
  kept: z.preprocess(
    (value) => (value === undefined ? [] : Array.isArray(value) ? value : [value]),
    z.array(z.string().max(60)).max(5000),
  ),
  all: z.preprocess(
    (value) => (value === undefined ? [] : Array.isArray(value) ? value : [value]),
    z.array(z.string().max(60)).max(5000),
  ),
});

/** What is typed under a photo. */
const wordsField = (photoId: number) => `said-${photoId}`;

/** The ticked photos with what is said of each. @throws WrongField at the words that don't fit */
function chosenPhotos(photoIds: readonly number[], body: Record<string, unknown>): ChosenPhoto[] {
  return [...new Set(photoIds)].map((id) => {
    const read = PHOTO_WORDS.safeParse(body[wordsField(id)]);
    if (!read.success)
      throw new WrongField(wordsField(id), read.error.issues[0]?.message ?? 'This does not fit.');
    return { id, words: read.data };
  });
}

function finishWords({ finishOn, finishBefore }: Draft, near: string): string {
  if (!finishOn) return '';
  const on = `The finish is expected on ${dayWords(finishOn, near)}`;
  if (!finishBefore) return `${on}.`;
  const days = daysBetween(finishBefore, finishOn);
  if (days === 0) return `${on}, as a week before.`;
  return `${on}, ${Math.abs(days)} ${Math.abs(days) === 1 ? 'day' : 'days'} ${days > 0 ? 'later' : 'sooner'} than a week before.`;
}

/** The weekly bulletin: drafted from the log, edited by the lead, published for everyone. */
export function bulletinRoutes(app: FastifyInstance, context: Context, { times }: { times: JobTimes }): void {
  const { db } = context;

  async function readPeople(): Promise<Map<number, ThankedPerson>> {
    const people = await db.read.person.findMany({
      select: { id: true, name: true, thanksBy: true, alias: true, forgottenAt: true },
    });
    return new Map(people.map((person) => [person.id, person]));
  }

  /** What the page shows of a draft or of a frozen bulletin, with people named as they wish to be. */
  function told(
    draft: Draft,
    omitted: ReadonlySet<string>,
    people: ReadonlyMap<number, ThankedPerson>,
    near: string,
  ) {
    const thanked = draft.thanks.map(({ person, for: reason }) => ({
      name: publicName(people.get(person)),
      reason,
    }));
    return {
      sections: draft.sections.map((section) => ({
        ...section,
        lines: section.lines.map(({ key, words: pieces }) => ({
          key,
          text: publicWords(pieces, people),
          left: omitted.has(key),
        })),
      })),
      thanks: thanked.filter(({ name }) => name !== null),
      unnamed: thanked.filter(({ name }) => name === null).length,
      finish: finishWords(draft, near),
    };
  }

  app.get('/bulletin', async (request, reply) => {
    const build = await readBuildWeek(context);
    const stored = await db.read.bulletin.findMany({ orderBy: { week: 'desc' } });
    const published = stored.filter(({ publishedAt }) => publishedAt);
    const isLead = request.person?.role === 'lead';
    const byWeek = new Map(stored.map((bulletin) => [bulletin.week, bulletin]));
    const firstAct = db.hot.prepare<[], { at: string | null }>('SELECT MIN(at) AS at FROM Act').get()?.at;
    const since = firstAct ? firstAct.slice(0, 10) : build.createdOn;
    const weeks = recentWeeks(build.today, since, build.closingWeekday, WEEKS_LISTED);
    return reply.page('bulletin/list.njk', {
      page: { title: 'Bulletin', nav: '/bulletin' },
      published: published.map(({ week, title }) => ({ week, title, until: dayWords(week, build.today) })),
      weeks: isLead
        ? weeks
            .filter(({ until }) => !byWeek.get(until)?.publishedAt)
            .map(({ from, until }) => ({
              week: until,
              span: `${dayWords(from, build.today)} to ${dayWords(until, build.today)}`,
              running: until >= build.today,
              begun: byWeek.has(until),
            }))
        : [],
    });
  });

  async function openWeek(
    request: FastifyRequest,
  ): Promise<{ week: Week; build: Awaited<ReturnType<typeof readBuildWeek>> }> {
    const { week: until } = request.params as { week: string };
    const build = await readBuildWeek(context);
    if (!isDay(until)) throw new NotFound(NO_WEEK);
    const stored = await db.read.bulletin.findUnique({ where: { week: until }, select: { week: true } });
    const last = weekOf(build.today, build.closingWeekday).until;
    // A week that was kept stays reachable when the closing day is changed later.
    if (!stored && (!closesWeek(until, build.closingWeekday) || until > last)) throw new NotFound(NO_WEEK);
    return { week: weekTo(until), build };
  }

  async function editPage(request: FastifyRequest, form: FormState | null, reply: FastifyReply) {
    const { week, build } = await openWeek(request);
    const stored = await db.read.bulletin.findUnique({ where: { week: week.until } });
    const draft = await readDraft(context, { times }, week, build);
    const omitted = new Set(JSON.parse(stored?.omitted ?? '[]') as string[]);
    // What was ticked in a form that is shown again; ticks that are all off are not sent at all.
    const sent = form?.values.all === undefined ? null : new Set([form.values.kept ?? []].flat());
    const seen = told(draft, omitted, await readPeople(), build.today);
    if (sent) {
      for (const section of seen.sections)
        for (const entry of section.lines) entry.left = !sent.has(entry.key);
    }
    const people = await readPeople();
    const chosen = new Map(storedPhotos(stored?.photos).map(({ id, words: said }) => [id, said]));
    const ticked = form ? new Set([form.values.photo ?? []].flat().map(Number)) : new Set(chosen.keys());
    const photos = (await photosOfWeek(db, week, build)).map(({ id, of, person }) => ({
      id,
      of,
      href: `/photos/${id}`,
      field: wordsField(id),
      chosen: ticked.has(id),
      by: publicName(person === null ? undefined : people.get(person)),
    }));
    const said = Object.fromEntries(photos.map(({ id, field }) => [field, chosen.get(id) ?? '']));
    return reply.page('bulletin/edit.njk', {
      photos,
      page: { title: `Bulletin, week to ${dayWords(week.until, build.today)}`, nav: '/bulletin' },
      week: week.until,
      span: `${dayWords(week.from, build.today)} to ${dayWords(week.until, build.today)}`,
      running: week.until >= build.today,
      ...seen,
      empty: seen.sections.every(({ lines }) => lines.length === 0),
      version: stored?.version ?? 0,
      form:
        form ??
        freshForm({
          title: stored?.title ?? '',
          opening: stored?.opening ?? '',
          closing: stored?.closing ?? '',
          ...said,
        }),
    });
  }

  app.get<{ Params: { week: string } }>('/bulletin/:week', async (request, reply) => {
    const { week, build } = await openWeek(request);
    const stored = await db.read.bulletin.findUnique({ where: { week: week.until } });
    if (!stored?.publishedAt) {
      if (request.person?.role !== 'lead') throw new NotFound('The bulletin of this week is not published.');
      return editPage(request, null, reply);
    }
    const frozen = JSON.parse(found(stored.frozen, NO_WEEK)) as Frozen;
    const people = await readPeople();
    return reply.page('bulletin/bulletin.njk', {
      page: { title: frozen.title || `Week to ${dayWords(week.until)}`, nav: '/bulletin' },
      span: `${dayWords(week.from)} to ${dayWords(week.until)}`,
      publishedOn: dayWords(stored.publishedAt.toISOString().slice(0, 10)),
      opening: markdown.render(frozen.opening),
      closing: markdown.render(frozen.closing),
      ...told(frozen, new Set(), people, week.until),
      photos: await shownPhotos(week.until, frozen.photos ?? [], people),
      build: { name: build.name },
    });
  });

  /** The photos of a published bulletin that are still there, with who took them as they wish to be named. */
  async function shownPhotos(
    until: string,
    photos: readonly FrozenPhoto[],
    people: ReadonlyMap<number, ThankedPerson>,
  ) {
    const there = await db.read.photo.findMany({
      where: { id: { in: photos.map(({ id }) => id) }, removedAt: null },
      select: { id: true },
    });
    return photos
      .filter(({ id }) => there.some((row) => row.id === id))
      .map(({ id, words: said, width, height, person }) => ({
        href: `/bulletin/${until}/photos/${id}`,
        words: said,
        width,
        height,
        by: publicName(person === null ? undefined : people.get(person)),
      }));
  }

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

  app.post<{ Params: { week: string } }>(
    '/bulletin/:week',
    { preHandler: leadOnly },
    async (request, reply) => {
      const { week } = await openWeek(request);
      return formAct(context, request, reply, {
        schema: EditForm,
        act: (act, { title, opening, closing, kept, all, photo, version: edited, ...said }) => {
          const keep = new Set(kept);
          return editBulletin(act, week.until, edited, {
            title,
            opening,
            closing,
            omitted: all.filter((key) => !keep.has(key)),
            photos: chosenPhotos(photo, said),
          });
        },
        to: `/bulletin/${week.until}`,
        done: 'Kept. Only you see it until it is published.',
        again: (form, again) => editPage(request, form, again),
      });
    },
  );

  app.post<{ Params: { week: string } }>(
    '/bulletin/:week/publish',
    { preHandler: leadOnly },
    async (request, reply) => {
      const { week, build } = await openWeek(request);
      const draft = await readDraft(context, { times }, week, build);
      return formAct(context, request, reply, {
        schema: z.object({ version }),
        act: (act, { version: edited }) => publishBulletin(act, week, edited, draft),
        to: `/bulletin/${week.until}`,
        done: 'Published: everyone can read it at this address.',
        again: (form, again) => editPage(request, { values: {}, errors: form.errors }, again),
      });
    },
  );
}
