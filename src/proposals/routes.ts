import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { factsOfFiles } from '../models/index.ts';
import { partPath } from '../parts/index.ts';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { readKnown, readSaid } from './known.ts';
import { type Proposal, type ProposedLine, proposeStructure } from './propose.ts';
import { type Taken, takeLines } from './take-lines.ts';

interface OfId {
  Params: { id: string };
}

const MOST_LINES = 5000;
const list = z.preprocess(
  (value) => (value === undefined ? [] : Array.isArray(value) ? value : [value]),
  z.array(z.string().max(1000)).max(MOST_LINES),
);
const TakeForm = z.looseObject({ take: list });

/** What was typed beside products, by their fields. */
function namedIn(body: unknown): Map<string, string> {
  const fields = Object.entries((body ?? {}) as Record<string, unknown>);
  return new Map(
    fields.flatMap(([name, value]) =>
      /^as-[0-9a-f]{12}$/.test(name) && typeof value === 'string' ? [[name, value.slice(0, 200)]] : [],
    ),
  );
}

function takenWords({ created, added, changed, removed }: Taken): string {
  const count = (n: number, one: string, many: string) => (n === 0 ? [] : [`${n} ${n === 1 ? one : many}`]);
  const told = [
    ...count(added, 'line added', 'lines added'),
    ...count(changed, 'quantity changed', 'quantities changed'),
    ...count(removed, 'line taken out', 'lines taken out'),
    ...count(created.length, 'part is new', 'parts are new'),
  ];
  return told.length ? `${told.join(', ')}.` : 'Nothing was left to do: the structure is so already.';
}

/** The structure that an assembly's model proposes, shown beside what is there, and taken over. */
export function proposalRoutes(app: FastifyInstance, context: Context): void {
  const { db } = context;
  const guard = { preHandler: shop };

  async function readModel(request: FastifyRequest<OfId>) {
    const document = found(
      await db.read.document.findFirst({
        where: { id: rowId(request.params.id), removedAt: null, fileKind: 'step' },
        include: { revision: { include: { part: true } } },
      }),
      'There is no such STEP file.',
    );
    const known = (await factsOfFiles(db, [document.sha256])).get(document.sha256);
    const isRead = known?.state === 'read';
    const tree = isRead ? (known.facts.step?.tree ?? []) : [];
    return { document, part: document.revision.part, tree, isRead };
  }

  async function show(
    request: FastifyRequest<OfId>,
    reply: FastifyReply,
    form: FormState | null,
  ): Promise<FastifyReply> {
    const { document, part, tree, isRead } = await readModel(request);
    const { parts, uses } = await readKnown(db.read);
    const top = found(
      parts.find(({ id }) => id === part.id),
      'This part is not in the build any more.',
    );
    const proposal = proposeStructure(tree, top, parts, uses, await readSaid(db.read, part.id));
    const open = proposal.lines.filter(({ state }) => state !== 'same');
    // Fresh: everything the model has is ticked, while what it lacks stays, as glue and screws are seldom drawn.
    const ticked = form
      ? new Set([form.values.take ?? []].flat().map(String))
      : new Set(open.filter(({ state }) => state !== 'not in the model').map(({ key }) => key));
    return reply.page('proposals/proposal.njk', {
      page: {
        title: `Structure of ${part.number} from its model`,
        sheet: `${part.number}, by ${document.name}`,
        nav: '/structure',
      },
      here: `/documents/${document.id}/structure`,
      document: { name: document.name, href: `/documents/${document.id}` },
      revision: { letter: document.revision.letter, href: `/revisions/${document.revisionId}` },
      part: { number: part.number, name: part.name, href: partPath(part.number), holdsParts: top.holdsParts },
      isRead,
      hasTree: tree.length > 0 && proposal.lines.length > 0,
      open: open.length,
      same: proposal.lines.length - open.length,
      groups: groupsOf(proposal, ticked),
      closed: proposal.closed.map(({ name }) => name),
      form: form ?? freshForm({}),
    });
  }

  app.get<OfId>('/documents/:id/structure', guard, (request, reply) => show(request, reply, null));

  app.post<OfId>('/documents/:id/structure', guard, async (request, reply) => {
    const { document, part, tree } = await readModel(request);
    return formAct(context, request, reply, {
      schema: TakeForm,
      act: (act, { take }) =>
        takeLines(act, { partId: part.id, tree, taken: new Set(take), named: namedIn(request.body) }),
      to: `/documents/${document.id}/structure`,
      done: takenWords,
      again: (form, again) => show(request, again, form),
    });
  });
}

/** Lines as the page shows them, an assembly's together; each new product is asked about once. */
function groupsOf({ lines }: Proposal, ticked: ReadonlySet<string>) {
  const asked = new Set<string>();
  const groups = new Map<ProposedLine['parent'], unknown[]>();
  for (const line of lines) {
    const { parent, child, use, inModel, state, key } = line;
    const asks = child.part === null && !asked.has(child.field);
    asked.add(child.field);
    const shown = groups.get(parent) ?? [];
    groups.set(parent, shown);
    shown.push({
      key,
      state,
      inModel,
      there: use ? use.milli / 1000 : null,
      ticked: ticked.has(key),
      name: child.name,
      kind: child.isAssembly ? 'assembly' : 'part',
      part: child.part && { ...child.part, href: partPath(child.part.number) },
      field: asks ? child.field : '',
      alike: child.alike.map(({ number }) => number),
    });
  }
  return [...groups].map(([parent, shown]) => ({
    name: parent.name,
    part: parent.part && { number: parent.part.number, href: partPath(parent.part.number) },
    lines: shown,
  }));
}
