import { publishedBulletins } from '../bulletin/index.ts';
import type { FactsReader } from '../jobs/index.ts';
import { openOffers, readOfferFacts, type SuitsPorts } from '../offers/index.ts';
import type { Context } from '../platform/context.ts';
import { type Day, dayIn, dayWords } from '../platform/day.ts';
import { type FeedEntry, MOST_ENTRIES, newestFirst } from './atom.ts';
import { offerHtml, offerSummary } from './offer-entry.ts';
import { stableUuid } from './stable-id.ts';

/** The build as feeds name it. */
export interface FedBuild {
  name: string;
  about: string;
  createdAt: Date;
  timeZone: string;
  today: Day;
}

export async function readFedBuild({ db, clock }: Pick<Context, 'db' | 'clock'>): Promise<FedBuild> {
  const { name, about, createdAt, timeZone } = await db.read.build.findUniqueOrThrow({ where: { id: 1 } });
  return { name, about, createdAt, timeZone, today: dayIn(timeZone, clock.now()) };
}

/**
 * Since when nothing told has changed: the last act, or the beginning of the day, because what the schedule dates moves with
 * it. A day is taken to begin where it begins first (UTC+14): never later than now, whatever the build's zone is.
 */
export function unchangedSince({ hot }: Pick<Context['db'], 'hot'>, { createdAt, today }: FedBuild): Date {
  const last = hot.prepare<[], string>('SELECT at FROM Act ORDER BY id DESC LIMIT 1').pluck().get();
  const dayBegan = Date.parse(`${today}T00:00:00+14:00`);
  return new Date(Math.max(dayBegan, last === undefined ? createdAt.getTime() : Date.parse(last)));
}

/** Bulletins that are published, as entries. */
export async function bulletinEntries(
  { db, settings }: Pick<Context, 'db' | 'settings'>,
  build: FedBuild,
): Promise<FeedEntry[]> {
  const bulletins = await publishedBulletins(db.read, { limit: MOST_ENTRIES, baseUrl: settings.baseUrl });
  return bulletins.map(({ week, title, publishedAt, updatedAt, address, html, summary }) => ({
    uuid: stableUuid(build.createdAt, `bulletin ${week}`),
    kind: 'bulletin',
    title: title || `Week to ${dayWords(week)}`,
    href: address,
    publishedAt,
    updatedAt,
    summary,
    html,
  }));
}

/** Acts that change what an offer says: more or less of it is open, or it is made to another drawing. */
const OFFER_ACTS = [
  'offer-job',
  'withdraw-offer',
  'claim-job',
  'hand-back',
  'change-job',
  'move-job-to-revision',
  'take-stranger',
  'resume-job',
  'end-claim',
];

/** Offers that are open to visitors, as entries; of more than MOST_ENTRIES those that changed last. */
export async function offerEntries(
  { db, settings }: Pick<Context, 'db' | 'settings'>,
  ports: SuitsPorts & { facts: FactsReader },
  build: FedBuild,
): Promise<FeedEntry[]> {
  const all = ports.facts.all();
  const offers = await openOffers(db, ports.times, null, build.today, all);
  const jobs = new Map(all.map((job) => [job.id, job]));
  const lastChange = db.hot
    .prepare<string[], string>(
      `SELECT MAX(at) FROM Act WHERE jobId = ? AND kind IN (${OFFER_ACTS.map(() => '?').join(', ')})`,
    )
    .pluck();
  const newest = offers
    .map((offer) => {
      const job = jobs.get(offer.id)!;
      const publishedAt = new Date(job.offeredAt ?? job.createdAt);
      const changed = lastChange.get(String(offer.id), ...OFFER_ACTS);
      const updatedAt = changed && new Date(changed) > publishedAt ? new Date(changed) : publishedAt;
      return {
        ...{ offer, job, publishedAt, updatedAt },
        uuid: stableUuid(build.createdAt, `offer ${offer.id}`),
      };
    })
    .sort(newestFirst)
    .slice(0, MOST_ENTRIES);
  const facts = await readOfferFacts(
    db,
    ports,
    newest.map(({ job }) => job),
  );
  return newest.map(({ offer, uuid, publishedAt, updatedAt }) => {
    const href = `${settings.baseUrl}/offers/${offer.id}`;
    const told = { offer, facts: facts.get(offer.id) ?? null, href };
    return {
      uuid,
      kind: 'offer',
      title: `${offer.title}: ${offer.openText} open`,
      href,
      publishedAt,
      updatedAt,
      summary: offerSummary(told),
      html: offerHtml(told),
    };
  });
}
