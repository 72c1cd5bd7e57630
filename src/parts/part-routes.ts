import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Act } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop } from '../platform/http/guards.ts';
import { found } from '../platform/refusal.ts';
import { materialChoices, processChoices } from '../specs/index.ts';
import { changePart, lastChange } from './change-part.ts';
import { createPart } from './create-part.ts';
import { ButtonForm, ChangePartForm, NewPartForm, ShelfForm } from './forms.ts';
import { unitChoices } from './list-routes.ts';
import { formatMoney } from './money.ts';
import { type Part, partKinds, partPath } from './part.ts';
import { partNumberSeries } from './part-number.ts';
import type { ReadPartJobs } from './progress.ts';
import { formatQuantity, unitName } from './quantity.ts';
import { removePart, restorePart } from './remove-part.ts';
import { setShelf } from './set-shelf.ts';
import { buildFacts, partByNumber, usedNumbers } from './store.ts';
import { partAsTyped } from './uses.ts';

type OfPart = FastifyRequest<{ Params: { number: string } }>;

/** Adding, changing and removing parts, and the shelf. */
export function partRoutes(app: FastifyInstance, context: Context, readJobs: ReadPartJobs): void {
  const { db } = context;

  const partOf = async (request: OfPart): Promise<Part> =>
    found(await partByNumber(db.read, request.params.number), 'There is no part of this number.');

  const choices = async (part?: Part) => ({
    kinds: partKinds,
    units: unitChoices,
    materials: await materialChoices(db.read, part?.materialId),
    processes: await processChoices(db.read, part?.processId),
    ...(await buildFacts(db.read)),
  });

  const newPage = async (form: FormState, reply: FastifyReply) => {
    const { prefix, ...rest } = await choices();
    return reply.page('parts/new.njk', {
      page: { title: 'Add a part', nav: '/structure' },
      form,
      ...rest,
      nextNumber: partNumberSeries(prefix, await usedNumbers(db.read))(),
    });
  };

  app.get<{ Querystring: { into?: unknown } }>('/parts/new', { preHandler: shop }, (request, reply) => {
    const { into } = request.query;
    const text = typeof into === 'string' ? into.slice(0, 120) : '';
    return newPage(freshForm({ kind: 'made', unit: 'piece', into: text, quantity: text ? '1' : '' }), reply);
  });

  app.post('/parts', { preHandler: shop }, async (request, reply) => {
    const { currency } = await buildFacts(db.read);
    return formAct(context, request, reply, {
      schema: NewPartForm(currency),
      act: async (act: Act, { into, milli, ...input }) => {
        const parent = milli === null ? null : await partAsTyped(act.tx, into, 'into');
        return createPart(act, {
          ...input,
          goesInto: parent && milli !== null ? { parentId: parent.id, milli } : null,
          goesIntoField: 'into',
        });
      },
      to: ({ number }) => partPath(number),
      done: ({ number }) => `${number} is in the build.`,
      again: newPage,
    });
  });

  const editPage = async (part: Part, form: FormState, reply: FastifyReply) =>
    reply.page('parts/edit.njk', {
      page: { title: `Change ${part.number}`, nav: '/structure' },
      part,
      href: partPath(part.number),
      // After a refusal the form knows what is stored now: sent again, it is taken.
      form: { ...form, values: { ...form.values, seen: await lastChange(db.read, part.id) } },
      ...(await choices(part)),
    });

  app.get('/parts/:number/edit', { preHandler: shop }, async (request: OfPart, reply) => {
    const part = await partOf(request);
    if (part.removedAt) return reply.redirect(partPath(part.number), 303);
    const { currency } = await buildFacts(db.read);
    return editPage(part, freshForm(partValues(part, currency)), reply);
  });

  app.post('/parts/:number/edit', { preHandler: shop }, async (request: OfPart, reply) => {
    const part = await partOf(request);
    const { currency } = await buildFacts(db.read);
    return formAct(context, request, reply, {
      schema: ChangePartForm(currency),
      act: (act: Act, { seen, ...fields }) =>
        changePart(act, { partId: part.id, fields, seen: seen ?? undefined }),
      to: partPath(part.number),
      done: `${part.number} is changed.`,
      again: (form, again) => editPage(part, form, again),
    });
  });

  app.post('/parts/:number/remove', { preHandler: shop }, async (request: OfPart, reply) => {
    const part = await partOf(request);
    const { currency } = await buildFacts(db.read);
    return formAct(context, request, reply, {
      schema: ButtonForm,
      act: (act: Act) => removePart(act, part.id, (id) => readJobs().open(id)),
      to: '/structure',
      done: `${part.number} is taken out of the build. Its page and its history stay.`,
      again: ({ errors }, again) => editPage(part, { values: partValues(part, currency), errors }, again),
    });
  });

  const restorePage = (part: Part, form: FormState, reply: FastifyReply) =>
    reply.page('parts/restore.njk', {
      page: { title: `Put ${part.number} back`, nav: '/structure' },
      part,
      href: partPath(part.number),
      form,
    });

  app.post('/parts/:number/restore', { preHandler: shop }, async (request: OfPart, reply) => {
    const part = await partOf(request);
    return formAct(context, request, reply, {
      schema: ButtonForm,
      act: (act: Act) => restorePart(act, part.id),
      to: partPath(part.number),
      done: `${part.number} is back in the build.`,
      again: (form, again) => restorePage(part, form, again),
    });
  });

  const shelfPage = (part: Part, form: FormState, reply: FastifyReply) =>
    reply.page('parts/shelf.njk', {
      page: { title: `Shelf of ${part.number}`, nav: '/structure' },
      part,
      href: partPath(part.number),
      unit: unitName(part.unit),
      form,
    });

  app.get('/parts/:number/shelf', { preHandler: shop }, async (request: OfPart, reply) => {
    const part = await partOf(request);
    const quantity = part.shelfMilli === 0 ? '0' : formatQuantity(part.shelfMilli, part.unit);
    return shelfPage(part, freshForm({ quantity }), reply);
  });

  app.post('/parts/:number/shelf', { preHandler: shop }, async (request: OfPart, reply) => {
    const part = await partOf(request);
    return formAct(context, request, reply, {
      schema: ShelfForm,
      act: (act: Act, { quantity }) => setShelf(act, { partId: part.id, quantity }),
      to: partPath(part.number),
      done: ({ milli }) => `${part.number}: ${formatQuantity(milli, part.unit)} on the shelf.`,
      again: (form, again) => shelfPage(part, form, again),
    });
  });
}

/** A part as its form shows it. */
function partValues(part: Part, currency: string): Record<string, unknown> {
  return {
    ...part,
    pack: part.packMilli === null ? '' : formatQuantity(part.packMilli, part.unit),
    price: part.priceCents === null ? '' : formatMoney(part.priceCents, currency),
  };
}
