import type { FastifyReply, FastifyRequest } from 'fastify';
import type { z } from 'zod';
import { type Act, type ActsContext, perform } from '../acts.ts';
import { Refused, WrongField } from '../refusal.ts';
import { sendFlash } from './flash.ts';
import { type FormState, readForm, typedValues } from './form.ts';
import { actorOf, localPath } from './guards.ts';

export interface FormAct<S extends z.ZodType, T> {
  /** what the form holds; each field's messages are sentences */
  schema: S;
  /** the use case: runs in the transaction; throws Refused, WrongField or NotFound to change nothing */
  act: (act: Act, input: z.output<S>) => Promise<T>;
  /** after commit, for what the transaction may not wait for: opening a session */
  after?: (result: T) => Promise<void>;
  /** where the result is to be seen; a hidden field `_back` with a local path goes first */
  to: string | ((result: T, input: z.output<S>) => string);
  /** the sentence shown there */
  done?: string | ((result: T, input: z.output<S>) => string);
  /** shows the page again with what was typed and what is wrong (form.errors, and form.errors._form for the whole) */
  again: (form: FormState, reply: FastifyReply) => Promise<FastifyReply> | FastifyReply;
  /** the fields, where they did not come as a plain form body (multipart) */
  body?: Record<string, unknown>;
}

/**
 * The way of every form: read, act once, go and see the result. 303 when done, 422 with the form when it does not
 * fit, 409 with the form and the reason when the act is refused. The same form sent twice acts once.
 */
export async function formAct<S extends z.ZodType, T>(
  context: ActsContext,
  request: FastifyRequest,
  reply: FastifyReply,
  spec: FormAct<S, T>,
): Promise<FastifyReply> {
  const body = spec.body ?? request.body;
  const read = readForm(spec.schema, body);
  if (!read.fits) {
    reply.code(422);
    return spec.again(read.form, reply);
  }
  const { input } = read;
  const hidden = (body ?? {}) as Record<string, unknown>;
  const values = typedValues(body);
  const token = typeof hidden._once === 'string' && hidden._once.length <= 100 ? hidden._once : null;
  try {
    const outcome = await perform(
      context,
      {
        actor: actorOf(request),
        sent: token ? { token, content: [request.url, withoutPasswords(values)] } : undefined,
        location: (result: T) =>
          localPath(hidden._back) ?? (typeof spec.to === 'string' ? spec.to : spec.to(result, input)),
      },
      (act) => spec.act(act, input),
    );
    if (!outcome.repeated) await spec.after?.(outcome.result);
    const done = outcome.repeated
      ? 'This was sent twice; it was done once.'
      : typeof spec.done === 'function'
        ? spec.done(outcome.result, input)
        : spec.done;
    if (done) sendFlash(reply, { kind: 'done', text: done });
    return reply.redirect(outcome.location, 303);
  } catch (fault) {
    if (fault instanceof WrongField) {
      reply.code(422);
      return spec.again({ values, errors: { [fault.field]: fault.message } }, reply);
    }
    if (fault instanceof Refused) {
      reply.code(409);
      return spec.again({ values, errors: { _form: fault.message } }, reply);
    }
    throw fault;
  }
}

/** A password must not be found again from the key of its form. */
function withoutPasswords(values: Record<string, unknown>): Record<string, unknown> {
  return Object.fromEntries(Object.entries(values).filter(([name]) => !/password/i.test(name)));
}
