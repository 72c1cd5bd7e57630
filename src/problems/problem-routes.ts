import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { PHOTO_LIMIT_BYTES, photosOf } from '../jobs/index.ts';
import { partByNumber } from '../parts/index.ts';
import type { Act } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { line } from '../platform/http/fields.ts';
import { type FormState, freshForm, readForm, typedValues } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { forbidden, leadOnly, shop, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { readUpload } from '../platform/http/upload.ts';
import type { SmallPhoto } from '../platform/photo.ts';
import { WrongField } from '../platform/refusal.ts';
import { AcceptForm, ButtonForm, ChangeProblemForm, MergeForm, ProblemForm } from './forms.ts';
import { readMoment } from './moment.ts';
import { mayOpenProblem, problemLines, problemLists, readProblemPage } from './problem-reader.ts';
import { SEVERITY_WORDS } from './problem-rules.ts';
import { changeProblem, seeProblem } from './see-problem.ts';
import { acceptProblem, mergeProblems, takeUpProblem } from './settle-problem.ts';
import { typedPart } from './store.ts';
import { loopTabs } from './tabs.ts';

const NAV = '/problems';

interface Named {
  Params: { id: string };
}

/** The forms that stand on a problem's page; one of them may come back with what was typed. */
interface PageForms {
  accept?: FormState;
  merge?: FormState;
  button?: FormState;
}

const SEVERITY_HINTS: Record<number, string> = {
  1: 'a blemish, or a nuisance',
  2: 'it works, but not as it should',
  3: 'the machine stands still, or somebody could get hurt',
};

const severityChoices = Object.entries(SEVERITY_WORDS).map(([value, label]) => ({
  value,
  label,
  hint: SEVERITY_HINTS[Number(value)],
}));

const PartFilter = z.object({ part: line(40) });

/** Problems: the list, one of them, writing one down, and what becomes of it. */
export function problemRoutes(app: FastifyInstance, context: Context): void {
  const { db, files } = context;

  const listPage = async (query: unknown, reply: FastifyReply) => {
    const moment = readMoment(context);
    const read = readForm(PartFilter, query);
    const typed = read.fits ? read.input.part : '';
    const part = typed ? await partByNumber(db.read, typed) : null;
    let form = read.fits ? freshForm({ part: typed }) : read.form;
    if (typed && !part) form = { ...form, errors: { part: `No part has the number ${typed}.` } };
    const wrong = Object.keys(form.errors).length > 0;
    if (wrong) reply.code(422);
    return reply.page('problems/problems.njk', {
      page: { title: 'Problems', nav: NAV },
      tabs: loopTabs(db, 'problems', moment.today),
      form,
      part: part && { number: part.number, name: part.name },
      lists: wrong ? null : await problemLists(db.read, part?.id ?? null, moment),
    });
  };

  app.get('/problems', { preHandler: shop }, (request, reply) => listPage(request.query, reply));

  const formPage = async (
    request: FastifyRequest,
    reply: FastifyReply,
    form: FormState,
    editing: { id: number; title: string; photos: { id: number; href: string }[]; seen: number } | null,
  ) => {
    const person = request.person!;
    return reply.page('problems/problem-form.njk', {
      page: {
        title: editing ? `Change problem ${editing.id}` : 'Write a problem down',
        nav: person.role === 'maker' ? '/board' : NAV,
      },
      form,
      editing,
      severities: severityChoices,
      ownJobs: person.role === 'maker' ? await jobsOf(context, person.id) : null,
      back: editing ? `/problems/${editing.id}` : person.role === 'maker' ? '/board' : NAV,
    });
  };

  app.get<{ Querystring: { part?: unknown; job?: unknown } }>(
    '/problems/new',
    { preHandler: signedIn },
    (request, reply) => {
      const { part, job } = request.query;
      const values = {
        part: typeof part === 'string' ? part.slice(0, 40) : '',
        job: rowId(job) || '',
        severity: '2',
      };
      return formPage(request, reply, freshForm(values), null);
    },
  );

  /** Reads a form with photos and does its act; a photo that is none is told at its field. */
  const withPhotos = async <S extends z.ZodType, T>(
    request: FastifyRequest,
    reply: FastifyReply,
    spec: {
      schema: S;
      act(act: Act, input: z.output<S>, photos: readonly SmallPhoto[]): Promise<T>;
      to(result: T): string;
      done: string;
      again(form: FormState, reply: FastifyReply): Promise<FastifyReply>;
    },
  ) => {
    const upload = await readUpload(request, files, PHOTO_LIMIT_BYTES);
    try {
      const { photos, error } = await photosOf(upload);
      if (error) {
        const read = readForm(spec.schema, upload.fields);
        const errors = read.fits ? {} : read.form.errors;
        reply.code(422);
        const form = { values: typedValues(upload.fields), errors: { ...errors, photos: error } };
        return await spec.again(form, reply);
      }
      return await formAct(context, request, reply, {
        schema: spec.schema,
        body: upload.fields,
        act: (act, input) => spec.act(act, input, photos),
        to: spec.to,
        done: spec.done,
        again: spec.again,
      });
    } finally {
      await upload.discard();
    }
  };

  app.post('/problems', { preHandler: signedIn }, (request, reply) =>
    withPhotos(request, reply, {
      schema: ProblemForm,
      act: async (act, { part, job, ...input }, photos) =>
        seeProblem(act, files, { ...input, partId: await typedPart(act.tx, part), jobId: job, photos }),
      to: (id) => `/problems/${id}`,
      done: 'Written down.',
      again: (form, again) => formPage(request, again, form, null),
    }),
  );

  const problemPage = async (request: FastifyRequest<Named>, reply: FastifyReply, forms: PageForms = {}) => {
    const person = request.person!;
    const moment = readMoment(context);
    const problem = await readProblemPage(db, rowId(request.params.id), person, moment);
    return reply.page('problems/problem.njk', {
      page: {
        title: problem.title,
        sheet: `Problem ${problem.id}`,
        nav: person.role === 'maker' ? '/board' : NAV,
      },
      problem,
      isShop: person.role !== 'maker',
      others: problem.may.merge
        ? (
            await problemLines(
              db.read,
              { id: { not: problem.id }, acceptedAt: null, curedAt: null, sameAsId: null },
              moment,
            )
          ).map(({ id, title, part }) => ({
            value: id,
            label: `${id} ${title}${part ? `, ${part.number}` : ''}`,
          }))
        : [],
      acceptForm: forms.accept ?? freshForm(),
      mergeForm: forms.merge ?? freshForm(),
      refused: forms.button?.errors._form ?? null,
    });
  };

  /** A maker opens what concerns their work; whether there is such a problem is told to nobody else. */
  const mayOpen = async (request: FastifyRequest, reply: FastifyReply) => {
    const id = rowId((request.params as { id: string }).id);
    const person = request.person!;
    const row = await db.read.problem.findFirst({
      where: { id, removedAt: null },
      select: { seenById: true, partId: true, jobId: true },
    });
    if (row && !(await mayOpenProblem(db.read, person, row))) {
      return forbidden(reply, 'This problem is of a part you have no work on.');
    }
    return undefined;
  };
  const opening = { preHandler: [signedIn, mayOpen] };

  app.get<Named>('/problems/:id', opening, (request, reply) => problemPage(request, reply));

  const editPage = async (request: FastifyRequest<Named>, reply: FastifyReply, typed?: FormState) => {
    const person = request.person!;
    const problem = await readProblemPage(db, rowId(request.params.id), person, readMoment(context));
    if (!problem.may.change) return problemPage(request, reply, { button: typed });
    const stored = {
      title: problem.title,
      words: problem.words,
      severity: String(problem.severity),
      part: problem.part?.number ?? '',
      job: problem.job?.id ?? '',
    };
    return formPage(request, reply, typed ?? freshForm(stored), problem);
  };

  app.get<Named>('/problems/:id/change', opening, (request, reply) => editPage(request, reply));

  app.post<Named>('/problems/:id/change', opening, (request, reply) =>
    withPhotos(request, reply, {
      schema: ChangeProblemForm,
      act: async (act, { part, job, withoutPhotos, ...input }, photos) =>
        changeProblem(act, files, {
          ...input,
          problemId: rowId(request.params.id),
          partId: await typedPart(act.tx, part),
          jobId: job,
          photos,
          withoutPhotoIds: withoutPhotos,
        }),
      to: () => `/problems/${request.params.id}`,
      done: 'Changed.',
      again: (form, again) => editPage(request, again, form),
    }),
  );

  app.post<Named>('/problems/:id/accept', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: AcceptForm,
      act: (act, { reason }) => acceptProblem(act, { problemId: rowId(request.params.id), reason }),
      to: `/problems/${request.params.id}`,
      done: 'Accepted as it is.',
      again: (accept, again) => problemPage(request, again, { accept, button: accept }),
    }),
  );

  app.post<Named>('/problems/:id/merge', { preHandler: shop }, (request, reply) =>
    formAct(context, request, reply, {
      schema: MergeForm,
      act: async (act, { sameAsId }) => {
        const other = await act.tx.problem.findFirst({ where: { id: sameAsId, removedAt: null } });
        if (!other) throw new WrongField('sameAsId', `There is no problem ${sameAsId}.`);
        await mergeProblems(act, { problemId: rowId(request.params.id), sameAsId });
      },
      to: (_, { sameAsId }) => `/problems/${sameAsId}`,
      done: `Problem ${rowId(request.params.id)} is the same as this one.`,
      again: (merge, again) => problemPage(request, again, { merge, button: merge }),
    }),
  );

  app.post<Named>('/problems/:id/take-up', { preHandler: shop }, (request, reply) =>
    formAct(context, request, reply, {
      schema: ButtonForm,
      act: (act) => takeUpProblem(act, rowId(request.params.id)),
      to: `/problems/${request.params.id}`,
      done: 'It is open again.',
      again: (button, again) => problemPage(request, again, { button }),
    }),
  );
}

/** A maker's own jobs, for the list of a form. */
async function jobsOf({ db }: Context, personId: number) {
  const jobs = await db.read.job.findMany({
    where: { droppedAt: null, OR: [{ personId }, { claims: { some: { personId } } }] },
    orderBy: { id: 'desc' },
    take: 100,
    select: { id: true, title: true, personId: true, claims: { where: { personId } } },
  });
  return jobs
    .filter(
      (job) => job.personId === personId || job.claims.some(({ milli, backMilli }) => milli > backMilli),
    )
    .map(({ id, title }) => ({ value: id, label: `${id} ${title}` }));
}
