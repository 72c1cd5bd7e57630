import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { changeCharacteristic, removeCharacteristic } from './characteristics.ts';
import { ButtonForm, ChangedCharacteristicForm } from './forms.ts';

interface Named {
  Params: { id: string };
}

/** One characteristic of a draft: changed, or taken off. */
export function characteristicRoutes(app: FastifyInstance, context: Context): void {
  const { db } = context;
  const read = async (id: string) =>
    found(
      await db.read.characteristic.findFirst({
        where: { id: rowId(id), removedAt: null },
        include: { revision: { include: { part: { select: { number: true } } } } },
      }),
      'There is no such characteristic any more.',
    );

  async function page(id: string, reply: FastifyReply, typed: FormState | null): Promise<FastifyReply> {
    const { revision, ...row } = await read(id);
    const { label, text, isKey, position } = row;
    return reply.page('drawings/characteristic.njk', {
      page: {
        title: `Characteristic ${position} of ${revision.part.number} ${revision.letter}`,
        nav: '/structure',
      },
      form: typed ?? freshForm({ label, text, isKey }),
      // After a refusal both are shown: what is stored now, and what was typed.
      stored: reply.statusCode === 409 ? { label, text, isKey } : null,
      characteristic: { id: row.id, position, text },
      revision: {
        id: revision.id,
        letter: revision.letter,
        state: revision.state,
        version: revision.version,
        number: revision.part.number,
      },
    });
  }

  app.get<Named>('/characteristics/:id', { preHandler: shop }, (request, reply) =>
    page(request.params.id, reply, null),
  );

  app.post<Named>('/characteristics/:id', { preHandler: shop }, async (request, reply) => {
    const { id, revisionId } = await read(request.params.id);
    return formAct(context, request, reply, {
      schema: ChangedCharacteristicForm,
      act: (act, input) => changeCharacteristic(act, { characteristicId: id, ...input }),
      to: `/revisions/${revisionId}#characteristics`,
      done: ({ text }) => `${text} is changed.`,
      again: (form, again) => page(request.params.id, again, form),
    });
  });

  app.post<Named>('/characteristics/:id/remove', { preHandler: shop }, async (request, reply) => {
    const { id, revisionId } = await read(request.params.id);
    return formAct(context, request, reply, {
      schema: ButtonForm,
      act: (act) => removeCharacteristic(act, { characteristicId: id }),
      to: `/revisions/${revisionId}#characteristics`,
      done: ({ text }) => `${text} is taken off.`,
      again: (form, again) => page(request.params.id, again, form),
    });
  });
}
