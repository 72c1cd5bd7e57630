import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { TooLarge } from '../files.ts';
import { NotComputable } from '../not-computable.ts';
import { NotFound, Refused, WrongField } from '../refusal.ts';
import { WorkersBusy } from '../workers.ts';

interface Answer {
  status: number;
  title: string;
  text: string;
}

function answerTo(fault: FastifyError | Error): Answer {
  if (fault instanceof NotFound) return { status: 404, title: 'Not here', text: fault.message };
  if (fault instanceof Refused) return { status: 409, title: 'Not done', text: fault.message };
  if (fault instanceof WrongField || fault instanceof NotComputable) {
    return { status: 422, title: 'This does not fit', text: fault.message };
  }
  if (fault instanceof TooLarge)
    return { status: 413, title: 'Too large', text: `The file is ${fault.message}.` };
  if (fault instanceof WorkersBusy) {
    return {
      status: 503,
      title: 'Busy',
      text: 'Much is being worked out at once. Try again in a few seconds.',
    };
  }
  const { code = '', statusCode = 500 } = fault as FastifyError;
  if (code.startsWith('FST_CSRF')) {
    return {
      status: 403,
      title: 'Not done',
      text: 'The form was too old, or came from another site. Go back, load the page again and send it once more.',
    };
  }
  if (statusCode === 429) {
    return { status: 429, title: 'Too many at once', text: 'Wait a minute, then try again.' };
  }
  if (statusCode === 413) return { status: 413, title: 'Too large', text: 'What was sent is too large.' };
  if (statusCode >= 400 && statusCode < 500) {
    return { status: statusCode, title: 'Not understood', text: 'The request could not be read.' };
  }
  return {
    status: 500,
    title: 'A fault of ours',
    text: 'Something went wrong in the program. Nothing was half done. It has been written down; try again.',
  };
}

/** One place that turns faults, refusals and misses into a page or, for the JSON interface, an RFC 9457 document. */
export function addFaults(app: FastifyInstance): void {
  const answer = (request: FastifyRequest, reply: FastifyReply, { status, title, text }: Answer) => {
    if (request.url.startsWith('/api/')) {
      return reply
        .code(status)
        .type('application/problem+json')
        .send(JSON.stringify({ type: 'about:blank', title, status, detail: text }));
    }
    return reply.code(status).page('shared/error.njk', { page: { title }, status, title, text, back: '/' });
  };
  app.setErrorHandler((fault: FastifyError, request, reply) => {
    const told = answerTo(fault);
    if (told.status === 500) request.log.error({ err: fault }, 'fault');
    return answer(request, reply, told);
  });
  app.setNotFoundHandler((request, reply) =>
    answer(request, reply, { status: 404, title: 'Not here', text: 'There is no such page.' }),
  );
}
