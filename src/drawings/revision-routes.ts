import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { STL_UNITS } from '../models/index.ts';
import { partByNumber } from '../parts/index.ts';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm, readForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { forbidden, shop, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { UPLOAD_LIMIT_BYTES } from '../platform/http/server.ts';
import { readUpload } from '../platform/http/upload.ts';
import { found } from '../platform/refusal.ts';
import { GENERAL_CLASSES, materialChoices, processChoices } from '../specs/index.ts';
import { changeRevision } from './change-revision.ts';
import { addCharacteristic } from './characteristics.ts';
import { maySeeRevision } from './document-access.ts';
import { DOCUMENT_KINDS } from './document-kind.ts';
import { readDocument } from './document-upload.ts';
import { addDocument, type NewDocument, removeDocument } from './documents.ts';
import { ButtonForm, CharacteristicForm, DocumentForm, HeadForm, ReleaseForm, StlUnitForm } from './forms.ts';
import { releaseRevision } from './release-revision.ts';
import { releasedSentence } from './released-sentence.ts';
import { CLASS_WORDS, readRevisionPage } from './revision-page.ts';
import { sayUnit } from './say-unit.ts';
import { startRevision } from './start-revision.ts';
import { withdrawRevision } from './withdraw-revision.ts';

const NAV = '/structure';

interface Named {
  Params: { id: string };
}

/** The forms that stand on the page of a revision; one of them may come back with what was typed. */
interface PageForms {
  characteristic?: FormState;
  document?: FormState;
  /** the unit of an STL, with which document it is of */
  unit?: FormState & { documentId: number };
  /** a button that was refused */
  button?: FormState;
}

/** Shows the page of a revision to whoever may see it. */
export async function revisionPage(
  context: Context,
  request: FastifyRequest,
  reply: FastifyReply,
  id: number,
  forms: PageForms = {},
): Promise<FastifyReply> {
  const { db } = context;
  const person = request.person!;
  const revision = found(
    await db.read.revision.findUnique({ where: { id }, select: { releasedAt: true } }),
    'There is no such revision.',
  );
  if (!maySeeRevision(person, revision)) {
    return forbidden(reply, 'This revision is not released: only lead and crew see it.');
  }
  const shown = await readRevisionPage(db, id, person);
  return reply.page('drawings/revision.njk', {
    page: {
      title: `${shown.part.number} ${shown.letter}`,
      sheet: `${shown.part.number} ${shown.letter}, ${shown.part.name}`,
      nav: NAV,
    },
    revision: shown,
    isShop: person.role !== 'maker',
    isLead: person.role === 'lead',
    characteristicForm: forms.characteristic ?? freshForm(),
    unitForm: forms.unit ?? null,
    unitChoices: STL_UNITS,
    documentForm: forms.document ?? freshForm({ kind: 'drawing' }),
    refused: refusal(forms, shown.isDraft),
    documentKinds: DOCUMENT_KINDS,
  });
}

/** What to say at the head of the page; a refusal of a form is said there when the form is gone with the draft. */
function refusal({ button, characteristic, document, unit }: PageForms, isDraft: boolean): string | null {
  const forms = isDraft ? [button, unit] : [button, characteristic, document, unit];
  return forms.map((form) => form?.errors._form).find((sentence) => sentence) ?? null;
}

/** A revision: its page, and what lead and crew do with it. */
export function revisionRoutes(app: FastifyInstance, context: Context): void {
  const { db, files } = context;
  const pageAgain =
    (request: FastifyRequest, id: number, name: keyof PageForms) => (form: FormState, reply: FastifyReply) =>
      revisionPage(context, request, reply, id, { [name]: form });

  app.post<{ Params: { number: string } }>(
    '/parts/:number/revisions',
    { preHandler: shop },
    async (request, reply) => {
      const part = found(await partByNumber(db.read, request.params.number), 'There is no such part.');
      return formAct(context, request, reply, {
        schema: ButtonForm,
        act: (act) => startRevision(act, { partId: part.id }),
        to: ({ id }) => `/revisions/${id}`,
        done: ({ letter }) => `Revision ${letter} of ${part.number} is begun.`,
        again: (form) =>
          reply.page('shared/error.njk', {
            page: { title: 'Not done', nav: NAV },
            status: reply.statusCode,
            title: 'Not done',
            text: form.errors._form,
            back: `/parts/${encodeURIComponent(part.number)}`,
          }),
      });
    },
  );

  app.get<Named>('/revisions/:id', { preHandler: signedIn }, (request, reply) =>
    revisionPage(context, request, reply, rowId(request.params.id)),
  );

  headRoutes(app, context);

  app.post<Named>('/revisions/:id/characteristics', { preHandler: shop }, (request, reply) => {
    const id = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: CharacteristicForm,
      act: (act, input) => addCharacteristic(act, { revisionId: id, ...input }),
      // A browser puts the focus in the box the address points to: sizes are typed one after another.
      to: `/revisions/${id}#f-c-text`,
      done: ({ text }) => `${text} is added.`,
      again: pageAgain(request, id, 'characteristic'),
    });
  });

  app.post<Named>('/revisions/:id/documents', { preHandler: shop }, async (request, reply) => {
    const id = rowId(request.params.id);
    const upload = await readUpload(request, files, UPLOAD_LIMIT_BYTES);
    try {
      const read = readForm(DocumentForm, upload.fields);
      const documents: NewDocument[] = [];
      const complaints = Object.values(upload.errors);
      if (read.fits) {
        for (const file of upload.files) {
          const looked = await readDocument(file, read.input.kind, files);
          if (looked.ok) documents.push(looked.document);
          else complaints.push(looked.sentence);
        }
        if (upload.files.length === 0 && complaints.length === 0) complaints.push('Choose a file.');
      }
      if (complaints.length > 0) {
        const form = read.fits ? freshForm(upload.fields) : read.form;
        return await revisionPage(context, request, reply.code(422), id, {
          document: { ...form, errors: { ...form.errors, file: complaints.join(' ') } },
        });
      }
      return await formAct(context, request, reply, {
        schema: DocumentForm,
        body: upload.fields,
        async act(act) {
          for (const document of documents) await addDocument(act, { revisionId: id, document });
          return documents.map(({ name }) => name);
        },
        to: `/revisions/${id}#documents`,
        done: (names) => `${names.join(', ')} ${names.length === 1 ? 'is' : 'are'} added.`,
        again: pageAgain(request, id, 'document'),
      });
    } finally {
      await upload.discard();
    }
  });

  app.post<Named>('/documents/:id/remove', { preHandler: shop }, async (request, reply) => {
    const document = found(
      await db.read.document.findUnique({ where: { id: rowId(request.params.id) } }),
      'There is no such document.',
    );
    return formAct(context, request, reply, {
      schema: ButtonForm,
      act: (act) => removeDocument(act, { documentId: document.id }),
      to: `/revisions/${document.revisionId}#documents`,
      done: ({ name }) => `${name} is taken off.`,
      again: pageAgain(request, document.revisionId, 'button'),
    });
  });

  app.post<Named>('/documents/:id/unit', { preHandler: shop }, async (request, reply) => {
    const document = found(
      await db.read.document.findUnique({ where: { id: rowId(request.params.id) } }),
      'There is no such document.',
    );
    const { id, revisionId } = document;
    return formAct(context, request, reply, {
      schema: StlUnitForm,
      act: (act, { unit }) => sayUnit(act, { documentId: id, unit }),
      to: `/revisions/${revisionId}#documents`,
      done: ({ name, unit }) => `The figures of ${name} are in ${unit}.`,
      again: (form, again) =>
        revisionPage(context, request, again, revisionId, { unit: { ...form, documentId: id } }),
    });
  });

  app.post<Named>('/revisions/:id/release', { preHandler: shop }, (request, reply) => {
    const id = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: ReleaseForm,
      act: (act, { version }) => releaseRevision(act, { revisionId: id, version }),
      to: `/revisions/${id}`,
      done: releasedSentence,
      again: pageAgain(request, id, 'button'),
    });
  });

  app.post<Named>('/revisions/:id/withdraw', { preHandler: shop }, (request, reply) => {
    const id = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: ButtonForm,
      act: (act) => withdrawRevision(act, { revisionId: id }),
      to: `/revisions/${id}`,
      done: ({ letter }) => `Revision ${letter} is withdrawn.`,
      again: pageAgain(request, id, 'button'),
    });
  });
}

/** What a revision says of itself, on a page of its own. */
function headRoutes(app: FastifyInstance, context: Context): void {
  const { db } = context;

  async function headPage(
    request: FastifyRequest,
    reply: FastifyReply,
    id: number,
    typed: FormState | null,
  ): Promise<FastifyReply> {
    const shown = await readRevisionPage(db, id, request.person!);
    if (!typed && !shown.isDraft) return reply.redirect(`/revisions/${id}`, 303);
    const row = await db.read.revision.findUniqueOrThrow({ where: { id } });
    const stored = {
      change: row.change,
      materialId: row.materialId ?? '',
      processId: row.processId ?? '',
      materialNote: row.materialNote,
      finish: row.finish,
      generalTolerance: row.generalTolerance,
      notes: row.notes,
    };
    const form = typed ?? freshForm(stored);
    return reply.page('drawings/revision-head.njk', {
      page: { title: `Change ${shown.part.number} ${shown.letter}`, nav: NAV },
      revision: shown,
      form,
      materials: await materialChoices(db.read, row.materialId),
      processes: await processChoices(db.read, row.processId),
      classes: GENERAL_CLASSES.map((value) => ({ value, label: `${value}, ${CLASS_WORDS[value]}` })),
      // After a refusal both are shown: what is stored now, and what was typed.
      stored: typed && reply.statusCode === 409 ? differences(stored, typed.values, shown) : [],
    });
  }

  app.get<Named>('/revisions/:id/change', { preHandler: shop }, (request, reply) =>
    headPage(request, reply, rowId(request.params.id), null),
  );

  app.post<Named>('/revisions/:id', { preHandler: shop }, (request, reply) => {
    const id = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: HeadForm,
      act: (act, input) => changeRevision(act, { revisionId: id, ...input }),
      to: `/revisions/${id}`,
      done: ({ letter }) => `Revision ${letter} is changed.`,
      again: (form, again) => headPage(request, again, id, form),
    });
  });
}

const HEAD_LABELS = {
  change: 'What is different',
  materialId: 'Material',
  processId: 'Process',
  materialNote: 'Stock, temper, grain',
  finish: 'Finish',
  generalTolerance: 'General tolerance',
  notes: 'Notes',
} as const;

/** What is stored now, where it is not what was typed. */
function differences(
  stored: Record<keyof typeof HEAD_LABELS, string | number>,
  typed: Record<string, unknown>,
  shown: { material: string | null; process: string | null },
): { label: string; value: string }[] {
  const names = Object.keys(HEAD_LABELS) as (keyof typeof HEAD_LABELS)[];
  return names
    .filter((name) => String(stored[name]) !== String(typed[name] ?? ''))
    .map((name) => {
      const named = { materialId: shown.material, processId: shown.process };
      const value = name === 'materialId' || name === 'processId' ? named[name] : stored[name];
      return { label: HEAD_LABELS[name], value: String(value ?? '') || 'nothing' };
    });
}
