import type { FastifyInstance, FastifyReply } from 'fastify';
import { historyLines, readLog } from '../log/index.ts';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { addChain, addLink, changeChain, changeLink, removeChain, removeLink } from './chain-acts.ts';
import { chainSources, readChaining } from './chain-reading.ts';
import { chainView } from './chain-view.ts';
import { removedOn } from './fit-routes.ts';
import { ButtonForm, ChainForm, LinkForm } from './forms.ts';
import { GROWTH_CHOICES } from './growth-choices.ts';
import { realChainView } from './real-chain-view.ts';
import { shelfReader } from './shelf.ts';
import { sideSources } from './side-store.ts';
import { sizesUnder } from './structure-sizes.ts';

const NAV = '/fits';

interface Named {
  Params: { id: string };
}
interface Picking {
  Querystring: { part?: unknown };
}

const DIRECTIONS = [
  {
    value: 'fits',
    label: 'As the fits have it',
    hint: 'the hole of a fit opens, its shaft closes; opposite to the other side, where that is in the chain',
  },
  { value: '1', label: 'Opens the gap', hint: 'longer makes the gap wider: a hole, a housing' },
  { value: '-1', label: 'Closes the gap', hint: 'longer makes it narrower: a shaft, a spacer' },
];

const LINKS = { links: { where: { removedAt: null }, orderBy: { position: 'asc' } } } as const;

const typedLine = (value: unknown) => (typeof value === 'string' ? value.trim().slice(0, 60) : '');

/** Chains: one of them with its links, adding, changing and taking off. The list stands with the fits. */
export function chainRoutes(app: FastifyInstance, context: Context): void {
  const { db } = context;
  const read = async (id: string) =>
    found(
      await db.read.chain.findFirst({
        where: { id: rowId(id), removedAt: null },
        include: LINKS,
      }),
      'There is no such chain any more.',
    );
  const readLink = async (id: string) =>
    found(
      await db.read.chainLink.findFirst({
        where: { id: rowId(id), removedAt: null, chain: { removedAt: null } },
        include: { chain: { select: { version: true } } },
      }),
      'There is no such link any more.',
    );

  const headPage = async (
    reply: FastifyReply,
    form: FormState,
    editing: { id: number; version: number } | null,
  ) => {
    const { machine } = await sideSources(db.read, []);
    return reply.page('fits/chain-form.njk', {
      page: { title: editing ? 'Change a chain' : 'A new chain', nav: NAV },
      form,
      editing,
      machine,
    });
  };

  /** What the form of a link needs: the sizes of the named part, and the fits whose play may be taken. */
  const linkChoices = async (form: FormState) => {
    const fits = await db.read.fit.findMany({
      where: { removedAt: null },
      orderBy: { id: 'desc' },
      take: 200,
    });
    return {
      picked: await sizesUnder(db.read, typedLine(form.values.part)),
      directions: DIRECTIONS,
      growths: GROWTH_CHOICES,
      fits: fits.map((fit) => ({ value: String(fit.id), label: `fit ${fit.id} ${fit.name}`.trim() })),
    };
  };

  const page = async (id: string, reply: FastifyReply, form: FormState) => {
    // what is taken off the list stays to be seen: the log leads to it
    const row = found(
      await db.read.chain.findUnique({ where: { id: rowId(id) }, include: LINKS }),
      'There is no such chain.',
    );
    const { sources, fits } = await chainSources(db.read, [row]);
    const reading = readChaining(row, sources, fits);
    const view = chainView(reading);
    return reply.page('fits/chain.njk', {
      page: { title: row.title, nav: NAV },
      chain: view,
      removedOn: removedOn(row, sources),
      real: row.removedAt ? null : realChainView(reading, shelfReader(db)),
      form,
      ...(await linkChoices(form)),
      history: historyLines(
        readLog(db, { thing: { type: 'chain', id: row.id } }, { limit: 20 }),
        sources.timeZone,
      ),
    });
  };

  app.get('/chains/new', { preHandler: shop }, (_request, reply) => headPage(reply, freshForm(), null));

  app.post('/chains', { preHandler: shop }, (request, reply) =>
    formAct(context, request, reply, {
      schema: ChainForm,
      act: addChain,
      to: (id) => `/chains/${id}`,
      done: 'The chain is on the list: add its links.',
      again: (form) => headPage(reply, form, null),
    }),
  );

  app.get<Named & Picking>('/chains/:id', { preHandler: shop }, (request, reply) =>
    page(request.params.id, reply, freshForm({ part: typedLine(request.query.part) })),
  );

  app.get<Named>('/chains/:id/change', { preHandler: shop }, async (request, reply) => {
    const row = await read(request.params.id);
    const values = Object.fromEntries(Object.entries(row).map(([name, value]) => [name, value ?? '']));
    return headPage(reply, freshForm(values), row);
  });

  app.post<Named>('/chains/:id', { preHandler: shop }, async (request, reply) => {
    const row = await read(request.params.id);
    return formAct(context, request, reply, {
      schema: ChainForm,
      act: (act, input) => changeChain(act, { id: row.id, input }),
      to: `/chains/${row.id}`,
      done: 'The chain is changed.',
      again: (form) => headPage(reply, form, row),
    });
  });

  app.post<Named>('/chains/:id/remove', { preHandler: shop }, async (request, reply) => {
    const row = await read(request.params.id);
    return formAct(context, request, reply, {
      schema: ButtonForm,
      act: (act) => removeChain(act, { id: row.id }),
      to: '/fits',
      done: (title) => `${title} is off the list.`,
      again: (form) => page(request.params.id, reply, form),
    });
  });

  app.post<Named>('/chains/:id/links', { preHandler: shop }, async (request, reply) => {
    const row = await read(request.params.id);
    return formAct(context, request, reply, {
      schema: LinkForm,
      act: (act, input) => addLink(act, { chainId: row.id, input }),
      to: `/chains/${row.id}`,
      done: (link) => `${link} is in the chain.`,
      again: (form) => page(request.params.id, reply, form),
    });
  });

  const linkPage = async (
    reply: FastifyReply,
    form: FormState,
    link: { id: number; chainId: number; chain: { version: number } },
  ) =>
    reply.page('fits/link.njk', {
      page: { title: 'Change a link', nav: NAV },
      form,
      link: { id: link.id, chainId: link.chainId, version: link.chain.version },
      ...(await linkChoices(form)),
    });

  app.get<Named & Picking>('/chain-links/:id', { preHandler: shop }, async (request, reply) => {
    const link = await readLink(request.params.id);
    const { chain: _, ...stored } = link;
    const part = link.partId === null ? null : await db.read.part.findUnique({ where: { id: link.partId } });
    const asked = request.query.part;
    const values = {
      ...Object.fromEntries(Object.entries(stored).map(([name, value]) => [name, value ?? ''])),
      part: asked === undefined ? (part?.number ?? '') : typedLine(asked),
      size:
        link.partId === null || link.characteristicPosition === null
          ? ''
          : `${link.partId}-${link.characteristicPosition}`,
      direction: link.fitId === null ? link.direction : '',
    };
    return linkPage(reply, freshForm(values), link);
  });

  app.post<Named>('/chain-links/:id', { preHandler: shop }, async (request, reply) => {
    const link = await readLink(request.params.id);
    return formAct(context, request, reply, {
      schema: LinkForm,
      act: (act, input) => changeLink(act, { id: link.id, input }),
      to: (chainId) => `/chains/${chainId}`,
      done: 'The link is changed.',
      again: (form) => linkPage(reply, form, link),
    });
  });

  app.post<Named>('/chain-links/:id/remove', { preHandler: shop }, async (request, reply) => {
    const link = await readLink(request.params.id);
    return formAct(context, request, reply, {
      schema: ButtonForm,
      act: (act) => removeLink(act, { id: link.id }),
      to: (chainId) => `/chains/${chainId}`,
      done: 'The link is taken out.',
      again: (form) => linkPage(reply, form, link),
    });
  });
}
