import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { PHOTO_LIMIT_BYTES, photosOf } from '../jobs/index.ts';
import { partByNumber, structureGraph } from '../parts/index.ts';
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
import { type EditedProblem, placeWords, problemFormPage } from './problem-form-page.ts';
import { readProblemPage } from './problem-page.ts';
import { partsWithin } from './problem-pick.ts';
import { problemPickRoutes } from './problem-pick-routes.ts';
import { mayOpenProblems, problemLines, problemLists } from './problem-reader.ts';
import { DETECTION, OCCURRENCE, SEVERITY } from './problem-scales.ts';
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
    const within = part && partsWithin(structureGraph(db.hot), part.id);
    return reply.page('problems/problems.njk', {
      page: { title: 'Problems', nav: NAV },
      tabs: loopTabs(db, 'problems', moment.today),
      form,
      part: part && { number: part.number, name: part.name, inside: (within?.length ?? 1) - 1 },
      lists: wrong ? null : await problemLists(db.read, within, moment),
    });
  };

  app.get('/problems', { preHandler: shop }, (request, reply) => listPage(request.query, reply));

  app.get('/problems/scales', { preHandler: signedIn }, (request, reply) =>
    reply.page('problems/problem-scales.njk', {
      page: { title: 'How problems are judged', nav: request.person!.role === 'maker' ? '/board' : NAV },
      scales: { severity: SEVERITY, occurrence: OCCURRENCE, detection: DETECTION },
      isShop: request.person!.role !== 'maker',
    }),
  );

  const formPage = problemFormPage(context);

  app.get<{ Querystring: { part?: unknown; job?: unknown } }>(
    '/problems/new',
    { preHandler: signedIn },
    (request, reply) => {
      const { part, job } = request.query;
      const values = {
        part: typeof part === 'string' ? part.slice(0, 40) : '',
        job: rowId(job) || '',
      };
      return formPage(request, reply, freshForm(values), null);
    },
  );

  const partOf = async ({ tx }: Act, id: number) =>
    (await tx.problem.findUnique({ where: { id }, select: { partId: true } }))?.partId;

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

  const problemPage = async (
    request: FastifyRequest,
    reply: FastifyReply,
    id: number,
    forms: PageForms = {},
  ) => {
    const person = request.person!;
    const moment = readMoment(context);
    const problem = await readProblemPage(db, id, person, moment);
    return reply.page('problems/problem.njk', {
      page: {
        title: problem.title,
        sheet: `Problem ${problem.id}`,
        nav: person.role === 'maker' ? '/board' : NAV,
      },
      problem,
      place: placeWords(problem.place),
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

  /** A maker opens what they saw or what concerns their work; what stands in the others is not told to them. */
  const mayOpen = async (id: number, request: FastifyRequest, reply: FastifyReply) => {
    const person = request.person!;
    const row = await db.read.problem.findFirst({
      where: { id, removedAt: null },
      select: { id: true, seenById: true, partId: true, jobId: true },
    });
    if (row && !(await mayOpenProblems(db.read, person, [row])).has(id)) {
      return forbidden(reply, 'This problem is of a part you have no work on.');
    }
    return undefined;
  };
  const opening = {
    preHandler: [
      signedIn,
      (request: FastifyRequest, reply: FastifyReply) =>
        mayOpen(rowId((request.params as { id: string }).id), request, reply),
    ],
  };

  app.get<Named>('/problems/:id', opening, (request, reply) =>
    problemPage(request, reply, rowId(request.params.id)),
  );

  /** The form to change a problem, as it is stored or as it was typed. */
  const editForm = async (
    request: FastifyRequest,
    reply: FastifyReply,
    problemId: number,
    typed?: FormState,
  ) => {
    const problem = await readProblemPage(db, problemId, request.person!, readMoment(context));
    if (!problem.may.change) return problemPage(request, reply, problemId, { button: typed });
    const { severity, occurrence, detection } = problem.ranks;
    const stored = {
      title: problem.title,
      words: problem.words,
      severity: String(severity),
      occurrence: occurrence ?? '',
      detection: detection ?? '',
      often: problem.often,
      part: problem.part?.number ?? '',
      job: problem.job?.id ?? '',
      seenOn: problem.seenDay,
    };
    const editing: EditedProblem = problem;
    return formPage(request, reply, typed ?? freshForm(stored), editing);
  };

  const editPage = (request: FastifyRequest<Named>, reply: FastifyReply, typed?: FormState) =>
    editForm(request, reply, rowId(request.params.id), typed);

  problemPickRoutes(app, context, {
    showForm: formPage,
    async showEdit(request, reply, problemId, form) {
      const barred = await mayOpen(problemId, request, reply);
      return barred ?? editForm(request, reply, problemId, form);
    },
  });

  app.get<Named>('/problems/:id/change', opening, (request, reply) => editPage(request, reply));

  app.post<Named>('/problems/:id/change', opening, (request, reply) =>
    withPhotos(request, reply, {
      schema: ChangeProblemForm,
      act: async (act, { part, job, withoutPhotos, ...input }, photos) =>
        changeProblem(act, files, {
          ...input,
          problemId: rowId(request.params.id),
          partId: await typedPart(act.tx, part, { standing: await partOf(act, rowId(request.params.id)) }),
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
      again: (accept, again) =>
        problemPage(request, again, rowId(request.params.id), { accept, button: accept }),
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
      again: (merge, again) =>
        problemPage(request, again, rowId(request.params.id), { merge, button: merge }),
    }),
  );

  app.post<Named>('/problems/:id/take-up', { preHandler: shop }, (request, reply) =>
    formAct(context, request, reply, {
      schema: ButtonForm,
      act: (act) => takeUpProblem(act, rowId(request.params.id)),
      to: `/problems/${request.params.id}`,
      done: 'It is open again.',
      again: (button, again) => problemPage(request, again, rowId(request.params.id), { button }),
    }),
  );
}
