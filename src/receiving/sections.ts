import { factsReader, type JobFacts } from '../jobs/index.ts';
import type { Context } from '../platform/context.ts';
import { dayIn } from '../platform/day.ts';
import { freshForm } from '../platform/http/form.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { uncheckedOf } from './check-rules.ts';
import { readChecks } from './checks-reader.ts';
import { readParcels } from './parcels-reader.ts';
import { say } from './say.ts';
import { zoneOf } from './store.ts';
import { postFrame, toPost } from './to-post.ts';

/** A part of a job's page: a view of views/shared with what it shows, as jobs ask for it. */
export interface ReceivingSection {
  view: string;
  data: unknown;
}

/**
 * What a job's page shows of parcels and inspections: the shop sees all of the job, makers their own parcels and what
 * became of their own units, with the form to post what they have finished.
 */
export function receivingSections({
  db,
  clock,
}: Pick<Context, 'db' | 'clock'>): (job: JobFacts, person: SignedIn) => Promise<ReceivingSection[]> {
  const facts = factsReader(db);
  return async (job, person) => {
    if (job.kind !== 'fabricate') return [];
    const isShop = person.role !== 'maker';
    const parcels = readParcels(db, 'ofJob', [job.id])
      .filter(({ fromId }) => isShop || fromId === person.id)
      .map((parcel) => {
        const lines = parcel.lines.filter(({ jobId }) => jobId === job.id);
        return {
          id: parcel.id,
          href: `${isShop ? '/receiving' : ''}/parcels/${parcel.id}`,
          from: parcel.from,
          state: parcel.state,
          sentOn: parcel.sentOn,
          arrivedOn: parcel.arrivedOn,
          posted: lines.map(({ milli, unit }) => say(milli, unit)).join(', '),
          short: lines
            .filter(({ milli, countedMilli }) => countedMilli !== null && countedMilli < milli)
            .map(({ milli, countedMilli, unit }) => say(milli - (countedMilli ?? 0), unit))
            .join(', '),
          toInspect: lines
            .filter((line) => uncheckedOf(line) > 0)
            .map((line) => ({
              href: `/receiving/lines/${line.id}`,
              quantity: say(uncheckedOf(line), line.unit),
            })),
        };
      });
    const checks = await readChecks(
      db,
      { jobId: job.id, ...(isShop ? {} : { makerId: person.id }) },
      person.lengthUnit,
    );
    const waiting = toPost(db, [job], null);
    const own = waiting.filter(({ makerId }) => makerId === person.id);
    const today = dayIn(await zoneOf(db.read), clock.now());
    const others = isShop ? waiting.filter(({ makerId }) => makerId !== person.id) : [];
    const names = await db.read.person.findMany({
      where: { id: { in: others.map(({ makerId }) => makerId) } },
      select: { id: true, name: true },
    });
    const data = {
      isShop,
      parcels,
      checks,
      post: own.length ? { lines: own, ...(await postFrame(db, person.id, person.id)) } : null,
      otherWork: toPost(db, facts.all(), person.id).length > own.length,
      form: freshForm({
        sentOn: today,
        ...Object.fromEntries(own.map((line) => [`q-${line.claimId}`, line.figure])),
      }),
      /** finished with a maker, for whom the shop may write a parcel down */
      postFor: others.map((line) => ({
        name: names.find(({ id }) => id === line.makerId)?.name ?? 'somebody',
        quantity: line.made,
        href: `/parcels/new?maker=${line.makerId}&claim=${line.claimId}`,
      })),
    };
    const nothing = !data.post && parcels.length + checks.length + data.postFor.length === 0;
    return nothing ? [] : [{ view: 'shared/parcels-of-job.njk', data }];
  };
}
