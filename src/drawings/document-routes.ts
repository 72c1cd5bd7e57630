import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { isSafeInline } from '../models/index.ts';
import type { Context } from '../platform/context.ts';
import type { Database } from '../platform/database.ts';
import { forbidden, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { byteRange } from './byte-range.ts';
import { contentDisposition } from './content-disposition.ts';
import { maySeeRevision, mayVisitorSee } from './document-access.ts';

/** Nothing that was uploaded may load, run or send anything; an SVG may keep its own styles. */
const POLICY = "default-src 'none'; style-src 'unsafe-inline'; sandbox";

interface Named {
  Params: { id: string };
}

/**
 * The document of an address, for who may see it; anybody else has been answered.
 *
 * @throws NotFound  no such document
 */
export async function documentFor(
  db: Pick<Database, 'read' | 'hot'>,
  request: FastifyRequest<Named>,
  reply: FastifyReply,
) {
  const { person } = request;
  const id = rowId(request.params.id);
  // Whether there is such a document is told only to who may see it.
  if (!person && !mayVisitorSee(db, id)) {
    await signedIn(request, reply);
    return null;
  }
  const document = found(
    await db.read.document.findFirst({
      where: { id, removedAt: null },
      include: { revision: { include: { part: true } } },
    }),
    'There is no such document.',
  );
  if (person && !maySeeRevision(person, document.revision)) {
    forbidden(reply, 'This revision is not released: only lead and crew see it.');
    return null;
  }
  return document;
}

/** GET /documents/:id: the file itself, whole or in part. */
export function documentRoutes(app: FastifyInstance, context: Context): void {
  const { db, files } = context;
  app.get<Named>('/documents/:id', { compress: false }, async (request, reply) => {
    const document = await documentFor(db, request, reply);
    if (!document) return reply;
    const { sha256, name, fileKind, mediaType } = document;
    const etag = `"${sha256}"`;
    reply.headers({
      etag,
      'cache-control': 'private, no-cache',
      'content-security-policy': POLICY,
      'x-content-type-options': 'nosniff',
      'accept-ranges': 'bytes',
    });
    if (matches(request.headers['if-none-match'], etag)) return reply.code(304).send();
    const path = files.pathOf(sha256);
    const { size } = await stat(path);
    const type = mediaType.startsWith('text/') ? `${mediaType}; charset=utf-8` : mediaType;
    reply.headers({
      'content-type': type,
      'content-disposition': contentDisposition(isSafeInline(fileKind) ? 'inline' : 'attachment', name),
    });
    // A range asked for of another content is answered with the whole of this one (RFC 9110, 13.1.5).
    const ifRange = request.headers['if-range'];
    const range = byteRange(ifRange && ifRange !== etag ? undefined : request.headers.range, size);
    if (range.status === 416) return reply.code(416).header('content-range', `bytes */${size}`).send();
    if (range.status === 206) {
      const { start, end } = range;
      reply.code(206).headers({
        'content-range': `bytes ${start}-${end}/${size}`,
        'content-length': end - start + 1,
      });
      return reply.send(createReadStream(path, { start, end }));
    }
    reply.header('content-length', size);
    return reply.send(createReadStream(path));
  });
}

function matches(header: string | undefined, etag: string): boolean {
  return (header ?? '')
    .split(',')
    .some((one) => one.trim().replace(/^W\//, '') === etag || one.trim() === '*');
}
