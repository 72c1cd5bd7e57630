import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Actor, Role } from '../acts.ts';
import { SIGN_IN_PATH } from './paths.ts';

/** A route's guard: signed in with one of the roles, else the sign-in page with the way back, else 403. */
export function only(...roles: Role[]) {
  return async (request: FastifyRequest, reply: FastifyReply): Promise<FastifyReply | undefined> => {
    const { person } = request;
    if (!person) return reply.redirect(signInAddress(request), 303);
    if (!roles.includes(person.role)) {
      return forbidden(
        reply,
        `This page is for ${roles.join(' and ')}; you are signed in as ${person.role}.`,
      );
    }
    return undefined;
  };
}

/** Any signed-in person. */
export const signedIn = only('lead', 'crew', 'maker');
/** Lead and crew. */
export const shop = only('lead', 'crew');
export const leadOnly = only('lead');

/** Answers 403 with a sentence. */
export function forbidden(reply: FastifyReply, sentence: string): FastifyReply {
  return reply.code(403).page('shared/error.njk', {
    page: { title: 'Not for you' },
    status: 403,
    title: 'Not for you',
    text: sentence,
    back: '/',
  });
}

function signInAddress(request: FastifyRequest): string {
  // After a form the way back is the page it stood on: an act is never repeated by a redirect.
  const back = request.method === 'GET' ? request.url : refererPath(request);
  return `${SIGN_IN_PATH}?back=${encodeURIComponent(back)}`;
}

function refererPath(request: FastifyRequest): string {
  try {
    const { pathname, search } = new URL(request.headers.referer ?? '');
    return localPath(pathname + search) ?? '/';
  } catch {
    return '/';
  }
}

/** The text, if it is a path on this server and nothing else: no other host can hide in it. */
export function localPath(text: unknown): string | null {
  if (typeof text !== 'string' || text.length > 500) return null;
  return /^\/(?![/\\])[^\\\u0000-\u0020\u007f]*$/.test(text) ? text : null;
}

/** Who acts, for the log. */
export function actorOf(request: FastifyRequest): Actor {
  return request.person
    ? { personId: request.person.id, role: request.person.role }
    : { personId: null, role: 'visitor' };
}
