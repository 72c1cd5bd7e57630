import { createReadStream } from 'node:fs';
import { open, stat } from 'node:fs/promises';
import type { FastifyInstance } from 'fastify';
import { documentFor, fileSize, maySeeRevision } from '../drawings/index.ts';
import {
  drawContours,
  factsOfDocuments,
  factsShown,
  isPictured,
  mmPerFigure,
  READER_VERSION,
  Unreadable,
} from '../models/index.ts';
import { partPath } from '../parts/index.ts';
import type { Context } from '../platform/context.ts';
import { forbidden, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found, NotFound } from '../platform/refusal.ts';
import { Pictures } from './pictures.ts';
import type { Shapes } from './ports.ts';
import { readComparison } from './read-comparison.ts';

interface OfId {
  Params: { id: string };
}

const MOST_PATHS = 4000;
const PICTURES = new Set(['png', 'jpeg', 'webp', 'svg']);
/** An SVG that is shown as a picture may have its own styles, and do nothing else. */
const PICTURE_POLICY = "default-src 'none'; style-src 'unsafe-inline'";

/** Files in the page: models to turn, flat patterns, drawings, small pictures, and revisions side by side. */
export function viewingRoutes(app: FastifyInstance, context: Context, shapes: Shapes): void {
  const { db } = context;
  const pictures = new Pictures(shapes);
  app.addHook('onClose', () => pictures.close());

  /** A file that has no shape or picture is, at this address, not there. */
  async function orNone<T>(work: Promise<T>): Promise<T> {
    return work.catch((fault: unknown) => {
      if (fault instanceof Unreadable) throw new NotFound(fault.message);
      throw fault;
    });
  }

  const kept = (sha256: string) => ({
    etag: `"${sha256}-${READER_VERSION}"`,
    'cache-control': 'private, max-age=600',
    'x-content-type-options': 'nosniff',
  });

  // The triangles of a model: nine 32-bit numbers each, in mm, or in the figures of an STL.
  app.get<OfId>('/documents/:id/shape', async (request, reply) => {
    const document = await documentFor(db, request, reply);
    if (!document) return reply;
    if (!['step', 'stl'].includes(document.fileKind)) throw new NotFound('This file is no model.');
    const path = await orNone(shapes.shapePath(document));
    const { from, until } = await positionsIn(path);
    reply.headers(kept(document.sha256)).type('application/octet-stream');
    if (until <= from) return reply.send(Buffer.alloc(0));
    return reply
      .header('content-length', until - from)
      .send(createReadStream(path, { start: from, end: until - 1 }));
  });

  app.get<OfId & { Querystring: { on?: string } }>('/documents/:id/picture', async (request, reply) => {
    const document = await documentFor(db, request, reply);
    if (!document) return reply;
    const { mediaType, content } = await orNone(pictures.of(document, request.query.on === 'dark'));
    return reply
      .headers({ ...kept(document.sha256), 'content-security-policy': PICTURE_POLICY })
      .type(mediaType)
      .send(Buffer.from(content.buffer, content.byteOffset, content.byteLength));
  });

  app.get<OfId>('/documents/:id/view', async (request, reply) => {
    const document = await documentFor(db, request, reply);
    if (!document) return reply;
    const { revision, fileKind, name } = document;
    const lengthUnit = request.person?.lengthUnit ?? 'mm';
    const known = (await factsOfDocuments(db, [document])).get(document.id);
    const pictured = isPictured(fileKind, known);
    const shown = pictured
      ? fileKind === 'dxf'
        ? 'flat'
        : 'model'
      : fileKind === 'pdf'
        ? 'pdf'
        : PICTURES.has(fileKind)
          ? 'picture'
          : '';
    const isShop = request.person !== null && request.person.role !== 'maker';
    const tree = known?.state === 'read' ? (known.facts.step?.tree ?? []) : [];
    const others = await db.read.revision.findMany({
      where: { partId: revision.partId, id: { not: revision.id } },
      orderBy: { id: 'desc' },
    });
    return reply.page('viewing/document.njk', {
      page: {
        title: `${name}, ${revision.part.number} ${revision.letter}`,
        sheet: `${revision.part.number} ${revision.letter}, ${name}`,
        nav: '/structure',
      },
      document: {
        name,
        kind: document.kind,
        size: fileSize(document.bytes),
        href: `/documents/${document.id}`,
      },
      revision: { letter: revision.letter, state: revision.state, href: `/revisions/${revision.id}` },
      part: { number: revision.part.number, name: revision.part.name },
      label: `${document.kind} of ${revision.part.number} ${revision.part.name}, revision ${revision.letter}`,
      unit: lengthUnit,
      scale: mmPerFigure(document.unit),
      shown,
      facts: known ? factsShown(known, lengthUnit) : null,
      flat: shown === 'flat' ? await flatOf(document) : null,
      structureHref:
        isShop && tree.some(({ children }) => children.length > 0)
          ? `/documents/${document.id}/structure`
          : '',
      others: request.person
        ? others
            .filter((other) => maySeeRevision(request.person!, other))
            .map((other) => ({
              href: `/revisions/${other.id}/beside/${revision.id}`,
              label: `${other.letter} beside ${revision.letter}`,
            }))
        : [],
    });
  });

  async function flatOf(document: { sha256: string; fileKind: string }) {
    const shape = await orNone(shapes.shape(document));
    if (shape.kind !== 'contours') throw new NotFound('This file is no flat pattern.');
    const { box, paths } = drawContours(shape);
    return { box, paths: paths.slice(0, MOST_PATHS), cut: paths.length > MOST_PATHS };
  }

  app.get<OfId & { Params: { other: string } }>(
    '/revisions/:id/beside/:other',
    { preHandler: signedIn },
    async (request, reply) => {
      const person = found(request.person, 'Sign in first.');
      const ids = [rowId(request.params.id), rowId(request.params.other)] as const;
      for (const id of ids) {
        const revision = found(
          await db.read.revision.findUnique({ where: { id }, select: { releasedAt: true } }),
          'There is no such revision.',
        );
        if (!maySeeRevision(person, revision)) {
          return forbidden(reply, 'This revision is not released: only lead and crew see it.');
        }
      }
      const read = await readComparison(db, shapes, {
        beforeId: ids[0],
        afterId: ids[1],
        lengthUnit: person.lengthUnit,
      });
      const part = await db.read.part.findUniqueOrThrow({ where: { id: read.partId } });
      const { before, after } = read;
      const linked = (one: typeof before) => ({ ...one, href: `/revisions/${one.id}` });
      return reply.page('viewing/compare.njk', {
        page: { title: `${part.number}: ${before.letter} beside ${after.letter}`, nav: '/structure' },
        part: { number: part.number, name: part.name, href: partPath(part.number) },
        before: linked(before),
        after: linked(after),
        turned: `/revisions/${after.id}/beside/${before.id}`,
        comparison: read.comparison,
        files: read.files,
      });
    },
  );
}

/** Where in a kept shape the positions of its triangles lie: after the head, the first half of the rest. */
async function positionsIn(path: string): Promise<{ from: number; until: number }> {
  const { size } = await stat(path);
  const file = await open(path, 'r');
  try {
    const { buffer } = await file.read(Buffer.alloc(8), 0, 8, 0);
    const from = 8 + buffer.readUInt32LE(4);
    return { from, until: from + (size - from) / 2 };
  } finally {
    await file.close();
  }
}
