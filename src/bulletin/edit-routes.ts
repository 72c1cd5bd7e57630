import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { readLog } from '../log/index.ts';
import type { Context } from '../platform/context.ts';
import { dayWords } from '../platform/day.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly } from '../platform/http/guards.ts';
import { refuse } from '../platform/refusal.ts';
import { type BulletinText, editBulletin, publishBulletin } from './bulletin-acts.ts';
import { withTaken } from './differences.ts';
import { EditForm, PublishForm } from './edit-form.ts';
import {
  baseOfForm,
  chosenIds,
  differencesToShow,
  keptValues,
  photosToEdit,
  sectionsToEdit,
  thanksToEdit,
} from './edit-view.ts';
import { frozenPhotos, MOST_OF_A_WEEK, photosOfWeek } from './photos.ts';
import { publicName } from './public-names.ts';
import { cutsToFit, overText, runningOrder, spanText } from './running-order.ts';
import { shownBulletin } from './shown.ts';
import { type BulletinPorts, readDraft } from './store.ts';
import { storedText } from './stored-text.ts';
import { anythingHappened, spanWords } from './told.ts';
import { daysOf } from './week.ts';
import { type OpenWeek, seenMark, type WeekReader } from './week-reader.ts';

interface WeekParams {
  Params: { week: string };
}

/** Writing, looking at and publishing a week: for the lead. */
export function editRoutes(
  app: FastifyInstance,
  context: Context,
  ports: BulletinPorts,
  weeks: WeekReader,
  publishedPage: (opened: OpenWeek, form: FormState, reply: FastifyReply) => Promise<FastifyReply>,
) {
  const { db } = context;

  async function editPage(opened: OpenWeek, form: FormState | null, reply: FastifyReply) {
    const live = await weeks.readLive(opened);
    const { week, build, stored, told, draft } = live;
    const chosen = chosenIds(live, form);
    const listedToo = [...chosen, ...live.text.photos.map(({ id }) => id)];
    const asksAll = (reply.request.query as { photos?: unknown }).photos === 'all';
    const { listed: photos, all: photosInAll } = await photosOfWeek(
      db,
      week,
      build,
      listedToo,
      asksAll ? MOST_OF_A_WEEK : undefined,
    );
    const pace = build.pace;
    const order = runningOrder(told, pace);
    const wanted = live.text.minutes ?? build.minutes;
    const conflict =
      form?.errors._form && stored && !stored.publishedAt ? differencesToShow(live, form, photos) : [];
    return reply.page('bulletin/edit.njk', {
      page: { title: `Bulletin, week to ${dayWords(week.until, build.today)}`, nav: '/bulletin' },
      week: week.until,
      span: spanWords(week),
      shortDays: daysOf(week) < 7 ? daysOf(week) : null,
      running: week.until >= build.today,
      sections: sectionsToEdit(live, form),
      finish: told.finish,
      standsAsOf: draft.asOf ? dayWords(draft.asOf, build.today) : '',
      lateTold: draft.lateTold,
      computing: draft.computing,
      empty: !anythingHappened(draft.sections),
      people: thanksToEdit(live, form),
      photos: photosToEdit(photos, live, chosen),
      photosInAll,
      morePhotos: !asksAll && photosInAll > photos.length,
      takes: spanText(order.takes),
      pace,
      wanted: wanted === null ? '' : spanText(wanted * 60),
      tooLong: wanted === null ? '' : overText(cutsToFit(order, wanted * 60).over),
      base: baseOfForm(live, form),
      version: stored?.version ?? 0,
      published: Boolean(stored?.publishedAt),
      seen: seenMark(draft),
      conflict,
      keptBy: conflict.length ? lastEditor(week.until) : '',
      form: form ?? freshForm(keptValues(live)),
    });
  }

  /** Who kept the text that stands. */
  function lastEditor(week: string): string {
    const rows = readLog(db, { kinds: ['edit-bulletin'] }, { limit: 50 });
    const row = rows.find(({ after }) => after?.includes(`"week":"${week}"`));
    return row?.who ?? 'somebody else';
  }

  const again = async (request: FastifyRequest, form: FormState, reply: FastifyReply) =>
    editPage(await weeks.open(request), form, reply);

  app.post<WeekParams>('/bulletin/:week', { preHandler: leadOnly }, async (request, reply) => {
    const { week } = await weeks.open(request);
    return formAct(context, request, reply, {
      schema: EditForm,
      async act(act, { text, version, take }) {
        const present = await act.tx.bulletin.findUnique({ where: { week: week.until } });
        const whole: Required<BulletinText> = { own: {}, thanks: [], minutes: null, ...text };
        return editBulletin(act, week.until, version, withTaken(whole, storedText(present), take));
      },
      to: `/bulletin/${week.until}`,
      done: 'Kept. Only you see it until it is published.',
      again: (form, reply) => again(request, form, reply),
    });
  });

  app.get<WeekParams>('/bulletin/:week/preview', { preHandler: leadOnly }, async (request, reply) => {
    const opened = await weeks.open(request);
    if (opened.stored?.publishedAt) return reply.redirect(`/bulletin/${opened.week.until}`, 303);
    const live = await weeks.readLive(opened);
    const photos = (await frozenPhotos(db.read, live.text.photos)).map(({ id, person, ...photo }) => ({
      ...photo,
      href: `/photos/${id}`,
      by: publicName(person === null ? undefined : live.people.get(person)),
    }));
    return reply.page('bulletin/preview.njk', {
      page: { title: live.told.title, sheet: 'Preview of the bulletin', nav: '/bulletin' },
      week: opened.week.until,
      told: shownBulletin(live.told),
      photos,
      running: opened.week.until >= opened.build.today,
      computing: live.draft.computing,
      version: opened.stored?.version ?? 0,
      seen: seenMark(live.draft),
      empty: !anythingHappened(live.draft.sections),
    });
  });

  app.post<WeekParams>('/bulletin/:week/publish', { preHandler: leadOnly }, async (request, reply) => {
    const { week, build, stored } = await weeks.open(request);
    // Worked out before the act: a transaction does not wait for it.
    const moved = ports.finishMoved && !stored?.publishedAt ? await ports.finishMoved.now(week) : undefined;
    const draft = await readDraft(context, ports, week, build, storedText(stored).thanks, moved);
    return formAct(context, request, reply, {
      schema: PublishForm,
      async act(act, { version, seen }) {
        await publishBulletin(act, week, version, draft);
        if (seen && seen !== seenMark(draft)) {
          refuse(
            'more-since',
            'Since you looked, something came in or changed. It stands in the draft now: look at it, and publish again.',
          );
        }
      },
      to: `/bulletin/${week.until}`,
      done: 'Published: everyone can read it at this address.',
      again: async (form, reply) => {
        const opened = await weeks.open(request);
        // Somebody else was sooner: what they published is what there is.
        if (opened.stored?.publishedAt) return publishedPage(opened, form, reply);
        const kept = keptValues(await weeks.readLive(opened));
        return editPage(opened, { values: { ...kept, ...sentMarks(opened) }, errors: form.errors }, reply);
      },
    });
  });

  return { editPage };
}

/** Where only the publishing was refused, everything stays ticked as it is kept. */
function sentMarks({ stored }: OpenWeek): Record<string, unknown> {
  return { photo: storedText(stored).photos.map(({ id }) => String(id)) };
}
