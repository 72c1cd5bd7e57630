import type { FastifyInstance } from 'fastify';
import type { Context } from '../platform/context.ts';
import { dayIn, dayWords } from '../platform/day.ts';
import { freshForm } from '../platform/http/form.ts';
import { shop, signedIn } from '../platform/http/guards.ts';
import { ListAddress, StructureAddress } from './forms.ts';
import { partKinds, partPath, partUnits } from './part.ts';
import { findsPart } from './part-words.ts';
import { partsList } from './parts-list.ts';
import type { ReadPartJobs, ReadyAt80 } from './progress.ts';
import { unitName } from './quantity.ts';
import { buildFacts } from './store.ts';
import { mostDepth, structureAddress, structureTree } from './structure-page.ts';
import { structureGraph } from './structure-reader.ts';
import { structureTotals } from './structure-totals.ts';

const suggestions = 12;

/** The structure as a tree, the parts as a list, and the suggestions of the boxes for a part number. */
export function listRoutes(
  app: FastifyInstance,
  { db, clock }: Context,
  readJobs: ReadPartJobs,
  readyAt80: ReadyAt80,
): void {
  app.get('/structure', { preHandler: signedIn }, async (request, reply) => {
    const question = StructureAddress.parse(request.query);
    const graph = structureGraph(db.hot);
    const { currency, timeZone } = await buildFacts(db.read);
    const jobs = readJobs();
    const from = question.from === '' ? null : graph.byNumber(question.from);
    const today = dayIn(timeZone, clock.now());
    const tree = structureTree(graph, { ...question, from: from?.number ?? '' }, jobs, (partId) => {
      const day = readyAt80(partId);
      return day && dayWords(day, today);
    });
    const at = (page: number) => structureAddress({ ...question, page });
    return reply.page('parts/structure.njk', {
      page: { title: from ? `Structure of ${from.number}` : 'Structure', nav: '/structure' },
      tree,
      question,
      from: from && { number: from.number, name: from.name, href: partPath(from.number) },
      currency,
      totals: structureTotals(graph, from?.id ?? null, currency),
      loose: {
        count: graph.loose.length,
        rows: graph.loose.slice(0, 30).map((id) => {
          const { number, name, kind } = graph.parts.get(id)!;
          return { number, name, kind, href: partPath(number) };
        }),
      },
      anyParts: graph.parts.size > 0,
      pager: {
        page: tree.page,
        pages: tree.pages,
        prev: tree.page > 1 ? at(tree.page - 1) : '',
        next: tree.page < tree.pages ? at(tree.page + 1) : '',
        text: `${tree.rows}${tree.more ? ' and more' : ''} lines`,
      },
      filter: freshForm({ ...question, depth: question.depth ?? '' }),
      kinds: partKinds,
      depths: Array.from({ length: mostDepth }, (_, at) => ({ value: at + 1, label: String(at + 1) })),
      adding: freshForm({ kind: 'made', unit: 'piece', into: from?.number ?? '' }),
      units: unitChoices,
      mayEdit: request.person?.role !== 'maker',
    });
  });

  app.get('/parts', { preHandler: signedIn }, async (request, reply) => {
    const question = ListAddress.parse(request.query);
    const graph = structureGraph(db.hot);
    return reply.page('parts/list.njk', {
      page: { title: 'Parts', nav: '/structure' },
      list: partsList(graph, question, readJobs()),
      question,
      filter: freshForm({ ...question }),
      kinds: partKinds,
      loose: graph.loose.length,
      anyParts: graph.parts.size > 0,
      mayEdit: request.person?.role !== 'maker',
    });
  });

  // The boxes send what is typed under their own name.
  app.get<{ Querystring: Record<string, unknown> }>(
    '/parts/suggest',
    { preHandler: shop },
    (request, reply) => {
      const typed = request.query.child ?? request.query.into;
      const text = typeof typed === 'string' ? typed.trim().slice(0, 120) : '';
      const found = [];
      if (text !== '') {
        const finds = findsPart(text);
        for (const part of structureGraph(db.hot).parts.values()) {
          if (finds(part)) found.push({ number: part.number, name: part.name });
          if (found.length === suggestions) break;
        }
      }
      return reply.page('parts/_suggest.njk', { page: { title: 'Suggestions' }, found });
    },
  );
}

export const unitChoices = partUnits.map((unit) => ({ value: unit, label: unitName(unit) }));
