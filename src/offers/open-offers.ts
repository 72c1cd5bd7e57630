import { factsReader, type JobFacts, type JobTimes, quantitiesOf, stageOf } from '../jobs/index.ts';
import { formatQuantity, type Unit } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { type Day, dayWords } from '../platform/day.ts';
import type { SignedIn } from '../platform/http/types.ts';

/** A job that is open to makers, as the list of offers shows it. */
export interface OpenOffer {
  id: number;
  title: string;
  partNumber: string;
  letter: string;
  openMilli: number;
  openText: string;
  unit: Unit;
  processId: number | null;
  process: string;
  material: string;
  revisionId: number;
  needBy: string;
  floatDays: number | null;
  critical: boolean;
}

function isOpen(job: JobFacts, person: SignedIn | null): boolean {
  return job.kind === 'fabricate' && stageOf(job, true) === 'offered' && (person !== null || job.strangers);
}

/**
 * The offers a person (or a visitor: null) may see; what drives the finish comes first.
 *
 * @param all  every job, where it was read already
 */
export async function openOffers(
  db: Database,
  times: JobTimes,
  person: SignedIn | null,
  today: Day,
  all: readonly JobFacts[] = factsReader(db).all(),
): Promise<OpenOffer[]> {
  return describeOffers(
    db,
    times,
    all.filter((job) => isOpen(job, person)),
    today,
  );
}

/** One offer, or null when this person may not see it or nothing of it is open. */
export async function openOffer(
  db: Database,
  times: JobTimes,
  person: SignedIn | null,
  jobId: number,
  today: Day,
): Promise<OpenOffer | null> {
  const job = factsReader(db).one(jobId);
  if (!job || !isOpen(job, person)) return null;
  const [offer] = await describeOffers(db, times, [job], today);
  return offer ?? null;
}

async function describeOffers(
  db: Database,
  times: JobTimes,
  jobs: readonly JobFacts[],
  today: Day,
): Promise<OpenOffer[]> {
  const revisions = await db.read.revision.findMany({
    where: { id: { in: jobs.map(({ revisionId }) => revisionId ?? 0) } },
    select: {
      id: true,
      letter: true,
      processId: true,
      materialId: true,
      materialNote: true,
      part: { select: { number: true, unit: true } },
    },
  });
  const byId = new Map(revisions.map((revision) => [revision.id, revision]));
  const names = async (table: 'material' | 'process') => {
    const rows =
      table === 'material'
        ? await db.read.material.findMany({ select: { id: true, name: true } })
        : await db.read.process.findMany({ select: { id: true, name: true } });
    return new Map(rows.map(({ id, name }) => [id, name]));
  };
  const [materials, processes] = [await names('material'), await names('process')];
  const offers = jobs.flatMap((job): OpenOffer[] => {
    const revision = byId.get(job.revisionId ?? 0);
    if (!revision) return [];
    const unit = revision.part.unit as Unit;
    const time = times.of(job.id);
    const { open } = quantitiesOf(job);
    return [
      {
        id: job.id,
        title: job.title,
        partNumber: revision.part.number,
        letter: revision.letter,
        openMilli: open,
        openText: formatQuantity(open, unit),
        unit,
        processId: revision.processId,
        process: processes.get(revision.processId ?? 0) ?? 'not named',
        material: [materials.get(revision.materialId ?? 0), revision.materialNote].filter(Boolean).join(', '),
        revisionId: revision.id,
        needBy: time?.needByOn ? dayWords(time.needByOn, today) : 'no day computed',
        floatDays: time?.floatDays ?? null,
        critical: time?.critical ?? false,
      },
    ];
  });
  return offers.sort((a, b) => (a.floatDays ?? 1e9) - (b.floatDays ?? 1e9) || a.id - b.id);
}
