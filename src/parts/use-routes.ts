import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Act } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop } from '../platform/http/guards.ts';
import { found } from '../platform/refusal.ts';
import { AddUseForm, ButtonForm, ChangeUseForm } from './forms.ts';
import { type Part, partPath } from './part.ts';
import { formatQuantity, unitName } from './quantity.ts';
import { partByNumber } from './store.ts';
import { addUseAsTyped, changeUse, type Line, readLine, removeUse } from './uses.ts';

type OfPart = FastifyRequest<{ Params: { number: string } }>;
type OfUse = FastifyRequest<{ Params: { useId: string } }>;

/** Putting parts into one another: the lines of the structure. */
export function useRoutes(app: FastifyInstance, context: Context): void {
  const { db } = context;

  const addPage = (parent: Part, form: FormState, reply: FastifyReply) =>
    reply.page('parts/use-add.njk', {
      page: { title: `Put a part into ${parent.number}`, nav: '/structure' },
      parent,
      href: partPath(parent.number),
      form,
    });

  const parentOf = async (request: OfPart): Promise<Part> =>
    found(await partByNumber(db.read, request.params.number), 'There is no part of this number.');

  app.get('/parts/:number/uses', { preHandler: shop }, async (request: OfPart, reply) =>
    addPage(await parentOf(request), freshForm(), reply),
  );

  app.post('/parts/:number/uses', { preHandler: shop }, async (request: OfPart, reply) => {
    const parent = await parentOf(request);
    return formAct(context, request, reply, {
      schema: AddUseForm,
      act: (act: Act, input) => addUseAsTyped(act, { ...input, parentId: parent.id }),
      to: partPath(parent.number),
      done: (_, { child, quantity }) => `${child} goes into ${parent.number}: ${quantity}.`,
      again: (form, again) => addPage(parent, form, again),
    });
  });

  const usePage = (line: Line, form: FormState, reply: FastifyReply) =>
    reply.page('parts/use.njk', {
      page: { title: `${line.child.number} in ${line.parent.number}`, nav: '/structure' },
      line,
      childHref: partPath(line.child.number),
      parentHref: partPath(line.parent.number),
      unit: unitName(line.child.unit),
      form,
    });

  const useId = (request: OfUse) => {
    const id = Number(request.params.useId);
    return Number.isSafeInteger(id) && id > 0 ? id : 0;
  };
  const pageAgain = async (request: OfUse, form: FormState, reply: FastifyReply) =>
    usePage(await readLine(db.read, useId(request)), form, reply);

  app.get('/uses/:useId', { preHandler: shop }, async (request: OfUse, reply) => {
    const line = await readLine(db.read, useId(request));
    const quantity = formatQuantity(line.use.milli, line.child.unit);
    return usePage(line, freshForm({ quantity, note: line.use.note }), reply);
  });

  // The line is read in the act alone: sent twice, the second form finds it gone and still knows where it was.
  app.post('/uses/:useId', { preHandler: shop }, async (request: OfUse, reply) =>
    formAct(context, request, reply, {
      schema: ChangeUseForm,
      act: (act: Act, input) => changeUse(act, { ...input, useId: useId(request) }),
      to: ({ parent }) => partPath(parent.number),
      done: ({ use, child, parent }) =>
        `${child.number} in ${parent.number}: ${formatQuantity(use.milli, child.unit)}.`,
      again: (form, again) => pageAgain(request, form, again),
    }),
  );

  app.post('/uses/:useId/remove', { preHandler: shop }, async (request: OfUse, reply) =>
    formAct(context, request, reply, {
      schema: ButtonForm,
      act: (act: Act) => removeUse(act, useId(request)),
      to: ({ parent }) => partPath(parent.number),
      done: ({ child, parent }) => `${child.number} is out of ${parent.number}.`,
      again: (form, again) => pageAgain(request, form, again),
    }),
  );
}
