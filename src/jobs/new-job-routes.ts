import type { FastifyInstance, FastifyReply } from 'fastify';
import { partByNumber, type Unit } from '../parts/index.ts';
import type { Act } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found, orRefuse, WrongField } from '../platform/refusal.ts';
import { changeJob } from './change-job.ts';
import { COUNTED_KINDS, createJob, PART_KINDS, SPOT_KINDS } from './create-job.ts';
import { JOB_KINDS, type JobKind } from './facts.ts';
import { ChangeJobForm, NewJobForm } from './forms.ts';
import { KIND_WORDS, plainQuantity } from './job-page.ts';
import { mayChange } from './job-rules.ts';
import { typedQuantity, unitOf } from './say.ts';
import { readJob } from './store.ts';

/** What each kind of work is, for who chooses one. */
const KIND_HINTS: Record<JobKind, string> = {
  fabricate:
    'A made part, in a quantity, offered to makers. It is made to the part’s newest released drawing.',
  design: 'The lead or the crew at the drawing of a part.',
  purchase: 'A bought or stock part, ordered of a supplier.',
  'fit-up': 'The parts of an assembly are joined at the bench.',
  trial: 'Something is tried, and what comes of it is written down.',
  other: 'Any other work that takes time.',
};

/** Making and changing jobs. */
export function newJobRoutes(app: FastifyInstance, context: Context): void {
  const { db } = context;

  const choices = async () => {
    const people = await db.read.person.findMany({
      where: { deactivatedAt: null, forgottenAt: null },
      orderBy: { name: 'asc' },
      select: { id: true, name: true, role: true },
    });
    const gatherings = await db.read.gathering.findMany({
      where: { droppedAt: null },
      orderBy: { fromOn: 'desc' },
      take: 50,
      select: { id: true, title: true, fromOn: true },
    });
    const spots = await db.read.job.findMany({
      where: { spot: { not: '' }, droppedAt: null },
      distinct: ['spot'],
      orderBy: { spot: 'asc' },
      take: 40,
      select: { spot: true },
    });
    return {
      spots: spots.map(({ spot }) => spot),
      people: people.map(({ id, name, role }) => ({ value: id, label: `${name}, ${role}` })),
      gatherings: gatherings.map(({ id, title, fromOn }) => ({ value: id, label: `${title}, ${fromOn}` })),
    };
  };

  const kindPage = async (reply: FastifyReply, partNumber: string) => {
    const part = partNumber ? await partByNumber(db.read, partNumber) : null;
    const kinds = JOB_KINDS.filter((kind) => !part || (PART_KINDS[kind]?.includes(part.kind) ?? true));
    return reply.page('jobs/new-kind.njk', {
      page: { title: 'New job', nav: '/board' },
      part: part && { number: part.number, name: part.name },
      kinds: kinds.map((kind) => ({
        kind,
        word: KIND_WORDS[kind],
        hint: KIND_HINTS[kind],
        href: `/jobs/new?${new URLSearchParams({ kind, ...(part ? { part: part.number } : {}) })}`,
      })),
    });
  };

  const newPage = async (form: FormState, reply: FastifyReply) => {
    const kind = JOB_KINDS.find((one) => one === form.values.kind);
    if (!kind) return kindPage(reply, '');
    return reply.page('jobs/new.njk', {
      page: { title: 'New job', nav: '/board' },
      form,
      kind,
      word: KIND_WORDS[kind],
      hint: KIND_HINTS[kind],
      counted: COUNTED_KINDS.includes(kind),
      hasSpot: SPOT_KINDS.includes(kind),
      ...(await choices()),
    });
  };

  app.get<{ Querystring: { kind?: unknown; part?: unknown } }>(
    '/jobs/new',
    { preHandler: shop },
    (request, reply) => {
      const { kind, part } = request.query;
      const number = typeof part === 'string' ? part.slice(0, 40) : '';
      if (!JOB_KINDS.some((one) => one === kind)) return kindPage(reply, number);
      return newPage(freshForm({ kind, part: number, quantity: number ? '1' : '', strangers: true }), reply);
    },
  );

  app.post('/jobs', { preHandler: shop }, (request, reply) =>
    formAct(context, request, reply, {
      schema: NewJobForm,
      act: async (act, input) => {
        const part = input.part ? await partAsTyped(act, input.part) : null;
        const milli = COUNTED_KINDS.includes(input.kind)
          ? typedQuantity(input.quantity, part?.unit ?? 'piece')
          : 1000;
        return createJob(act, { ...input, partId: part?.id ?? null, milli });
      },
      to: (number) => `/jobs/${number}`,
      done: (number) => `Job ${number} is made.`,
      again: newPage,
    }),
  );

  const editPage = async (jobId: number, reply: FastifyReply, typed?: FormState) => {
    const job = await db.read.job.findUnique({ where: { id: jobId }, include: { part: true } });
    const row = found(job, `There is no job ${jobId}.`);
    const kind = JOB_KINDS.find((one) => one === row.kind) ?? 'other';
    const { title, note, wantedOn, hours, days, personId, gatheringId, spot, firstPiece, strangers } = row;
    const stored = { title, note, wantedOn, hours, days, personId, gatheringId, spot, firstPiece, strangers };
    return reply.page('jobs/edit.njk', {
      page: { title: `Change job ${jobId}`, nav: '/board' },
      form: typed ?? freshForm({ ...stored, quantity: plainQuantity(row.milli) }),
      number: jobId,
      title,
      kind,
      counted: COUNTED_KINDS.includes(kind),
      hasSpot: SPOT_KINDS.includes(kind),
      unitName: unitOf(row.part?.unit) === 'piece' ? 'pieces' : unitOf(row.part?.unit),
      ...(await choices()),
    });
  };

  app.get<{ Params: { number: string } }>(
    '/jobs/:number/edit',
    { preHandler: shop },
    async (request, reply) => {
      const jobId = rowId(request.params.number);
      orRefuse(mayChange((await readJob(db.read, jobId)).facts));
      return editPage(jobId, reply);
    },
  );

  app.post<{ Params: { number: string } }>('/jobs/:number/edit', { preHandler: shop }, (request, reply) => {
    const jobId = rowId(request.params.number);
    return formAct(context, request, reply, {
      schema: ChangeJobForm,
      act: async (act, { quantity, ...input }) => {
        const { facts, unit } = await readJob(act.tx, jobId);
        const milli = COUNTED_KINDS.includes(facts.kind) ? typedQuantity(quantity, unit) : facts.milli;
        const { firstPiece, strangers, personId, ...rest } = input;
        // The form of each kind shows its own boxes: what it doesn't show is left as it is.
        const own = facts.kind === 'fabricate' ? { firstPiece, strangers } : { personId };
        await changeJob(act, jobId, { ...rest, ...own, milli });
      },
      to: `/jobs/${jobId}`,
      done: 'Changed.',
      again: (form, again) => editPage(jobId, again, form),
    });
  });
}

async function partAsTyped(act: Act, number: string): Promise<{ id: number; unit: Unit }> {
  const part = await partByNumber(act.tx, number);
  if (!part || part.removedAt) throw new WrongField('part', `No part has the number ${number}.`);
  return part;
}
