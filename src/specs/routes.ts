import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import type { Context } from '../platform/context.ts';
import { optionalId } from '../platform/http/fields.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { type EntryKind, lastEntryChange, removeEntry, restoreEntry } from './entry-acts.ts';
import { MATERIAL_FAMILIES, MaterialForm, PROPERTIES, PROPERTY_RULES, ProcessForm } from './entry-forms.ts';
import { materialFigures, materialRow, processFigures, processRow } from './entry-view.ts';
import { addMaterial, changeMaterial, materialEntry, materialValues } from './materials.ts';
import { addProcess, changeProcess, processEntry, processValues } from './processes.ts';

const NAV = '/materials';

interface Named {
  Params: { id: string };
}

/** The last change the editor knew of travels in the form, beside what it asks. */
const Seen = z.object({ seen: optionalId() });

/** The build's lists of materials and processes: read by all who are signed in, kept by lead and crew. */
export function specsRoutes(app: FastifyInstance, context: Context): void {
  materialRoutes(app, context);
  processRoutes(app, context);
  for (const kind of ['material', 'process'] as const) markingRoutes(app, context, kind);
}

const listOf = (kind: EntryKind) => (kind === 'material' ? '/materials' : '/processes');

const byName = (a: { name: string }, b: { name: string }) => a.name.localeCompare(b.name, 'en');

function mayEdit(request: FastifyRequest): boolean {
  return request.person?.role === 'lead' || request.person?.role === 'crew';
}

function materialRoutes(app: FastifyInstance, context: Context): void {
  const { db } = context;
  const read = async (id: string) =>
    materialEntry(
      found(
        await db.read.material.findUnique({ where: { id: rowId(id) } }),
        'There is no such material on the list.',
      ),
    );
  const formPage = (reply: FastifyReply, form: FormState, id: number | null, seen: number) =>
    reply.page('specs/material-form.njk', {
      page: { title: id === null ? 'Add a material' : `Change ${form.values.name}`, nav: NAV },
      form,
      id,
      seen,
      families: MATERIAL_FAMILIES,
      properties: PROPERTIES.map((name) => ({ name, ...PROPERTY_RULES[name] })),
    });

  app.get('/materials', { preHandler: signedIn }, async (request, reply) => {
    const entries = (await db.read.material.findMany()).map(materialEntry).sort(byName);
    const families = MATERIAL_FAMILIES.map((family) => ({
      family,
      rows: entries.filter((entry) => !entry.removed && entry.family === family).map(materialRow),
    })).filter(({ rows: listed }) => listed.length > 0);
    return reply.page('specs/materials.njk', {
      page: { title: 'Materials', nav: NAV },
      families,
      removed: entries.filter(({ removed }) => removed),
      mayEdit: mayEdit(request),
    });
  });

  app.get('/materials/new', { preHandler: shop }, (_request, reply) =>
    formPage(reply, freshForm({ family: 'metal' }), null, 0),
  );

  app.post('/materials', { preHandler: shop }, (request, reply) =>
    formAct(context, request, reply, {
      schema: MaterialForm,
      act: addMaterial,
      to: (id) => `/materials/${id}`,
      done: (_id, { name }) => `${name} is on the list.`,
      again: (form) => formPage(reply, form, null, 0),
    }),
  );

  app.get<Named>('/materials/:id', { preHandler: signedIn }, async (request, reply) => {
    const entry = await read(request.params.id);
    return reply.page('specs/entry.njk', {
      page: { title: entry.name, nav: NAV },
      kind: 'material',
      list: { href: '/materials', label: 'Materials' },
      under: entry.family,
      entry,
      figures: materialFigures(entry),
      remark: entry.water && {
        label: 'Water and damp air',
        note: entry.water.note,
        source: entry.water.source || entry.source,
      },
      stock: entry.stock && { sizes: entry.stock.sizes, source: entry.stock.source || entry.source },
      cautionsSource: entry.cautionsSource || entry.source,
      mayEdit: mayEdit(request),
    });
  });

  app.get<Named>('/materials/:id/change', { preHandler: shop }, async (request, reply) => {
    const entry = await read(request.params.id);
    const seen = await lastEntryChange(db.read, 'material', entry.id);
    return formPage(reply, freshForm(materialValues(entry)), entry.id, seen);
  });

  app.post<Named>('/materials/:id', { preHandler: shop }, async (request, reply) => {
    const entry = await read(request.params.id);
    return formAct(context, request, reply, {
      schema: MaterialForm.and(Seen),
      act: (act, { seen, ...input }) => changeMaterial(act, { id: entry.id, seen: seen ?? 0, input }),
      to: `/materials/${entry.id}`,
      done: 'The entry is changed.',
      again: async (form) =>
        formPage(reply, form, entry.id, await lastEntryChange(db.read, 'material', entry.id)),
    });
  });
}

function processRoutes(app: FastifyInstance, context: Context): void {
  const { db } = context;
  const read = async (id: string) =>
    processEntry(
      found(
        await db.read.process.findUnique({ where: { id: rowId(id) } }),
        'There is no such process on the list.',
      ),
    );
  const formPage = (reply: FastifyReply, form: FormState, id: number | null, seen: number) =>
    reply.page('specs/process-form.njk', {
      page: { title: id === null ? 'Add a process' : `Change ${form.values.name}`, nav: NAV },
      form,
      id,
      seen,
    });

  app.get('/processes', { preHandler: signedIn }, async (request, reply) => {
    const entries = (await db.read.process.findMany()).map(processEntry).sort(byName);
    return reply.page('specs/processes.njk', {
      page: { title: 'Processes', nav: NAV },
      rows: entries.filter(({ removed }) => !removed).map(processRow),
      removed: entries.filter(({ removed }) => removed),
      mayEdit: mayEdit(request),
    });
  });

  app.get('/processes/new', { preHandler: shop }, (_request, reply) => formPage(reply, freshForm(), null, 0));

  app.post('/processes', { preHandler: shop }, (request, reply) =>
    formAct(context, request, reply, {
      schema: ProcessForm,
      act: addProcess,
      to: (id) => `/processes/${id}`,
      done: (_id, { name }) => `${name} is on the list.`,
      again: (form) => formPage(reply, form, null, 0),
    }),
  );

  app.get<Named>('/processes/:id', { preHandler: signedIn }, async (request, reply) => {
    const entry = await read(request.params.id);
    return reply.page('specs/entry.njk', {
      page: { title: entry.name, nav: NAV },
      kind: 'process',
      list: { href: '/processes', label: 'Processes' },
      under: 'What it usually holds: a guide for asking, never a promise.',
      entry,
      figures: processFigures(entry),
      remark: entry.note ? { label: 'Note', note: entry.note, source: '' } : null,
      stock: null,
      cautionsSource: entry.sources.cautions || entry.source,
      mayEdit: mayEdit(request),
    });
  });

  app.get<Named>('/processes/:id/change', { preHandler: shop }, async (request, reply) => {
    const entry = await read(request.params.id);
    const seen = await lastEntryChange(db.read, 'process', entry.id);
    return formPage(reply, freshForm(processValues(entry)), entry.id, seen);
  });

  app.post<Named>('/processes/:id', { preHandler: shop }, async (request, reply) => {
    const entry = await read(request.params.id);
    return formAct(context, request, reply, {
      schema: ProcessForm.and(Seen),
      act: (act, { seen, ...input }) => changeProcess(act, { id: entry.id, seen: seen ?? 0, input }),
      to: `/processes/${entry.id}`,
      done: 'The entry is changed.',
      again: async (form) =>
        formPage(reply, form, entry.id, await lastEntryChange(db.read, 'process', entry.id)),
    });
  });
}

/** Taking an entry off its list, and bringing it back. */
function markingRoutes(app: FastifyInstance, context: Context, kind: EntryKind): void {
  const list = listOf(kind);
  const Nothing = z.object({});
  const turn = (path: string, work: typeof removeEntry, word: string) =>
    app.post<Named>(`${list}/:id/${path}`, { preHandler: shop }, (request, reply) =>
      formAct(context, request, reply, {
        schema: Nothing,
        act: (act) => work(act, kind, rowId(request.params.id)),
        to: list,
        done: ({ name }) => `${name} is ${word} the list.`,
        again: (form) =>
          reply.page('shared/error.njk', {
            page: { title: 'Not done', nav: NAV },
            status: 409,
            title: 'Not done',
            text: form.errors._form,
            back: list,
          }),
      }),
    );
  turn('remove', removeEntry, 'off');
  turn('restore', restoreEntry, 'back on');
}
