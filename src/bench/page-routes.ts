import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm, typedValues } from '../platform/http/form.ts';
import { CALCULATE_PATH } from '../platform/http/paths.ts';
import { found } from '../platform/refusal.ts';
import { TooMuchWork, WorkersBusy } from '../platform/workers.ts';
import type { Calculator, Shop, Shown } from './calculator.ts';
import { calculators } from './calculators.ts';
import type { Compute } from './computing.ts';
import { answerJson, type JsonAnswer } from './json-answer.ts';
import { hungUp } from './json-routes.ts';
import { jsonText } from './json-text.ts';
import { materialsOf } from './materials.ts';
import { modelCalculator } from './model.ts';
import { type Fault, problemKinds } from './problem.ts';
import { Typed, type TypedValues } from './typed.ts';

const BENCH = '/bench';

/** The bench: the list of calculators, and a page with a form for each. Open to everyone. */
export function pageRoutes(app: FastifyInstance, context: Context, compute: Compute): void {
  const { baseUrl } = context.settings;
  const materials = materialsOf(context.db);
  const shop = (): Shop => ({ materials: materials() });

  app.get(BENCH, (_request, reply) =>
    reply.page('bench/index.njk', {
      page: { title: 'Bench', nav: BENCH },
      questions: [...new Set(calculators.map(({ question }) => question))].map((question) => ({
        question,
        entries: [...calculators, modelCalculator]
          .filter((one) => one.question === question)
          .map(({ name, title, line }) => ({ href: `${BENCH}/${name}`, title, line })),
      })),
      calculatePath: CALCULATE_PATH,
      problems: Object.entries(problemKinds).map(([kind, { status, title }]) => ({ kind, status, title })),
    }),
  );

  for (const calculator of calculators) {
    const { page, bounds } = calculator;
    const path = `${BENCH}/${calculator.name}`;
    const limited = { config: { rateLimit: { max: bounds.perMinute, timeWindow: '1 minute' } } };
    const show = (reply: FastifyReply, form: FormState, outcome: Outcome | null = null) =>
      reply.page(`bench/${calculator.name}.njk`, {
        page: { title: calculator.title, nav: BENCH },
        ...words(calculator, path, baseUrl),
        form,
        ...page.form?.(form.values, shop()),
        result: outcome?.shown ?? null,
        address: outcome && page.method === 'get' ? baseUrl + addressOf(path, form.values) : null,
        json: outcome?.json ?? exampleJson(calculator),
      });

    const work = async (reply: FastifyReply, values: TypedValues) => {
      const outcome = await workedOut(calculator, values, shop(), (body) =>
        compute(calculator, body, hungUp(reply)),
      );
      if ('errors' in outcome) {
        reply.code(outcome.status);
        if (outcome.retryAfterSeconds) reply.header('retry-after', String(outcome.retryAfterSeconds));
        return show(reply, { values, errors: outcome.errors });
      }
      return show(reply, freshForm(values), outcome);
    };

    if (page.method === 'get') {
      app.get(path, limited, (request, reply) => {
        const values = plainValues(request.query);
        const asked = Object.keys(page.example).some((field) => field in values);
        if (asked && !values.more) return work(reply, values);
        return show(reply, freshForm({ ...page.fresh, ...values }));
      });
    } else {
      app.get<{ Querystring: { example?: string } }>(path, (request, reply) =>
        show(reply, freshForm(request.query.example ? page.example : page.fresh)),
      );
      app.post(path, limited, (request, reply) => work(reply, plainValues(typedValues(request.body))));
    }
  }

  app.get<{ Params: { name: string } }>(`${BENCH}/:name`, () =>
    found(null, 'There is no such calculator on the bench.'),
  );
}

/** What was worked out: for the view, and as JSON. */
interface Outcome {
  shown: Shown;
  json: JsonExample;
}

interface Misfit {
  status: number;
  errors: Record<string, string>;
  retryAfterSeconds?: number;
}

interface JsonExample {
  request: string;
  reply: string;
}

/** Makes the request from what was typed, has it answered, and turns a complaint about it into one at its field. */
async function workedOut(
  { page }: Calculator,
  values: TypedValues,
  shop: Shop,
  answer: (body: Uint8Array) => Promise<JsonAnswer>,
): Promise<Outcome | Misfit> {
  const typed = new Typed(values);
  const { request, fieldOf } = page.read(typed, shop);
  const { errors } = typed;
  if (Object.keys(errors).length > 0) return { status: 422, errors };
  try {
    const { status, body } = await answer(new TextEncoder().encode(JSON.stringify(request)));
    const told = JSON.parse(new TextDecoder().decode(body)) as { detail: string; errors?: Fault[] };
    if (status === 200) {
      return {
        shown: { ...page.show(request, told, values), source: (told as { source?: string }).source },
        json: { request: jsonText(request), reply: jsonText(told) },
      };
    }
    for (const { path, message } of told.errors ?? []) {
      const field = fieldOf?.(path) ?? /^\w*/.exec(path)?.[0];
      const place = path.includes('[') && !fieldOf ? `${path}: ` : '';
      typed.wrong(field || '_form', `${place}${place ? message : capital(message)}.`);
    }
    if (!told.errors) typed.wrong(page.blame?.(told.detail, values) ?? '_form', `${capital(told.detail)}.`);
    return { status: 422, errors };
  } catch (fault) {
    if (fault instanceof WorkersBusy) {
      const { retryAfterSeconds } = fault;
      return {
        status: 503,
        errors: { _form: 'Others are being answered. Send it again in a few seconds.' },
        retryAfterSeconds,
      };
    }
    if (fault instanceof TooMuchWork) {
      return { status: 503, errors: { _form: `${capital(fault.message)}. Ask for less.` } };
    }
    throw fault;
  }
}

const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

/** The fields with one text each: what is sent twice, or is no text, counts as not sent. */
function plainValues(sent: unknown): TypedValues {
  return Object.fromEntries(
    Object.entries((sent ?? {}) as Record<string, unknown>).filter(([, value]) => typeof value === 'string'),
  );
}

/** The page with what was typed, without what was left empty. */
function addressOf(path: string, values: TypedValues): string {
  const query = new URLSearchParams();
  for (const [name, value] of Object.entries(values)) {
    if (typeof value === 'string' && value !== '' && name !== 'rows') query.set(name, value);
  }
  return `${path}?${query}`;
}

function words(calculator: Calculator, path: string, baseUrl: string) {
  const { name, title, line, takes, gives, notes, page } = calculator;
  return {
    calculator: {
      name,
      title,
      line,
      path,
      method: page.method,
      takes,
      gives,
      notes,
      example: page.method === 'get' ? addressOf(path, page.example) : `${path}?example=yes`,
      post: `${CALCULATE_PATH}/${name}`,
      host: new URL(baseUrl).host,
    },
  };
}

const examples = new Map<string, JsonExample>();

/** The list's example of a calculator with its reply, worked out once. */
function exampleJson(calculator: Calculator): JsonExample {
  const { name, example } = calculator;
  let json = examples.get(name);
  if (!json) {
    const { body } = answerJson({ name, body: new TextEncoder().encode(JSON.stringify(example)) });
    json = { request: jsonText(example), reply: jsonText(JSON.parse(new TextDecoder().decode(body))) };
    examples.set(name, json);
  }
  return json;
}
