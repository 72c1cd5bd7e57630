import { createHash } from 'node:crypto';
import type { FastifyReply, FastifyRequest } from 'fastify';

/** A text that readers fetch again and again. */
export interface Fetched {
  body: string;
  type: string;
  /** whether caches on the way may keep it for others, and for how many seconds; 0: asked for anew each time */
  shared: boolean;
  freshSeconds: number;
  /** nothing in it has changed since */
  modifiedAt: Date;
}

/**
 * Whether who asks has it already (RFC 9110, section 13.2.2: If-None-Match goes first and is compared weakly, else
 * If-Modified-Since).
 */
export function alreadyHas(
  asked: { ifNoneMatch?: string | undefined; ifModifiedSince?: string | undefined },
  { tag, modifiedAt }: { tag: string; modifiedAt: Date },
): boolean {
  const opaque = (one: string) => one.trim().replace(/^W\//, '');
  if (asked.ifNoneMatch !== undefined) {
    return asked.ifNoneMatch.split(',').some((one) => one.trim() === '*' || opaque(one) === opaque(tag));
  }
  if (asked.ifModifiedSince === undefined) return false;
  const since = Date.parse(asked.ifModifiedSince);
  return !Number.isNaN(since) && Math.floor(modifiedAt.getTime() / 1000) * 1000 <= since;
}

/** Sends it whole, or 304 when who asks has it already. */
export function sendFetched(
  request: FastifyRequest,
  reply: FastifyReply,
  { body, type, shared, freshSeconds, modifiedAt }: Fetched,
): FastifyReply {
  // Weak: it may travel compressed, in other bytes.
  const tag = `W/"${createHash('sha256').update(body).digest('base64url').slice(0, 27)}"`;
  reply.headers({
    etag: tag,
    'last-modified': modifiedAt.toUTCString(),
    'cache-control': [
      // Who brings cookies may be sent one back: no cache on the way may hand that to others.
      shared && request.headers.cookie === undefined ? 'public' : 'private',
      freshSeconds > 0 ? `max-age=${freshSeconds}` : 'no-cache',
    ].join(', '),
  });
  const { 'if-none-match': ifNoneMatch, 'if-modified-since': ifModifiedSince } = request.headers;
  if (alreadyHas({ ifNoneMatch, ifModifiedSince }, { tag, modifiedAt })) return reply.code(304).send();
  return reply.type(type).send(body);
}
