import type { FastifyInstance, FastifyReply } from 'fastify';
import { historyLines, readLog } from '../log/index.ts';
import { partByNumber } from '../parts/index.ts';
import type { Context } from '../platform/context.ts';
import { dayIn, dayWords } from '../platform/day.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly, shop } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { readChainList } from './chain-list.ts';
import { surroundingsWords } from './conditions.ts';
import { addFit, changeFit, removeFit, setSurroundings } from './fit-acts.ts';
import { type FitRow, readFitting } from './fit-reading.ts';
import { fitListLine, fitView } from './fit-view.ts';
import { ButtonForm, FitForm, SurroundingsForm } from './forms.ts';
import { GROWTH_CHOICES } from './growth-choices.ts';
import { realView } from './real-view.ts';
import { shelfReader } from './shelf.ts';
import { type Reader, sideSources, sizeChoices } from './side-store.ts';
import { VERDICTS } from './verdict.ts';

const NAV = '/fits';

interface Named {
  Params: { id: string };
}
interface Picking {
  Querystring: { hole?: unknown; shaft?: unknown };
}

const WISH_CHOICES = [
  { value: 'sliding', label: 'Sliding', hint: 'always clear, and no looser than H9/d9' },
  { value: 'located', label: 'Located', hint: 'put together by hand or light taps: from H7/n6 to H7/h6' },
  { value: 'pressed', label: 'Pressed', hint: 'never clear, and no tighter than H7/u6' },
  { value: 'figures', label: 'By figures', hint: 'the smallest and greatest clearance, typed below' },
];

const typedNumber = (value: unknown) => (typeof value === 'string' ? value.trim().slice(0, 60) : '');

/** The sizes of a part to choose from; a sentence where it has none or is not there. None for an empty number. */
async function pickSizes(reader: Reader & Parameters<typeof partByNumber>[0], number: string) {
  if (number === '') return { number: '', name: '', sizes: [], sentence: '' };
  const part = await partByNumber(reader, number);
  if (!part || part.removedAt !== null)
    return { number, name: '', sizes: [], sentence: `No part has the number ${number}.` };
  const sizes = await sizeChoices(reader, part.id);
  return {
    number: part.number,
    name: part.name,
    sizes,
    sentence: sizes.length
      ? ''
      : `${part.number} has no size with limits on a released revision or draft: type one below, or add it to its drawing.`,
  };
}

/** What a form shows of a stored fit. */
function fitValues(row: FitRow, numbers: { hole: string; shaft: string }): Record<string, unknown> {
  const filled = Object.entries(row).map(([name, value]) => [name, value ?? '']);
  return { ...Object.fromEntries(filled), holePart: numbers.hole, shaftPart: numbers.shaft };
}

/** The day on which it was taken off the list; empty while it is on it. */
export const removedOn = ({ removedAt }: { removedAt: Date | null }, { timeZone }: { timeZone: string }) =>
  removedAt ? dayWords(dayIn(timeZone, removedAt)) : '';

/** Fits: the list with the chains, one of them, adding, changing and taking off. */
export function fitRoutes(app: FastifyInstance, context: Context): void {
  const { db } = context;
  const read = async (id: string) =>
    found(
      await db.read.fit.findFirst({ where: { id: rowId(id), removedAt: null } }),
      'There is no such fit any more.',
    );
  const sourcesOf = (rows: readonly FitRow[]) =>
    sideSources(
      db.read,
      rows.flatMap(({ holePartId, shaftPartId }) => [{ partId: holePartId }, { partId: shaftPartId }]),
    );

  const listPage = async (query: Record<string, unknown>, reply: FastifyReply, typed: FormState | null) => {
    const rows = await db.read.fit.findMany({ where: { removedAt: null }, orderBy: { id: 'asc' } });
    const sources = await sourcesOf(rows);
    const fits = rows.map((row) => fitListLine(readFitting(row, sources)));
    const chains = await readChainList(db.read);
    const verdict = VERDICTS.find((one) => one === query.verdict) ?? '';
    const part = typedNumber(query.part).toLowerCase();
    const has = (...texts: string[]) =>
      part === '' || texts.some((text) => text.toLowerCase().includes(part));
    return reply.page('fits/list.njk', {
      page: { title: 'Fits and chains', nav: NAV },
      any: fits.length + chains.length > 0,
      fits: fits.filter(
        (one) => (!verdict || one.verdict.word === verdict) && has(one.name, one.hole.name, one.shaft.name),
      ),
      chains: chains.filter(
        (one) => (!verdict || one.verdict.word === verdict) && has(one.title, ...one.parts),
      ),
      filter: freshForm({ verdict, part: typedNumber(query.part) }),
      verdicts: [...VERDICTS],
      machine: surroundingsWords(sources.machine),
      humid: sources.machine.humidity !== null,
      temperatureForm:
        typed ??
        freshForm({
          lowCelsius: sources.machine.low,
          highCelsius: sources.machine.high,
          lowHumidity: sources.machine.humidity?.low ?? '',
          highHumidity: sources.machine.humidity?.high ?? '',
        }),
    });
  };

  app.get<{ Querystring: Record<string, unknown> }>('/fits', { preHandler: shop }, (request, reply) =>
    listPage(request.query, reply, null),
  );

  app.post('/fits/temperatures', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: SurroundingsForm,
      act: setSurroundings,
      to: '/fits',
      done: 'What the machine stands in is set; every fit and chain without its own goes by it.',
      again: (form) => listPage({}, reply, form),
    }),
  );

  const formPage = async (reply: FastifyReply, form: FormState, editing: FitRow | null) => {
    const [hole, shaft] = [
      await pickSizes(db.read, typedNumber(form.values.holePart)),
      await pickSizes(db.read, typedNumber(form.values.shaftPart)),
    ];
    return reply.page('fits/fit-form.njk', {
      page: { title: editing ? 'Change a fit' : 'A new fit', nav: NAV },
      form,
      editing: editing && { id: editing.id, version: editing.version },
      sides: [
        { key: 'hole', word: 'Hole', ...hole },
        { key: 'shaft', word: 'Shaft', ...shaft },
      ],
      wishes: WISH_CHOICES,
      growths: GROWTH_CHOICES,
      machine: (await sourcesOf([])).machine,
    });
  };

  app.get<Picking>('/fits/new', { preHandler: shop }, (request, reply) => {
    const { hole, shaft } = request.query;
    const values = { holePart: typedNumber(hole), shaftPart: typedNumber(shaft), wanted: 'sliding' };
    return formPage(reply, freshForm(values), null);
  });

  app.post('/fits', { preHandler: shop }, (request, reply) =>
    formAct(context, request, reply, {
      schema: FitForm,
      act: addFit,
      to: ({ id }) => `/fits/${id}`,
      done: ({ name }) => `${name} is on the list.`,
      again: (form) => formPage(reply, form, null),
    }),
  );

  app.get<Named>('/fits/:id', { preHandler: shop }, async (request, reply) => {
    // what is taken off the list stays to be seen: the log leads to it
    const row = found(
      await db.read.fit.findUnique({ where: { id: rowId(request.params.id) } }),
      'There is no such fit.',
    );
    const sources = await sourcesOf([row]);
    const reading = readFitting(row, sources);
    const fit = fitView(reading);
    return reply.page('fits/fit.njk', {
      page: { title: fit.name, nav: NAV },
      fit,
      removedOn: removedOn(row, sources),
      real: row.removedAt ? null : realView(reading, shelfReader(db)),
      history: historyLines(
        readLog(db, { thing: { type: 'fit', id: row.id } }, { limit: 20 }),
        sources.timeZone,
      ),
    });
  });

  app.get<Named & Picking>('/fits/:id/change', { preHandler: shop }, async (request, reply) => {
    const row = await read(request.params.id);
    const { parts } = await sourcesOf([row]);
    const stored = (id: number | null) => (id === null ? '' : (parts.get(id)?.number ?? ''));
    const { hole, shaft } = request.query;
    const numbers = {
      hole: hole === undefined ? stored(row.holePartId) : typedNumber(hole),
      shaft: shaft === undefined ? stored(row.shaftPartId) : typedNumber(shaft),
    };
    const values = fitValues(row, numbers);
    // another part's size of the same number is another size
    if (numbers.hole !== stored(row.holePartId)) values.holePosition = '';
    if (numbers.shaft !== stored(row.shaftPartId)) values.shaftPosition = '';
    return formPage(reply, freshForm(values), row);
  });

  app.post<Named>('/fits/:id', { preHandler: shop }, async (request, reply) => {
    const row = await read(request.params.id);
    return formAct(context, request, reply, {
      schema: FitForm,
      act: (act, input) => changeFit(act, { id: row.id, input }),
      to: `/fits/${row.id}`,
      done: (name) => `${name} is changed.`,
      again: (form) => formPage(reply, form, row),
    });
  });

  app.post<Named>('/fits/:id/remove', { preHandler: shop }, async (request, reply) => {
    const row = await read(request.params.id);
    return formAct(context, request, reply, {
      schema: ButtonForm,
      act: (act) => removeFit(act, { id: row.id }),
      to: '/fits',
      done: (name) => `${name} is off the list.`,
      again: (form) =>
        reply.page('shared/error.njk', {
          page: { title: 'Not done', nav: NAV },
          status: 409,
          title: 'Not done',
          text: form.errors._form,
          back: `/fits/${row.id}`,
        }),
    });
  });
}
