import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { FactsReader } from '../jobs/index.ts';
import type { SuitsPorts } from '../offers/index.ts';
import type { Context } from '../platform/context.ts';
import { atomDocument, type FeedEntry } from './atom.ts';
import { sendFetched } from './conditional.ts';
import { bulletinEntries, type FedBuild, offerEntries, readFedBuild, unchangedSince } from './feed-reader.ts';
import { stableUuid } from './stable-id.ts';

/** Readers ask again after so long, and are told whether anything has changed. */
const FRESH_SECONDS = 300;

const FEEDS = [
  { path: '/feed.atom', page: '/bulletin', of: ['bulletin', 'offer'], title: 'bulletins and offers' },
  { path: '/bulletin/feed.atom', page: '/bulletin', of: ['bulletin'], title: 'bulletins' },
  { path: '/offers/feed.atom', page: '/offers', of: ['offer'], title: 'offers to makers' },
] as const;

/** Atom feeds of what is public: bulletins, offers, and both. They say the same to everyone. */
export function atomRoutes(
  app: FastifyInstance,
  context: Context,
  ports: SuitsPorts & { facts: FactsReader },
): void {
  const { db, settings } = context;

  const lastAct = db.hot.prepare<[], number | null>('SELECT MAX(id) FROM Act').pluck();
  let kept: { act: number | null | undefined; entries: FeedEntry[] } | null = null;

  /** Bulletins say the same until somebody does something: readers that ask again and again cost next to nothing. */
  async function toldBulletins(build: FedBuild): Promise<FeedEntry[]> {
    // Read first: what is done meanwhile makes the next one ask anew.
    const act = lastAct.get();
    if (kept && kept.act === act) return kept.entries;
    const entries = await bulletinEntries(context, build);
    kept = { act, entries };
    return entries;
  }

  async function send(
    { path, page, of, title }: (typeof FEEDS)[number],
    request: FastifyRequest,
    reply: FastifyReply,
  ) {
    const build = await readFedBuild(context);
    const kinds: readonly string[] = of;
    const entries = [
      ...(kinds.includes('bulletin') ? await toldBulletins(build) : []),
      ...(kinds.includes('offer') ? await offerEntries(context, ports, build) : []),
    ];
    const body = atomDocument(
      {
        uuid: stableUuid(build.createdAt, `feed ${path}`),
        title: `${build.name}: ${title}`,
        subtitle: build.about,
        author: build.name,
        selfHref: settings.baseUrl + path,
        pageHref: settings.baseUrl + page,
        since: build.createdAt,
      },
      entries,
    );
    return sendFetched(request, reply, {
      body,
      type: 'application/atom+xml; charset=utf-8',
      shared: true,
      freshSeconds: FRESH_SECONDS,
      modifiedAt: unchangedSince(db, build),
    });
  }

  for (const feed of FEEDS) app.get(feed.path, (request, reply) => send(feed, request, reply));
}
