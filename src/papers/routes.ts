import { access, constants } from 'node:fs/promises';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { contentDisposition } from '../drawings/index.ts';
import { cardNamesReader, factsReader, type JobFacts, momentReader } from '../jobs/index.ts';
import { partPath } from '../parts/index.ts';
import type { Context } from '../platform/context.ts';
import { forbidden, shop, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { found, refuse } from '../platform/refusal.ts';
import { dataSecret } from '../platform/secret.ts';
import { Workers } from '../platform/workers.ts';
import type { Drawing } from './draw.ts';
import { readParcelLabel, readUnitLabels } from './label-reader.ts';
import { packStream } from './pack.ts';
import { LABELS_ACROSS, LABELS_DOWN, MOST_LABELS, paperOf } from './paper.ts';
import { readPartLabels } from './part-labels.ts';
import { type PaperSources, type ReadCard, readRouteCard } from './route-card-reader.ts';
import { readStamp } from './stamp.ts';
import { readStampPage } from './stamp-page.ts';

const DRAWING_SECONDS = 20;
const drawModule = new URL(import.meta.url.endsWith('.ts') ? './draw.ts' : './draw.js', import.meta.url).href;

interface OfId {
  Params: { id: string };
}

/** What papers ask of other domains. */
export interface PaperPorts {
  times: PaperSources['times'];
}

/** Packs, route cards and labels on paper, and the page behind a pack's code. */
export function papersRoutes(app: FastifyInstance, context: Context, { times }: PaperPorts): void {
  const { db, clock, files, settings } = context;
  const workers = new Workers({ threads: 1, waiting: 20, megabytes: 256 });
  app.addHook('onClose', () => workers.close());
  const momentAt = momentReader(db);
  const secret = dataSecret(settings.dataDir, 'printed packs');
  const guard = { preHandler: signedIn };
  const sources: PaperSources = {
    db,
    files,
    times,
    secret,
    facts: factsReader(db),
    names: cardNamesReader(db),
    moment: () => momentAt(clock.now()),
    now: () => clock.now(),
    baseUrl: settings.baseUrl,
  };

  /** Whom a pack is for: makers take their own, lead and crew one for any maker. */
  async function forWhom(person: SignedIn, named: unknown) {
    const id = person.role === 'maker' ? person.id : rowId(named) || person.id;
    const row = found(
      await db.read.person.findFirst({ where: { id, forgottenAt: null } }),
      'There is no such person.',
    );
    return {
      id,
      name: row.name,
      role: row.role as SignedIn['role'],
      lengthUnit: row.lengthUnit as SignedIn['lengthUnit'],
      country: row.country,
    };
  }

  async function cardFor(request: FastifyRequest<OfId & { Querystring: { maker?: string } }>) {
    const person = found(request.person, 'Sign in first.');
    const whom = await forWhom(person, request.query.maker);
    return readRouteCard(sources, rowId(request.params.id), whom);
  }

  const cardOf = ({ card, country }: ReadCard): Drawing => ({
    what: 'route card',
    card,
    size: paperOf(country),
    at: clock.now(),
  });

  const drawn = async (drawing: Drawing): Promise<Buffer> => {
    const bytes = await workers.run<Uint8Array>({
      module: drawModule,
      name: 'draw',
      input: drawing,
      seconds: DRAWING_SECONDS,
    });
    return Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  };

  async function pdf(reply: FastifyReply, drawing: Drawing, name: string): Promise<FastifyReply> {
    const content = await drawn(drawing);
    return reply
      .headers({
        'cache-control': 'private, no-store',
        'content-disposition': contentDisposition('inline', name),
        'content-length': content.length,
      })
      .type('application/pdf')
      .send(content);
  }

  app.get<OfId & { Querystring: { maker?: string } }>(
    '/jobs/:id/route-card.pdf',
    guard,
    async (request, reply) => {
      const read = await cardFor(request);
      return pdf(reply, cardOf(read), `${packName(read)} route card.pdf`);
    },
  );

  app.get<OfId & { Querystring: { maker?: string } }>(
    '/jobs/:id/pack.zip',
    { ...guard, compress: false },
    async (request, reply) => {
      const read = await cardFor(request);
      // Said before the first byte goes out: afterwards the download could only break off.
      for (const { path, name } of read.packed) {
        await access(path, constants.R_OK).catch(() =>
          refuse('file-missing', `The file ${name} is missing in the data folder: restore it from a backup.`),
        );
      }
      const name = packName(read);
      const stream = packStream({
        folder: name,
        card: await drawn(cardOf(read)),
        files: read.packed,
        at: clock.now(),
      });
      stream.on('error', (fault) => request.log.warn({ err: fault }, 'pack broken off'));
      reply.raw.once('close', () => stream.destroy());
      return reply
        .headers({
          'cache-control': 'private, no-store',
          'content-disposition': contentDisposition('attachment', `${name}.zip`),
        })
        .type('application/zip')
        .send(stream);
    },
  );

  // Open to whoever holds the paper: the address can't be guessed, and says no more than whether it is still true.
  app.get<{ Params: { stamp: string } }>('/packs/:stamp', async (request, reply) => {
    const stamp = readStamp(request.params.stamp, secret);
    const page = found(
      stamp && (await readStampPage(db, stamp, request.person)),
      'This code was not printed by this build, or not read whole.',
    );
    reply.header('x-robots-tag', 'noindex');
    return reply.page('papers/stamp.njk', {
      page: { title: `Pack of job ${page.jobNumber}, revision ${page.letter}`, nav: '/board' },
      pack: page,
    });
  });

  app.get<OfId>('/parcels/:id/label.pdf', guard, async (request, reply) => {
    const person = found(request.person, 'Sign in first.');
    const id = rowId(request.params.id);
    const label = await readParcelLabel(db, id, person, settings.baseUrl);
    return pdf(reply, { what: 'parcel label', label, at: clock.now() }, `Parcel ${id}.pdf`);
  });

  app.get<OfId & { Querystring: { skip?: string; from?: string } }>(
    '/claims/:id/labels.pdf',
    guard,
    async (request, reply) => {
      const person = found(request.person, 'Sign in first.');
      const id = rowId(request.params.id);
      const { labels, title, country, isOwn } = await readUnitLabels(db, id, {
        personId: person.id,
        from: rowId(request.query.from),
        baseUrl: settings.baseUrl,
      });
      if (person.role === 'maker' && !isOwn) return forbidden(reply, 'These pieces are another maker’s.');
      const size = paperOf(country);
      const skip = skipped(request.query.skip);
      return pdf(reply, { what: 'unit labels', labels, size, skip, title, at: clock.now() }, `${title}.pdf`);
    },
  );

  app.get<{ Params: { number: string }; Querystring: { below?: string; skip?: string; from?: string } }>(
    '/parts/:number/labels.pdf',
    { preHandler: shop },
    async (request, reply) => {
      const { below, skip, from } = request.query;
      const asked = { deep: below === 'all', from: rowId(from), baseUrl: settings.baseUrl };
      const { labels, title, country } = await readPartLabels(db, request.params.number, asked);
      const size = paperOf(country);
      return pdf(
        reply,
        { what: 'unit labels', labels, size, skip: skipped(skip), title, at: clock.now() },
        `${title}.pdf`,
      );
    },
  );

  // Where the code on a piece leads: to measuring it, where it waits to be measured; else to what one may do with it.
  app.get<OfId>('/labels/jobs/:id', guard, async (request, reply) => {
    const person = found(request.person, 'Sign in first.');
    const id = rowId(request.params.id);
    const job = found(
      await db.read.job.findUnique({ where: { id }, include: { part: true } }),
      `There is no job ${id}.`,
    );
    const measuring = person.role === 'maker' ? null : await receivingPlace(id);
    if (measuring) return reply.redirect(measuring, 303);
    const { part } = job;
    const about = new URLSearchParams({ ...(part ? { part: part.number } : {}), job: String(id) });
    return reply.page('papers/piece.njk', {
      page: { title: `A piece of job ${id}`, nav: '/board' },
      job: { id, title: job.title },
      part: part && { number: part.number, name: part.name, href: partPath(part.number) },
      problem: `/problems/new?${about}`,
    });
  });

  /** The line that waits to be inspected, or the parcel that waits to be counted; the oldest first. */
  async function receivingPlace(jobId: number): Promise<string | null> {
    const items = await db.read.parcelItem.findMany({
      where: { claim: { jobId } },
      include: { parcel: true, checks: { select: { milli: true } } },
      orderBy: { id: 'asc' },
    });
    const waiting = items.find(
      ({ countedMilli, checks }) =>
        countedMilli !== null && checks.reduce((sum, { milli }) => sum + milli, 0) < countedMilli,
    );
    if (waiting) return `/receiving/lines/${waiting.id}`;
    const uncounted = items.find(({ countedMilli }) => countedMilli === null);
    return uncounted ? `/receiving/parcels/${uncounted.parcelId}` : null;
  }
}

/** Places of the first sheet of labels that are used already. */
function skipped(asked: unknown): number {
  return Math.min(LABELS_ACROSS * LABELS_DOWN - 1, rowId(asked));
}

/** The name of a pack: what it is of, and which revision. */
function packName({ card }: ReadCard): string {
  const part = card.part.split(' ')[0] ?? '';
  const plain = [`job ${card.jobNumber}`, part, card.letter].filter(Boolean).join(' ');
  return plain.replace(/[\p{Cc}\p{Cf}<>:"/\\|?*]/gu, '_');
}

/** What the pack section of a job's page shows. */
export function packSections({ db }: Pick<Context, 'db'>) {
  return async (job: JobFacts, person: SignedIn): Promise<{ view: string; data: unknown }[]> => {
    if (job.kind !== 'fabricate' || job.revisionId === null) return [];
    const revision = await db.read.revision.findUnique({ where: { id: job.revisionId } });
    if (!revision?.releasedAt) return [];
    const isShop = person.role !== 'maker';
    const shown = job.claims.filter((claim) => isShop || claim.personId === person.id);
    const people = await db.read.person.findMany({
      where: { id: { in: shown.map(({ personId }) => personId) }, forgottenAt: null },
      select: { id: true, name: true },
    });
    const earlier = await db.read.revision.findMany({
      where: { partId: revision.partId, id: { lt: revision.id }, NOT: { releasedAt: null } },
      select: { letter: true },
      orderBy: { id: 'asc' },
    });
    const data = {
      letter: revision.letter,
      state: revision.state,
      earlier: earlier.map(({ letter }) => letter),
      href: `/jobs/${job.id}/pack.zip`,
      card: `/jobs/${job.id}/route-card.pdf`,
      makers: isShop ? people : [],
      labels: shown
        .filter(({ milli, backMilli }) => milli - backMilli >= 1000)
        .flatMap(({ id, personId, milli, backMilli }) => {
          const pieces = (milli - backMilli) / 1000;
          const maker = isShop ? (people.find((one) => one.id === personId)?.name ?? 'somebody') : '';
          const lots = Array.from(
            { length: Math.ceil(pieces / MOST_LABELS) },
            (_, lot) => lot * MOST_LABELS + 1,
          );
          return lots.map((from) => ({
            href: `/claims/${id}/labels.pdf${from > 1 ? `?from=${from}` : ''}`,
            name: [
              maker,
              lots.length > 1
                ? `pieces ${from} to ${Math.min(from + MOST_LABELS - 1, Math.floor(pieces))}`
                : '',
            ]
              .filter(Boolean)
              .join(', '),
          }));
        }),
    };
    return [{ view: 'papers/pack-of-job.njk', data }];
  };
}
