import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { FactsReader } from '../jobs/index.ts';
import { readClaim } from '../jobs/index.ts';
import type { Context } from '../platform/context.ts';
import { dayIn } from '../platform/day.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { contentsWords } from './contents-words.ts';
import { GiveUpForm, parcelForm, WriteOffForm } from './forms.ts';
import { giveUpShort } from './give-up-short.ts';
import { readParcels } from './parcels-reader.ts';
import { postParcel } from './post-parcel.ts';
import { writeOffParcel } from './receive-parcel.ts';
import { quantityOrWrong } from './say.ts';
import type { ShowParcel } from './shop-routes.ts';
import { zoneOf } from './store.ts';
import { heldBack, readPostParcel, toPost } from './to-post.ts';

interface OfId {
  Params: { id: string };
}

/** Parcels as their makers see them: posting, what became of them. Lead and crew may write one down for a maker. */
export function parcelRoutes(
  app: FastifyInstance,
  context: Context,
  facts: FactsReader,
  showParcel: ShowParcel,
): void {
  const { db, clock } = context;
  const guard = { preHandler: signedIn };
  const person = (request: FastifyRequest) => found(request.person, 'Sign in first.');

  app.get('/parcels', guard, async (request, reply) => {
    const { id } = person(request);
    return reply.page('receiving/parcels.njk', {
      page: { title: 'Your parcels', nav: '/' },
      parcels: readParcels(db, 'from', [id], { limit: 200, offset: 0 }).map((parcel) => ({
        ...parcel,
        href: `/parcels/${parcel.id}`,
        contents: contentsWords(parcel.lines),
      })),
      toPost: toPost(db, facts.all(), id).length,
      isShop: false,
      pager: { page: 1, pages: 1 },
    });
  });

  /** Whose work a form is about: lead and crew may name a maker, others are themselves. */
  function makerOf(request: FastifyRequest, named: unknown): number {
    const { id, role } = person(request);
    return role === 'maker' ? id : rowId(named) || id;
  }

  async function showNew(
    request: FastifyRequest,
    reply: FastifyReply,
    makerId: number,
    form?: FormState,
    claimId = 0,
  ): Promise<FastifyReply> {
    const { id, role } = person(request);
    const post = await readPostParcel(db, facts, makerId, id);
    const today = dayIn(await zoneOf(db.read), clock.now());
    const only = post?.lines.some((line) => line.claimId === claimId) ? claimId : null;
    const quantities = (post?.lines ?? [])
      .filter((line) => only === null || line.claimId === only)
      .map((line) => [`q-${line.claimId}`, line.figure]);
    return reply.page('receiving/new-parcel.njk', {
      page: { title: 'Post a parcel', nav: role === 'maker' ? '/' : '/receiving' },
      post,
      held: heldBack(facts.all(), makerId),
      isShop: role !== 'maker',
      makers: role === 'maker' || post ? [] : await makersWithWork(),
      form: form ?? freshForm({ sentOn: today, ...Object.fromEntries(quantities) }),
    });
  }

  async function makersWithWork() {
    const ids = [...new Set(toPost(db, facts.all(), null).map(({ makerId }) => makerId))];
    return db.read.person.findMany({
      where: { id: { in: ids } },
      select: { id: true, name: true },
      orderBy: { name: 'asc' },
    });
  }

  app.get<{ Querystring: { maker?: string; claim?: string } }>('/parcels/new', guard, (request, reply) =>
    showNew(request, reply, makerOf(request, request.query.maker), undefined, rowId(request.query.claim)),
  );

  app.post('/parcels', guard, (request, reply) => {
    const { maker } = (request.body ?? {}) as { maker?: unknown };
    const fromId = makerOf(request, maker);
    const isShop = person(request).role !== 'maker';
    const claims = facts
      .all()
      .flatMap((job) =>
        job.claims.filter(({ personId }) => personId === fromId).map((claim) => ({ job, claim })),
      );
    const units = toPost(
      db,
      claims.map(({ job }) => job),
      fromId,
    );
    const unitOfClaim = new Map(units.map(({ claimId, unit }) => [claimId, unit]));
    return formAct(context, request, reply, {
      schema: parcelForm(
        claims.map(({ claim }) => ({ id: claim.id, unit: unitOfClaim.get(claim.id) ?? 'piece' })),
      ),
      act: (act, { lines, sentOn, carrier, tracking, note }) =>
        postParcel(act, { fromId, lines, sentOn, carrier, tracking, note }),
      to: (parcelId) => (isShop ? `/receiving/parcels/${parcelId}` : `/parcels/${parcelId}`),
      done: 'Written down: it is in the post.',
      again: (form, again) => showNew(request, again, fromId, form),
    });
  });

  app.get<OfId>('/parcels/:id', guard, (request, reply) => {
    const parcelId = rowId(request.params.id);
    return person(request).role === 'maker'
      ? showParcel(request, reply, parcelId)
      : reply.redirect(`/receiving/parcels/${parcelId}`, 303);
  });

  app.post<OfId>('/parcels/:id/write-off', guard, (request, reply) => {
    const parcelId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: WriteOffForm,
      act: (act, { note }) => writeOffParcel(act, { parcelId, note }),
      to: `/parcels/${parcelId}`,
      done: 'Written off. What was in it is with its maker again.',
      again: (form, again) => showParcel(request, again, parcelId, { 'write-off': form }),
    });
  });

  app.post<{ Params: { id: string; claimId: string } }>(
    '/parcels/:id/short/:claimId',
    guard,
    (request, reply) => {
      const parcelId = rowId(request.params.id);
      const claimId = rowId(request.params.claimId);
      return formAct(context, request, reply, {
        schema: GiveUpForm,
        async act(act, { quantity, words }) {
          found(
            await act.tx.parcelItem.findUnique({ where: { parcelId_claimId: { parcelId, claimId } } }),
            'There is no such line of a parcel.',
          );
          const { unit } = await readClaim(act.tx, claimId);
          await giveUpShort(act, { claimId, milli: quantityOrWrong(quantity, unit), words });
        },
        to: `/parcels/${parcelId}`,
        done: 'Back in the offer, to be made again.',
        again: (form, again) => showParcel(request, again, parcelId, { [`give-up-${claimId}`]: form }),
      });
    },
  );
}
