import type { FastifyInstance, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { madeOf, revisionsOfPart } from '../drawings/index.ts';
import { fitsOfPart } from '../fits/index.ts';
import { cardNamesReader, factsReader, type JobTimes, jobsOfPart } from '../jobs/index.ts';
import { actHref, actSentence } from '../log/index.ts';
import {
  partByNumber,
  partFacts,
  partHistory,
  partPath,
  type ReadPartJobs,
  type ReadyAt80,
} from '../parts/index.ts';
import type { Context } from '../platform/context.ts';
import { dayIn, dayWords } from '../platform/day.ts';
import { freshForm } from '../platform/http/form.ts';
import { signedIn } from '../platform/http/guards.ts';
import { found } from '../platform/refusal.ts';
import { problemsOfPart } from '../problems/index.ts';
import { concessionsOfPart } from '../receiving/index.ts';

const historyBeside = 8;
const historyOnPage = 50;
/** What a maker sees of a part's history: the part itself and its releases, nothing of drafts or of others' jobs. */
const makersKinds: readonly string[] = [
  'create-part',
  'change-part',
  'import-part',
  'remove-part',
  'restore-part',
  'add-use',
  'change-use',
  'remove-use',
  'set-shelf',
  'release-revision',
  'supersede-revision',
  'withdraw-revision',
];
const NO_PART = 'There is no part of this number.';

const HistoryAddress = z.object({ page: z.coerce.number().int().min(1).max(10_000).catch(1) });

type OfPart = FastifyRequest<{ Params: { number: string } }>;

export interface PartPagePorts {
  readJobs: ReadPartJobs;
  times: JobTimes;
  readyAt80: ReadyAt80;
}

/** GET /parts/:number: what parts, drawings, jobs and problems know of one part, on one sheet; and its whole history. */
export function partPage(
  app: FastifyInstance,
  context: Context,
  { readJobs, times, readyAt80 }: PartPagePorts,
): void {
  const { db, clock } = context;
  const facts = factsReader(db);
  const names = cardNamesReader(db);

  const kindsFor = (request: FastifyRequest) => (request.person?.role === 'maker' ? makersKinds : undefined);

  const telling = async () => {
    const { timeZone } = await db.read.build.findUniqueOrThrow({
      where: { id: 1 },
      select: { timeZone: true },
    });
    return { timeZone, now: clock.now(), say: actSentence, leadsTo: actHref };
  };

  app.get('/parts/:number', { preHandler: signedIn }, async (request: OfPart, reply) => {
    const maker = request.person?.role === 'maker';
    const how = await telling();
    const today = dayIn(how.timeZone, how.now);
    const readyWords = (partId: number) => {
      const day = readyAt80(partId);
      return day && dayWords(day, today);
    };
    const known = found(await partFacts(db, request.params.number, readJobs(), readyWords), NO_PART);
    const { part } = known;
    const history = partHistory(db.hot, part, { limit: historyBeside, kinds: kindsFor(request) }, how);
    return reply.page('front/part.njk', {
      page: { title: `${part.number} ${part.name}`, sheet: part.number, nav: '/structure' },
      facts: known,
      made: await madeOf(db, part, request.person!),
      revisions: await revisionsOfPart(db, part.id, { draftsToo: !maker }),
      jobs: jobsOfPart({ facts, names, times }, part.id),
      fits: maker ? [] : await fitsOfPart(db.read, part.id),
      problems: await problemsOfPart(db, part.id, request.person!, today),
      concessions: await concessionsOfPart(db, part.id, request.person!),
      history,
      mayEdit: !maker && part.removedAt === null,
      mayRestore: !maker && part.removedAt !== null,
      newUse: freshForm(),
    });
  });

  app.get('/parts/:number/history', { preHandler: signedIn }, async (request: OfPart, reply) => {
    const part = found(await partByNumber(db.read, request.params.number), NO_PART);
    const { page } = HistoryAddress.parse(request.query);
    const { lines, total } = partHistory(
      db.hot,
      part,
      { limit: historyOnPage, offset: (page - 1) * historyOnPage, kinds: kindsFor(request) },
      await telling(),
    );
    const pages = Math.max(1, Math.ceil(total / historyOnPage));
    const at = (other: number) => `${partPath(part.number)}/history?page=${other}`;
    return reply.page('front/part-history.njk', {
      page: { title: `History of ${part.number}`, nav: '/structure' },
      part,
      href: partPath(part.number),
      rows: lines,
      pager: {
        page,
        pages,
        prev: page > 1 ? at(page - 1) : '',
        next: page < pages ? at(page + 1) : '',
        text: `${total} acts`,
      },
    });
  });
}
