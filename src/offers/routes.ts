import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { linkKeyOf } from '../accounts/index.ts';
import { limitsTable } from '../drawings/index.ts';
import { formatQuantity, parseQuantity, type Unit } from '../parts/index.ts';
import type { Context } from '../platform/context.ts';
import { type Day, dayIn } from '../platform/day.ts';
import { type FormState, freshForm, typedValues } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found, NotFound, WrongField } from '../platform/refusal.ts';
import { dataSecret } from '../platform/secret.ts';
import { cautionsFor } from '../specs/index.ts';
import { declineStranger, offerToMake, takeStranger } from './ask-acts.ts';
import { callText } from './call-text.ts';
import { AskForm, TakeForm } from './forms.ts';
import { openOffer, openOffers } from './open-offers.ts';
import { robotSign, shownMark } from './robot-guard.ts';
import { ownSuitabilityReader, type SuitsPorts } from './who-can-make.ts';

const NO_OFFER = 'This offer is not open: all of it is taken, or it was never offered.';

interface OfferParams {
  Params: { number: string };
}

function readQuantity(text: string, unit: Unit): number {
  const read = parseQuantity(text, unit);
  if (!read.ok) throw new WrongField('quantity', read.sentence);
  return read.milli;
}

/** The public offers, what strangers write on them, and what the lead makes of that. */
export function offerRoutes(app: FastifyInstance, context: Context, ports: SuitsPorts): void {
  const { times } = ports;
  const { db, clock, settings } = context;
  const linkKey = linkKeyOf(settings.dataDir);
  const markKey = dataSecret(settings.dataDir, 'asks');
  const jobId = (request: FastifyRequest) => rowId((request.params as { number: string }).number);

  async function readBuild() {
    const build = await db.read.build.findUniqueOrThrow({ where: { id: 1 } });
    return { build, today: dayIn(build.timeZone, clock.now()) };
  }

  const readOwn = ownSuitabilityReader(context, ports);

  async function ownSuitability(request: FastifyRequest, jobIds: readonly number[]) {
    const { build, today } = await readBuild();
    return request.person && readOwn(request.person, jobIds, { today, timeZone: build.timeZone });
  }

  app.get('/offers', async (request, reply) => {
    const { build, today } = await readBuild();
    const offers = await openOffers(db, times, request.person, today);
    const own = await ownSuitability(
      request,
      offers.map(({ id }) => id),
    );
    const waiting =
      request.person?.role === 'lead' ? await db.read.strangerOffer.count({ where: { settledAt: null } }) : 0;
    return reply.page('offers/offers.njk', {
      page: { title: 'Offers', nav: '/offers' },
      about: build.about,
      offers: offers.map((offer) => ({ ...offer, suits: own?.of.get(offer.id) ?? null })),
      hasTools: own?.hasTools ?? false,
      hasSuits: offers.some(({ id }) => own?.of.has(id)),
      isLead: request.person?.role === 'lead',
      waiting,
    });
  });

  async function readOffer(request: FastifyRequest, today: Day) {
    return found(await openOffer(db, times, request.person, jobId(request), today), NO_OFFER);
  }

  async function offerPage(request: FastifyRequest, form: FormState, reply: FastifyReply) {
    const { build, today } = await readBuild();
    const offer = await readOffer(request, today);
    const revision = found(
      await db.read.revision.findUnique({
        where: { id: offer.revisionId },
        include: { documents: { where: { removedAt: null }, orderBy: { id: 'asc' } } },
      }),
      NO_OFFER,
    );
    const queries = await db.read.query.findMany({
      where: { jobId: offer.id, answer: { not: null } },
      orderBy: { id: 'asc' },
    });
    const own = await ownSuitability(request, [offer.id]);
    const { lengthUnit } = request.person ?? { lengthUnit: 'mm' as const };
    return reply.page('offers/offer.njk', {
      page: { title: offer.title, sheet: `Offer ${offer.id}`, nav: '/offers' },
      about: build.about,
      offer,
      suits: own?.of.get(offer.id) ?? null,
      revision: { finish: revision.finish, notes: revision.notes },
      files: revision.documents.map(({ id, name, kind, bytes }) => ({
        name,
        href: `/documents/${id}`,
        kind,
        size: bytes < 1_000_000 ? `${Math.ceil(bytes / 1000)} kB` : `${(bytes / 1_000_000).toFixed(1)} MB`,
      })),
      table: await limitsTable(db, offer.revisionId, lengthUnit),
      safety: await cautionsFor(db, {
        materialId: revision.materialId,
        processId: revision.processId,
        words: [revision.finish, revision.notes, offer.title].join(' '),
      }),
      queries: queries.map(({ question, answer }) => ({ question, answer })),
      isVisitor: request.person === null,
      isLead: request.person?.role === 'lead',
      shown: shownMark(markKey, clock.now()),
      form,
    });
  }

  app.get<OfferParams>('/offers/:number', (request, reply) => {
    if (request.person) return offerPage(request, freshForm(), reply);
    return offerPage(request, freshForm({ soonestDays: '', likelyDays: '', latestDays: '' }), reply);
  });

  app.post<OfferParams>(
    '/offers/:number',
    { config: { rateLimit: { max: 12, timeWindow: '1 hour' } } },
    async (request, reply) => {
      const { today } = await readBuild();
      const offer = await readOffer(request, today);
      const { shown, website } = typedValues(request.body) as { shown?: unknown; website?: unknown };
      const sign = robotSign(markKey, String(shown ?? ''), String(website ?? ''), clock.now());
      if (sign) {
        const form = { values: typedValues(request.body), errors: { _form: sign } };
        return offerPage(request, form, reply.code(422));
      }
      return formAct(context, request, reply, {
        schema: AskForm,
        act: (act, { quantity, shown: _, website: __, ...ask }) =>
          offerToMake(act, { ...ask, jobId: offer.id, milli: readQuantity(quantity, offer.unit) }),
        to: '/offers/thanks',
        again: (form, again) => offerPage(request, form, again),
      });
    },
  );

  app.get('/offers/thanks', (_request, reply) =>
    reply.page('offers/thanks.njk', { page: { title: 'Thank you', nav: '/offers' } }),
  );

  app.get<OfferParams>('/offers/:number/call', { preHandler: leadOnly }, async (request, reply) => {
    const { build, today } = await readBuild();
    const offer = await readOffer(request, today);
    return reply.page('offers/call.njk', {
      page: { title: 'Call for makers', nav: '/offers' },
      offer,
      text: callText(build, offer, `${settings.baseUrl}/offers/${offer.id}`),
    });
  });

  async function waitingPage(form: FormState & { askId?: number }, reply: FastifyReply) {
    const { build } = await readBuild();
    const asks = await db.read.strangerOffer.findMany({
      where: { settledAt: null },
      include: { job: { include: { part: true } } },
      orderBy: { id: 'asc' },
    });
    return reply.page('offers/waiting.njk', {
      page: { title: 'Strangers who offer to make', nav: '/offers' },
      asks: asks.map((ask) => ({
        id: ask.id,
        jobId: ask.jobId,
        title: ask.job.title,
        name: ask.name,
        reach: ask.reach,
        country: ask.country,
        tools: ask.tools,
        words: ask.words,
        quantity: formatQuantity(ask.milli, (ask.job.part?.unit ?? 'piece') as Unit),
        promise: `${ask.soonestDays} / ${ask.likelyDays} / ${ask.latestDays} d`,
        since: dayIn(build.timeZone, ask.at),
        form:
          form.askId === ask.id
            ? form
            : freshForm({ quantity: formatQuantity(ask.milli, (ask.job.part?.unit ?? 'piece') as Unit) }),
      })),
      form: form.askId === undefined ? form : freshForm(),
    });
  }

  app.get('/offers/waiting', { preHandler: leadOnly }, (_request, reply) => waitingPage(freshForm(), reply));

  const askId = (request: FastifyRequest) => rowId((request.params as { ask: string }).ask);

  app.post<{ Params: { ask: string } }>(
    '/offers/waiting/:ask/take',
    { preHandler: leadOnly },
    async (request, reply) => {
      const ask = await db.read.strangerOffer.findUnique({
        where: { id: askId(request) },
        include: { job: { include: { part: true } } },
      });
      if (!ask) throw new NotFound('There is no such offer.');
      return formAct(context, request, reply, {
        schema: TakeForm,
        act: (act, { quantity }) =>
          takeStranger(act, {
            askId: ask.id,
            milli: readQuantity(quantity, (ask.job.part?.unit ?? 'piece') as Unit),
            linkKey,
          }),
        to: (ticket) => `/people/links/${ticket}`,
        done: 'The account is made and the claim is theirs. Hand this link over.',
        again: (form, again) => waitingPage({ ...form, askId: ask.id }, again),
      });
    },
  );

  app.post<{ Params: { ask: string } }>(
    '/offers/waiting/:ask/decline',
    { preHandler: leadOnly },
    (request, reply) =>
      formAct(context, request, reply, {
        schema: z.object({}),
        act: (act) => declineStranger(act, askId(request)),
        to: '/offers/waiting',
        done: 'Declined. Tell them yourself: what they wrote is gone from here.',
        again: (form, again) => waitingPage({ ...form, askId: askId(request) }, again),
      }),
  );
}
