import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { partByNumber, structureGraph } from '../parts/index.ts';
import type { Context } from '../platform/context.ts';
import { line } from '../platform/http/fields.ts';
import { type FormState, freshForm, readForm, typedValues } from '../platform/http/form.ts';
import { shop, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { PickForm } from './forms.ts';
import { likelyDoubles } from './problem-doubles.ts';
import type { ShowForm } from './problem-form-page.ts';
import { foundParts, levelOf, MOST_FOUND, MOST_OF_LEVEL, placeOfPart } from './problem-pick.ts';

/** Fields of the form of a problem that are carried along while its place is looked for. */
const CARRIED = [
  ...['title', 'words', 'severity', 'occurrence', 'detection', 'often', 'part', 'job', 'seenById', 'seenOn'],
  ...['problem', 'seen', 'withoutPhotos'],
];

const LikelyAddress = z.object({ title: line(120), part: line(40) });

/** The form of the problem that is being changed, where it is one. */
export type ShowEdit = (
  request: FastifyRequest,
  reply: FastifyReply,
  problemId: number,
  form: FormState,
) => Promise<FastifyReply>;

/** Where a problem is: the structure a level at a time, with what was typed carried along; and likely doubles. */
export function problemPickRoutes(
  app: FastifyInstance,
  { db }: Context,
  { showForm, showEdit }: { showForm: ShowForm; showEdit: ShowEdit },
): void {
  const carriedOf = (body: unknown): Record<string, unknown> => {
    const typed = typedValues(body);
    return Object.fromEntries(
      CARRIED.flatMap((name) => {
        const value = typed[name];
        return value === undefined || value === '' ? [] : [[name, value]];
      }),
    );
  };

  const wherePage = (request: FastifyRequest, reply: FastifyReply, asked: unknown, body: unknown) => {
    const read = readForm(PickForm, asked);
    const question = read.fits ? read.input : { in: '', q: '' };
    const form = read.fits ? freshForm({ q: question.q }) : read.form;
    if (!read.fits) reply.code(422);
    const graph = structureGraph(db.hot);
    const level = levelOf(graph, question.in);
    const carried = carriedOf(body);
    // A form that is sent without its files names the pictures that were chosen, so that they can be asked for again.
    const photos = [typedValues(body).photos ?? []].flat().filter((name) => name !== '').length;
    return reply.page('problems/problem-where.njk', {
      page: {
        title: 'Where the problem is',
        nav: request.person!.role === 'maker' ? '/board' : '/problems',
      },
      form,
      level,
      inside: level.at?.number ?? '',
      found: question.q && !question.in ? withPaths(graph, foundParts(graph, question.q)) : null,
      limits: { found: MOST_FOUND, level: MOST_OF_LEVEL },
      carried: Object.entries(carried).flatMap(([name, value]) =>
        [value].flat().map((one) => ({ name, value: one })),
      ),
      photos,
      anyParts: graph.parts.size > 0,
      back: rowId(carried.problem) ? `/problems/${rowId(carried.problem)}/change` : '/problems/new',
    });
  };

  app.get('/problems/new/where', { preHandler: signedIn }, (request, reply) =>
    wherePage(request, reply, request.query, request.query),
  );

  app.post('/problems/new/where', { preHandler: signedIn }, (request, reply) =>
    wherePage(request, reply, request.body, request.body),
  );

  // Back from looking for the place: the form as it was left, with the part that was chosen. Nothing is stored yet.
  app.post('/problems/new', { preHandler: signedIn }, (request, reply) => {
    const { problem, ...values } = carriedOf(request.body);
    const { pick } = typedValues(request.body);
    const part = typeof pick === 'string' && pick !== '' ? pick.slice(0, 40) : values.part;
    const form = freshForm({ ...values, part });
    const problemId = rowId(problem);
    return problemId ? showEdit(request, reply, problemId, form) : showForm(request, reply, form, null);
  });

  // What is typed is compared while one types, where the browser runs scripts; else on the page of the problem.
  app.get('/problems/likely', { preHandler: shop }, async (request, reply) => {
    const read = readForm(LikelyAddress, request.query);
    const { title, part: number } = read.fits ? read.input : { title: '', part: '' };
    const part = number ? await partByNumber(db.read, number) : null;
    const known = await db.read.problem.findMany({
      where: { removedAt: null, acceptedAt: null, curedAt: null, sameAsId: null },
      select: { id: true, title: true, partId: true },
    });
    return reply.page('problems/_problem-likely.njk', {
      page: { title: 'Likely the same' },
      likely: likelyDoubles({ title, partId: part?.id ?? null }, known),
    });
  });
}

function withPaths(graph: ReturnType<typeof structureGraph>, { parts, more }: ReturnType<typeof foundParts>) {
  return {
    parts: parts.map((part) => {
      const path = placeOfPart(graph, graph.byNumber(part.number)!.id)?.path ?? [];
      return { ...part, path: path.slice(0, -1).map(({ name }) => name) };
    }),
    more,
  };
}
