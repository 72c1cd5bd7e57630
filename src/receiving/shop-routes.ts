import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { FactsReader } from '../jobs/index.ts';
import type { Context } from '../platform/context.ts';
import { dayIn } from '../platform/day.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { contentsWords } from './contents-words.ts';
import { arrivalForm, countForm } from './forms.ts';
import { readReceiving } from './list-page.ts';
import { type ParcelPage, readParcelPage } from './parcel-page.ts';
import { countParcels, readParcels } from './parcels-reader.ts';
import { countParcel, receiveParcel } from './receive-parcel.ts';
import { zoneOf } from './store.ts';

const PAGE_ROWS = 50;
const NAV = '/receiving';

interface OfId {
  Params: { id: string };
}

/** The forms on a parcel's page that came back wrong, by name: 'arrival', 'count', 'write-off', 'give-up-12'. */
export type ParcelForms = Record<string, FormState>;

/** Shows a parcel's page; with forms that came back, as they were typed. */
export type ShowParcel = (
  request: FastifyRequest,
  reply: FastifyReply,
  parcelId: number,
  forms?: ParcelForms,
) => Promise<FastifyReply>;

function freshForms(parcel: ParcelPage, today: string): ParcelForms {
  const counts = Object.fromEntries(parcel.lines.map(({ id, countedFigure }) => [`c-${id}`, countedFigure]));
  const forms: ParcelForms = {
    arrival: freshForm({ arrivedOn: today, counting: 'now' }),
    count: freshForm(counts),
    'write-off': freshForm(),
  };
  for (const { claimId, figure } of parcel.short) {
    forms[`give-up-${claimId}`] = freshForm({ quantity: figure });
  }
  return forms;
}

/** What shows a parcel's page to the shop and to its maker. */
export function parcelShower(context: Context, facts: FactsReader): ShowParcel {
  const { db, clock } = context;
  return async (request, reply, parcelId, forms = {}) => {
    const person = found(request.person, 'Sign in to see parcels.');
    const today = dayIn(await zoneOf(db.read), clock.now());
    const parcel = await readParcelPage({ db, facts }, parcelId, today, person);
    const isShop = person.role !== 'maker';
    return reply.page('receiving/parcel.njk', {
      page: { title: `Parcel ${parcelId}`, nav: isShop ? NAV : '/' },
      parcel,
      isShop,
      isLead: person.role === 'lead',
      forms: { ...freshForms(parcel, today), ...forms },
    });
  };
}

/** The receiving bench, for lead and crew: parcels expected and here, and the count. */
export function shopRoutes(
  app: FastifyInstance,
  context: Context,
  facts: FactsReader,
  showParcel: ShowParcel,
): void {
  const { db, clock } = context;
  const guard = { preHandler: shop };
  const person = (request: FastifyRequest) => found(request.person, 'Sign in first.');

  app.get('/receiving', guard, async (request, reply) => {
    const today = dayIn(await zoneOf(db.read), clock.now());
    return reply.page('receiving/receiving.njk', {
      page: { title: 'Receiving', nav: NAV },
      ...(await readReceiving(db, facts, today, person(request))),
    });
  });

  app.get<{ Querystring: { page?: string } }>('/receiving/parcels', guard, async (request, reply) => {
    const number = rowId(request.query.page) || 1;
    const total = countParcels(db, 'all');
    const pages = Math.max(1, Math.ceil(total / PAGE_ROWS));
    const address = (to: number) => `/receiving/parcels?page=${to}`;
    return reply.page('receiving/parcels.njk', {
      page: { title: 'All parcels', nav: NAV },
      parcels: readParcels(db, 'all', [], { limit: PAGE_ROWS, offset: (number - 1) * PAGE_ROWS }).map(
        (parcel) => ({
          ...parcel,
          href: `/receiving/parcels/${parcel.id}`,
          contents: contentsWords(parcel.lines),
        }),
      ),
      isShop: true,
      pager: {
        page: number,
        pages,
        prev: number > 1 ? address(number - 1) : '',
        next: number < pages ? address(number + 1) : '',
        text: `${total} ${total === 1 ? 'parcel' : 'parcels'}`,
      },
    });
  });

  app.get<OfId>('/receiving/parcels/:id', guard, (request, reply) =>
    showParcel(request, reply, rowId(request.params.id)),
  );

  const linesOf = (parcelId: number) =>
    found(readParcels(db, 'one', [parcelId])[0], 'There is no such parcel.').lines;

  app.post<OfId>('/receiving/parcels/:id/arrival', guard, async (request, reply) => {
    const parcelId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: arrivalForm(linesOf(parcelId)),
      act: (act, input) => receiveParcel(act, { parcelId, ...input }),
      to: (_, { counts }) => (counts ? `/receiving/parcels/${parcelId}` : '/receiving'),
      done: (_, { counts }) => (counts ? 'Taken in and counted.' : 'Taken in. Count it when you get to it.'),
      again: (form, again) => showParcel(request, again, parcelId, { arrival: form }),
    });
  });

  app.post<OfId>('/receiving/parcels/:id/count', guard, async (request, reply) => {
    const parcelId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: countForm(linesOf(parcelId)),
      act: (act, input) => countParcel(act, { parcelId, ...input }),
      to: `/receiving/parcels/${parcelId}`,
      done: 'Counted.',
      again: (form, again) => showParcel(request, again, parcelId, { count: form }),
    });
  });
}
