import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Context } from '../platform/context.ts';
import { dayWords } from '../platform/day.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly } from '../platform/http/guards.ts';
import { refuse } from '../platform/refusal.ts';
import { editBulletin } from './bulletin-acts.ts';
import { CutForm } from './edit-form.ts';
import {
  clockText,
  cutsToFit,
  overText,
  type RunningOrder,
  runningOrder,
  spanText,
} from './running-order.ts';
import { creditsText, DESCRIPTION_LENGTH, descriptionText, scriptText } from './scripts.ts';
import { storedText } from './stored-text.ts';
import type { ToldBulletin } from './told.ts';
import type { OpenWeek, WeekReader } from './week-reader.ts';

interface WeekParams {
  Params: { week: string };
}

/** Saying a week aloud: its running order, what to cut, and texts to take along. For the lead. */
export function orderRoutes(app: FastifyInstance, context: Context, weeks: WeekReader): void {
  const { baseUrl } = context.settings;

  function texts(opened: OpenWeek, told: ToldBulletin, order: RunningOrder) {
    const address = `${baseUrl}/bulletin/${opened.week.until}`;
    return {
      script: scriptText(told, order, opened.build.pace),
      description: descriptionText(told, order, { address, baseUrl }),
      credits: creditsText(told, false),
      creditsByReason: creditsText(told, true),
    };
  }

  async function orderPage(request: FastifyRequest, form: FormState, reply: FastifyReply) {
    const opened = await weeks.open(request);
    const { week, build, stored } = opened;
    const told = await weeks.told(opened);
    const order = runningOrder(told, build.pace);
    const wanted = stored?.minutes ?? build.minutes;
    const { over, cuts, still } = cutsToFit(order, wanted === null ? order.takes : wanted * 60);
    const { script, description, credits, creditsByReason } = texts(opened, told, order);
    return reply.page('bulletin/order.njk', {
      page: {
        title: 'Running order',
        sheet: `Running order, week to ${dayWords(week.until)}`,
        nav: '/bulletin',
      },
      week: week.until,
      bulletin: told.title,
      span: told.span,
      published: Boolean(stored?.publishedAt),
      items: order.items.map(({ title, words, takes, at }) => ({
        title,
        words,
        at: clockText(at),
        takes: spanText(takes),
      })),
      words: order.words,
      takes: spanText(order.takes),
      reading: spanText(order.reading),
      pace: build.pace,
      wanted: wanted === null ? '' : spanText(wanted * 60),
      over: overText(over),
      still: overText(still),
      cuts: stored?.publishedAt
        ? []
        : cuts.map((cut) => ({ ...cut, value: cut.keys.join(' '), saves: spanText(cut.saves) })),
      version: stored?.version ?? 0,
      script,
      description: description.text,
      descriptionCut: description.cut.join(', '),
      most: DESCRIPTION_LENGTH,
      credits,
      creditsByReason,
      form,
    });
  }

  app.get<WeekParams>('/bulletin/:week/order', { preHandler: leadOnly }, (request, reply) =>
    orderPage(request, freshForm(), reply),
  );

  app.post<WeekParams>('/bulletin/:week/cut', { preHandler: leadOnly }, async (request, reply) => {
    const { week } = await weeks.open(request);
    return formAct(context, request, reply, {
      schema: CutForm,
      async act(act, { version, cut }) {
        const present = await act.tx.bulletin.findUnique({ where: { week: week.until } });
        if (present && present.version !== version) {
          refuse(
            'edited-meanwhile',
            'Somebody kept another text meanwhile. What to cut of it stands below: choose again.',
          );
        }
        const text = storedText(present);
        const keys = cut.flatMap((one) => one.split(' '));
        await editBulletin(act, week.until, version, {
          ...text,
          omitted: [...new Set([...text.omitted, ...keys])],
        });
      },
      to: `/bulletin/${week.until}/order`,
      done: 'Left out. The lines are still there to be ticked again.',
      again: (form, reply) => orderPage(request, form, reply),
    });
  });

  /** The three texts by themselves, to be opened, saved or read by another program. */
  const plain = (name: string, of: (made: ReturnType<typeof texts>, query: unknown) => string) =>
    app.get<WeekParams>(`/bulletin/:week/${name}.txt`, { preHandler: leadOnly }, async (request, reply) => {
      const opened = await weeks.open(request);
      const told = await weeks.told(opened);
      const made = texts(opened, told, runningOrder(told, opened.build.pace));
      return reply
        .header('cache-control', 'no-store')
        .type('text/plain; charset=utf-8')
        .send(`${of(made, request.query).trimEnd()}\n`);
    });
  plain('script', ({ script }) => script);
  plain('description', ({ description }) => description.text);
  plain('credits', ({ credits, creditsByReason }, query) =>
    (query as { by?: unknown }).by === 'work' ? creditsByReason : credits,
  );
}
