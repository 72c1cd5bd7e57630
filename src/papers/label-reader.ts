import { netOf, say } from '../jobs/index.ts';
import type { Unit } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { found, refuse } from '../platform/refusal.ts';
import type { ParcelLabel, UnitLabel } from './labels.ts';
import { MOST_LABELS } from './paper.ts';

/**
 * The label of a parcel. The sender's own address is on it where the lead or the sender prints it.
 *
 * @throws NotFound  no such parcel, or another maker's
 */
export async function readParcelLabel(
  db: Pick<Database, 'read'>,
  parcelId: number,
  person: SignedIn,
  baseUrl: string,
): Promise<ParcelLabel> {
  const parcel = await db.read.parcel.findUnique({
    where: { id: parcelId },
    include: { items: { include: { claim: { include: { job: { include: { part: true } } } } } } },
  });
  const isOwn = parcel?.fromId === person.id;
  const seen = found(isOwn || person.role !== 'maker' ? parcel : null, 'There is no such parcel.');
  const build = await db.read.build.findUniqueOrThrow({ where: { id: 1 } });
  const sender = await db.read.person.findUnique({ where: { id: seen.fromId } });
  return {
    number: parcelId,
    to: build.postAddress,
    contact: build.postContact,
    from: sender?.name ?? 'somebody',
    fromAddress: isOwn || person.role === 'lead' ? (sender?.address ?? '') : '',
    contents: seen.items.map(({ milli, claim: { job } }) => {
      const quantity = say(milli, (job.part?.unit ?? 'piece') as Unit);
      return `Job ${job.id}: ${quantity} of ${job.part?.number ?? job.title}`;
    }),
    carrier: [seen.carrier, seen.tracking].filter(Boolean).join(' '),
    link: `${baseUrl}/receiving/parcels/${parcelId}`,
  };
}

/**
 * A label for each piece of a claim, MOST_LABELS at most.
 *
 * @param from  the first piece's number
 * @throws NotFound  no such claim
 * @throws Refused   nothing in whole pieces is claimed
 */
export async function readUnitLabels(
  db: Pick<Database, 'read'>,
  claimId: number,
  { personId, from, baseUrl }: { personId: number; from: number; baseUrl: string },
): Promise<{ labels: UnitLabel[]; title: string; country: string; isOwn: boolean }> {
  const claim = found(
    await db.read.claim.findUnique({
      where: { id: claimId },
      include: { person: true, job: { include: { part: true } } },
    }),
    'There is no such claim.',
  );
  const { job, person } = claim;
  const revision = await db.read.revision.findUnique({
    where: { id: claim.revisionId ?? job.revisionId ?? 0 },
    select: { letter: true },
  });
  const pieces = (job.part?.unit ?? 'piece') === 'piece' ? netOf(claim) / 1000 : 0;
  if (pieces < 1)
    refuse('no-pieces', 'Nothing of this claim is counted in pieces: there is nothing to label.');
  const heading = [job.part?.number ?? job.title, revision?.letter].filter(Boolean).join(' ');
  const first = Math.min(Math.max(1, from), pieces);
  const count = Math.min(pieces - first + 1, MOST_LABELS);
  const labels = Array.from({ length: count }, (_, index) => ({
    heading,
    // What tells pieces apart first: a long name is cut off at the end.
    lines: [`Piece ${first + index} of ${pieces}`, `Job ${job.id}`, job.part?.name ?? '', person.name].filter(
      Boolean,
    ),
    link: `${baseUrl}/labels/jobs/${job.id}`,
  }));
  return {
    labels,
    title: `Job ${job.id} labels`,
    country: person.country,
    isOwn: person.id === personId,
  };
}
