import { readFile } from 'node:fs/promises';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import type { Act } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { dayIn, dayWords } from '../platform/day.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly } from '../platform/http/guards.ts';
import { readUpload } from '../platform/http/upload.ts';
import { found, WrongField } from '../platform/refusal.ts';
import { AnswersForm, DraftAddress, TakeForm } from './draft-forms.ts';
import {
  chosenColumns,
  DraftForm,
  delimiterWords,
  formOfOptions,
  optionsOfForm,
  readingOf,
} from './draft-options.ts';
import { columnChoices, fieldChoices, planPage, questionRows } from './draft-page.ts';
import {
  type Draft,
  type DraftTable,
  draftBytes,
  planDraft,
  planMark,
  readBuildNow,
  readDraft,
  readDraftTable,
} from './draft-plan.ts';
import { chooseColumns, noColumns } from './import-columns.ts';
import type { ImportTable } from './import-table.ts';
import { importEncodings, readImportText } from './import-text.ts';
import { textKey, type UseAnswer } from './import-types.ts';
import { partKinds } from './part.ts';
import { parseQuantity } from './quantity.ts';
import { buildFacts } from './store.ts';
import { takeDraft } from './take-draft.ts';

/** The largest list taken, in bytes. */
const listBytes = 5 * 1024 * 1024;
const questionsOnPage = 100;
const unusualOnPage = 200;

type OfDraft = FastifyRequest<{ Params: { id: string } }>;

/** Bringing in a parts list: upload, how it is read, what it would do, and the lead's word. */
export function draftRoutes(app: FastifyInstance, context: Context): void {
  const { db, files, clock } = context;

  const uploadPage = async (form: FormState, reply: FastifyReply) => {
    const { timeZone } = await buildFacts(db.read);
    const drafts = await db.read.importDraft.findMany({ orderBy: { id: 'desc' }, take: 10 });
    return reply.page('parts/import.njk', {
      page: { title: 'Bring in a list', nav: '/exchange' },
      form,
      drafts: drafts.map(({ id, name, createdAt, takenAt }) => ({
        href: `/import/${id}`,
        name,
        when: dayWords(dayIn(timeZone, createdAt), dayIn(timeZone, clock.now())),
        taken: takenAt !== null,
      })),
    });
  };

  app.get('/import', { preHandler: leadOnly }, (_request, reply) => uploadPage(freshForm(), reply));

  app.post('/import', { preHandler: leadOnly }, async (request, reply) => {
    const upload = await readUpload(request, files, listBytes);
    try {
      const file = upload.files.find(({ field }) => field === 'file');
      const refused =
        upload.errors.file ?? (file ? await notAList(file.path) : 'Choose the file of the list.');
      return await formAct(context, request, reply, {
        schema: z.object({}),
        body: upload.fields,
        act: async (act: Act) => {
          if (!file || refused) throw new WrongField('file', refused ?? '');
          await file.keep();
          const { id } = await act.tx.importDraft.create({
            data: {
              personId: found(act.actor.personId, 'Nobody is signed in.'),
              name: shownName(file.filename),
              sha256: file.sha256,
              createdAt: act.at,
            },
          });
          await act.log({
            kind: 'upload-list',
            thing: { type: 'import', id },
            after: { sha256: file.sha256 },
          });
          return id;
        },
        to: (id) => `/import/${id}`,
        again: uploadPage,
      });
    } finally {
      await upload.discard();
    }
  });

  const draftOf = async (request: OfDraft): Promise<Draft> => {
    const id = Number(request.params.id);
    const draft = Number.isSafeInteger(id) && id > 0 ? await readDraft(db.read, id) : null;
    return found(draft, 'There is no such list.');
  };

  const tableOf = async (draft: Draft): Promise<DraftTable> => {
    const { currency } = await buildFacts(db.read);
    return readDraftTable(await draftBytes(files, draft.sha256), draft.options, currency);
  };

  interface Forms {
    options?: FormState;
    take?: FormState;
    answers?: FormState;
  }

  const draftPage = async (request: OfDraft, draft: Draft, reply: FastifyReply, forms: Forms = {}) => {
    const table = await tableOf(draft);
    const at = `/import/${draft.id}`;
    const head = {
      page: { title: `Bring in ${draft.name}`, sheet: 'Bring in a list', nav: '/exchange' },
      at,
      draft: { name: draft.name, taken: draft.takenAt !== null, untouched: draft.untouched },
      encodings: importEncodings.map(({ label, name }) => ({ value: label, label: name })),
      delimiters: delimiterWords,
      fields: fieldChoices,
      kinds: partKinds,
    };
    if (!table.ok) {
      const errors = { [table.field]: table.sentence };
      const { currency } = await buildFacts(db.read);
      const values = formOfOptions(draft.options, noColumns, readingOf(draft.options, {}, currency));
      return reply.page('parts/import-unread.njk', { ...head, form: forms.options ?? { values, errors } });
    }
    const build = await readBuildNow(db.read);
    const plan = planDraft(table, build);
    const address = DraftAddress.parse(request.query);
    const { currency } = build.known;
    const unusual = plan.lines.filter(({ verdict }) => verdict === 'unusual');
    const questions = questionRows(plan.questions);
    return reply.page('parts/import-plan.njk', {
      ...head,
      form: forms.options ?? freshForm(formOfOptions(draft.options, table.mapping, table.reading)),
      read: {
        rows: table.table.rows.length,
        header: table.table.headerLine,
        encoding: importEncodings.find(({ label }) => label === table.encoding)?.name ?? table.encoding,
        how: table.how,
        delimiter: delimiterWords[[',', ';', '\t', '|'].indexOf(table.table.delimiter)],
        mark: plan.decimalMark === 'dot' ? 'point' : 'comma',
      },
      columns: columnChoices(table.table),
      plan: planPage(plan, table.table, table.mapping, currency, { at, ...address }),
      counts: plan.counts,
      notes: plan.notes,
      newAssemblies: plan.newAssemblies,
      questions: questions.slice(0, questionsOnPage),
      moreQuestions: Math.max(0, questions.length - questionsOnPage),
      answers: forms.answers ?? freshForm(),
      unusual: unusual.slice(0, unusualOnPage).map(({ line, part, reasons }) => ({
        value: line,
        label: `Line ${line}: ${part?.number ?? ''} ${part?.name ?? ''}`,
        hint: reasons.join(' '),
      })),
      moreUnusual: Math.max(0, unusual.length - unusualOnPage),
      take: forms.take ?? freshForm(),
      mark: planMark(plan),
      takes: plan.counts.new + plan.counts.update,
    });
  };

  app.get('/import/:id', { preHandler: leadOnly }, async (request: OfDraft, reply) =>
    draftPage(request, await draftOf(request), reply),
  );

  app.post('/import/:id', { preHandler: leadOnly }, async (request: OfDraft, reply) => {
    const draft = await draftOf(request);
    const shown = await tableOf(draft);
    const bytes = await draftBytes(files, draft.sha256);
    return formAct(context, request, reply, {
      schema: DraftForm,
      act: async (act: Act, form) => {
        const answers = draft.options.answers ?? [];
        const header = shown.ok ? shown.table.header : [];
        const { currency } = await buildFacts(act.tx);
        const options = optionsOfForm(form, noColumns, header, answers);
        const read = readDraftTable(bytes, options, currency);
        if (!read.ok) throw new WrongField(read.field, read.sentence);
        // Columns chosen for another header mean nothing: a list that is cut otherwise now is guessed anew.
        if (shown.ok && sameHeader(read.table, shown.table)) options.columns = columnsSaid(form, shown);
        else options.columns = undefined;
        await keepOptions(act, draft.id, options);
      },
      to: `/import/${draft.id}`,
      again: (form, again) => draftPage(request, draft, again, { options: form }),
    });
  });

  app.post('/import/:id/answers', { preHandler: leadOnly }, async (request: OfDraft, reply) => {
    const draft = await draftOf(request);
    const table = await tableOf(draft);
    return formAct(context, request, reply, {
      schema: AnswersForm,
      act: async (act: Act, answers) => {
        if (!table.ok) throw new WrongField('_form', table.sentence);
        const { questions } = planDraft(table, await readBuildNow(act.tx));
        questions.slice(0, questionsOnPage).forEach((question, at) => {
          const answer = answers.find((one) => isAbout(one, question));
          if (!answer || answer.quantity === '') return;
          const reading = parseQuantity(answer.quantity, question.unit);
          if (!reading.ok) throw new WrongField(`quantity-${at}`, reading.sentence);
        });
        const given = answers.filter(({ quantity }) => quantity !== '');
        const kept = (draft.options.answers ?? []).filter((old) => !given.some((one) => isAbout(one, old)));
        await keepOptions(act, draft.id, { ...draft.options, answers: [...kept, ...given] });
      },
      to: `/import/${draft.id}`,
      again: (form, again) => {
        const quantities = [form.values.quantity].flat();
        const values = Object.fromEntries(quantities.map((text, at) => [`quantity-${at}`, text]));
        return draftPage(request, draft, again, { answers: { values, errors: form.errors } });
      },
    });
  });

  app.post('/import/:id/take', { preHandler: leadOnly }, async (request: OfDraft, reply) => {
    const draft = await draftOf(request);
    const table = await tableOf(draft);
    return formAct(context, request, reply, {
      schema: TakeForm,
      act: async (act: Act, { mark, choice }) => {
        if (!table.ok) throw new WrongField('_form', table.sentence);
        return takeDraft(act, { draftId: draft.id, table, choice, mark });
      },
      to: `/import/${draft.id}`,
      done: ({ added, changed, uses, left }) =>
        `${added} parts added, ${changed} changed, ${uses} lines of the structure set; ${left.length} left out.`,
      again: (form, again) => draftPage(request, draft, again, { take: form }),
    });
  });
}

function sameHeader(one: ImportTable, other: ImportTable): boolean {
  return one.header.join('\n') === other.header.join('\n');
}

/** The columns as shown, with what the form says otherwise. @throws WrongField at the first one chosen wrongly */
function columnsSaid(form: Parameters<typeof chosenColumns>[0], shown: DraftTable & { ok: true }) {
  const { mapping, table } = shown;
  const chosen = chooseColumns(mapping, chosenColumns(form, mapping), table.header);
  if (chosen.ok) return chosen.mapping;
  const { field, sentence } = chosen.problems[0]!;
  throw new WrongField(`column-${field}`, sentence);
}

function isAbout(answer: Pick<UseAnswer, 'line' | 'assembly'>, other: Pick<UseAnswer, 'line' | 'assembly'>) {
  return answer.line === other.line && textKey(answer.assembly) === textKey(other.assembly);
}

async function keepOptions(act: Act, id: number, options: Draft['options']): Promise<void> {
  await act.tx.importDraft.update({ where: { id }, data: { options: JSON.stringify(options) } });
  await act.log({ kind: 'read-list', thing: { type: 'import', id } });
}

/** Why a file is no list at all; null when it can be read in some way. */
async function notAList(path: string): Promise<string | null> {
  const text = readImportText(await readFile(path));
  return text.ok ? null : text.sentence;
}

function shownName(filename: string): string {
  const name = filename
    .replace(/^.*[/\\]/, '')
    .replace(/[\p{Cc}\p{Cf}]/gu, '')
    .trim();
  return name.slice(0, 120) || 'list.csv';
}
