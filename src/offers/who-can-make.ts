import { factsReader, type JobFacts, type JobTimes, quantitiesOf, stageOf } from '../jobs/index.ts';
import { capabilityGroups, heldGrade } from '../makers/index.ts';
import type { Context } from '../platform/context.ts';
import { type Day, dayIn } from '../platform/day.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { type MeasuredAt, measuredValuesReader } from '../receiving/index.ts';
import { makerFactsReader, type PostDaysPort } from './maker-facts.ts';
import { readOfferFacts } from './offer-facts.ts';
import { bySuitability, type MakerFacts, type OfferFacts, type Suitability, suits } from './suits.ts';

/** A part of a job's page: a view of views/shared with what it shows, as jobs ask for it. */
export interface OfferSection {
  view: string;
  data: unknown;
}

export interface SuitsPorts {
  times: JobTimes;
  postDays: PostDaysPort;
}

/** So many makers stand open on the page; the others are folded in. */
const MOST_OPEN = 5;

function suitabilityOf(
  maker: MakerFacts,
  offer: OfferFacts,
  values: readonly MeasuredAt[],
  today: Day,
): Suitability {
  const { processId, tightest } = offer;
  const ofProcess = processId === null ? [] : values.filter((one) => one.processId === processId);
  const held =
    processId === null || tightest === null
      ? { count: 0, inside: 0 }
      : heldGrade(ofProcess, processId, tightest.grade);
  return suits(maker, offer, { held, capability: capabilityGroups(ofProcess)[0] ?? null }, today);
}

/** How offers suit one person, by job id; null where the person is no maker and names no tool. */
export function ownSuitabilityReader(
  { db }: Pick<Context, 'db'>,
  ports: SuitsPorts,
): (
  person: Pick<SignedIn, 'id' | 'role'>,
  jobIds: readonly number[],
  moment: { today: Day; timeZone: string },
) => Promise<{ hasTools: boolean; of: ReadonlyMap<number, Suitability> } | null> {
  const facts = factsReader(db);
  const readMakers = makerFactsReader(db, ports.postDays);
  const measured = measuredValuesReader(db);
  return async (person, jobIds, moment) => {
    const [maker] = await readMakers(moment, person.id);
    if (!maker || (person.role !== 'maker' && maker.tools.length === 0)) return null;
    const asked = new Set(jobIds);
    const jobs = facts.all().filter(({ id }) => asked.has(id));
    const offers = await readOfferFacts(db, ports, jobs);
    const values = measured(person.id);
    const of = new Map(
      [...offers].map(([id, offer]) => [id, suitabilityOf(maker, offer, values, moment.today)]),
    );
    return { hasTools: maker.tools.length > 0, of };
  };
}

/**
 * What a job's page says of who can make what is open of it: to the lead all makers, ranked; to makers themselves alone.
 * Crew is told nothing: makers' hours, days away and record are for the lead and for themselves.
 */
export function whoCanMakeSections(
  context: Pick<Context, 'db' | 'clock'>,
  ports: SuitsPorts,
): (job: JobFacts, person: SignedIn) => Promise<OfferSection[]> {
  const { db, clock } = context;
  const readMakers = makerFactsReader(db, ports.postDays);
  const measured = measuredValuesReader(db);
  const readOwn = ownSuitabilityReader(context, ports);
  return async (job, person) => {
    const { open } = quantitiesOf(job);
    const stage = stageOf(job, true);
    if (job.kind !== 'fabricate' || job.revisionId === null || open <= 0) return [];
    if (stage === 'dropped' || stage === 'accepted') return [];
    const { timeZone } = await db.read.build.findUniqueOrThrow({
      where: { id: 1 },
      select: { timeZone: true },
    });
    const moment = { timeZone, today: dayIn(timeZone, clock.now()) };
    const view = 'shared/who-can-make.njk';
    if (person.role === 'maker') {
      const own = await readOwn(person, [job.id], moment);
      const suitability = own?.of.get(job.id);
      return own && suitability ? [{ view, data: { own: suitability, hasTools: own.hasTools } }] : [];
    }
    if (person.role !== 'lead') return [];
    const offer = (await readOfferFacts(db, ports, [job])).get(job.id);
    if (!offer) return [];
    const makers = await readMakers(moment);
    const valuesOf = new Map<number, MeasuredAt[]>();
    for (const one of measured()) {
      if (one.processId !== offer.processId) continue;
      const list = valuesOf.get(one.personId);
      if (list) list.push(one);
      else valuesOf.set(one.personId, [one]);
    }
    const ranked = makers
      .map((maker) => ({
        maker,
        suitability: suitabilityOf(maker, offer, valuesOf.get(maker.personId) ?? [], moment.today),
      }))
      .sort(bySuitability)
      .map(({ maker, suitability }) => ({
        name: maker.name,
        href: `/makers/${maker.personId}`,
        inHand: job.claims.some(
          ({ personId, milli, backMilli }) => personId === maker.personId && milli > backMilli,
        ),
        ...suitability,
      }));
    return [
      {
        view,
        data: {
          first: ranked.slice(0, MOST_OPEN),
          others: ranked.slice(MOST_OPEN),
        },
      },
    ];
  };
}
