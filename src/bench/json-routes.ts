import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest, HTTPMethods } from 'fastify';
import { CALCULATE_PATH } from '../platform/http/paths.ts';
import { TooMuchWork, WorkersBusy } from '../platform/workers.ts';
import type { Calculator } from './calculator.ts';
import { calculatorNamed, calculators } from './calculators.ts';
import type { Compute } from './computing.ts';
import { modelCalculator } from './model.ts';
import { type Fault, PROBLEM_TYPE, type ProblemKind, problemDocument } from './problem.ts';

/** The JSON interface of the calculators: no sign-in, no cookies, nothing kept. */
export function jsonRoutes(app: FastifyInstance, compute: Compute): void {
  app.register(
    async (api) => {
      // Bodies stay as they came: the thread that computes reads them. Other content types are answered with 415.
      api.removeAllContentTypeParsers();
      api.addContentTypeParser('application/json', { parseAs: 'buffer' }, (_request, body, done) => {
        done(null, body);
      });
      api.setErrorHandler(answerFault);

      api.get('/', async () => ({
        calculators: [...calculators, modelCalculator].map(described),
      }));
      told(api, '/', ['POST', 'PUT', 'PATCH', 'DELETE', 'OPTIONS'], (_request, reply) => {
        reply.header('allow', 'GET, HEAD');
        return problem(
          reply,
          'other-method',
          'The list is read by GET; a calculator is asked under its own name.',
        );
      });
      for (const calculator of calculators) addCalculator(api, calculator, compute);
      told(api, '/:name', api.supportedMethods, (request, reply) => {
        const { name } = request.params as { name: string };
        if (!calculatorNamed(name)) return problem(reply, 'no-such-calculator', noSuch(name));
        reply.header('allow', 'POST');
        return problem(
          reply,
          'other-method',
          `Send the request by POST with a JSON body. For people there is a page: /bench/${name}`,
        );
      });
      told(api, '/*', api.supportedMethods, (request, reply) =>
        problem(reply, 'no-such-calculator', noSuch(request.url.slice(CALCULATE_PATH.length + 1))),
      );
    },
    { prefix: CALCULATE_PATH },
  );
  told(app, '/api/*', app.supportedMethods, (_request, reply) =>
    problem(
      reply,
      'no-such-place',
      `There is nothing here. The list of calculators is at ${CALCULATE_PATH}.`,
    ),
  );
}

/** A route that only says what is wrong: at once, before a body is read or anything is asked of the caller. */
export function told(
  app: FastifyInstance,
  url: string,
  method: string[],
  answer: (request: FastifyRequest, reply: FastifyReply) => FastifyReply,
): void {
  app.route({
    method: method as HTTPMethods[],
    url,
    onRequest: async (request, reply) => answer(request, reply),
    handler: (_request, reply) => reply,
  });
}

function addCalculator(api: FastifyInstance, calculator: Calculator, compute: Compute): void {
  const { name, bounds } = calculator;
  api.post<{ Body: Buffer | undefined }>(
    `/${name}`,
    {
      bodyLimit: bounds.bytes,
      config: { rateLimit: { max: bounds.perMinute, timeWindow: '1 minute' } },
    },
    async (request, reply) => {
      const { status, body } = await compute(calculator, request.body ?? Buffer.alloc(0), hungUp(reply));
      const type = status === 200 ? 'application/json' : PROBLEM_TYPE;
      return reply
        .code(status)
        .header('cache-control', 'no-store')
        .type(`${type}; charset=utf-8`)
        .send(Buffer.from(body.buffer, body.byteOffset, body.byteLength));
    },
  );
}

/** Aborts when the caller has gone before the reply. */
export function hungUp(reply: FastifyReply): AbortSignal {
  const gone = new AbortController();
  reply.raw.once('close', () => {
    if (!reply.raw.writableFinished) gone.abort(new Gone());
  });
  return gone.signal;
}

/** Nobody is there to be answered any more. */
class Gone extends Error {
  readonly statusCode = 499;
}

const noSuch = (name: string) =>
  `There is no calculator "${name.slice(0, 60)}". There are ${[...calculators, modelCalculator].map((one) => one.name).join(', ')}.`;

function described({ name, title, line, bounds }: Pick<Calculator, 'name' | 'title' | 'line' | 'bounds'>) {
  return {
    name,
    title,
    line,
    request: {
      method: 'POST',
      href: `${CALCULATE_PATH}/${name}`,
      mostBytes: bounds.bytes,
      perMinute: bounds.perMinute,
    },
    page: `/bench/${name}`,
  };
}

export function problem(
  reply: FastifyReply,
  kind: ProblemKind,
  detail: string,
  members: Record<string, unknown> = {},
): FastifyReply {
  const document = problemDocument(kind, detail, members);
  return reply
    .code(document.status)
    .header('cache-control', 'no-store')
    .type(`${PROBLEM_TYPE}; charset=utf-8`)
    .send(JSON.stringify(document));
}

export function answerFault(
  fault: FastifyError | Error,
  request: FastifyRequest,
  reply: FastifyReply,
): FastifyReply {
  if (fault instanceof WorkersBusy) {
    reply.header('retry-after', String(fault.retryAfterSeconds));
    return problem(reply, 'busy', 'Others are being answered. Ask again in a few seconds.');
  }
  if (fault instanceof TooMuchWork) {
    return problem(reply, 'busy', `${sentence(fault.message)} Ask for less.`);
  }
  const { statusCode = 500 } = fault as FastifyError;
  if (statusCode === 413) {
    const most = ((request.routeOptions.bodyLimit ?? 0) / 2 ** 20).toFixed(0);
    return problem(reply, 'too-large', `The body may have ${most} MB.`);
  }
  if (statusCode === 415) {
    reply.header('accept-post', 'application/json');
    return problem(reply, 'not-json', 'Send the request with Content-Type: application/json.');
  }
  if (statusCode === 429) return problem(reply, 'too-many', 'Wait a minute, then ask again.');
  if (statusCode >= 400 && statusCode < 500) {
    const errors: Fault[] = [{ path: '', message: 'the request could not be read' }];
    return problem(reply, 'does-not-fit', 'The request could not be read.', { errors });
  }
  request.log.error({ err: fault }, 'fault');
  return problem(reply, 'fault', 'Something went wrong in the program. It has been written down; try again.');
}

const sentence = (text: string) => `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
