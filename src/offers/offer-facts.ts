import { modelBoxes } from '../drawings/index.ts';
import { type JobFacts, type JobTimes, quantitiesOf } from '../jobs/index.ts';
import type { Database } from '../platform/database.ts';
import type { GeneralClass } from '../specs/index.ts';
import { drawingFacts } from './drawing-facts.ts';
import type { PostDaysPort } from './maker-facts.ts';
import type { OfferFacts } from './suits.ts';

/**
 * Reads what jobs ask of whoever makes them, by job id. A job without a drawing is left out: there is nothing to hold a
 * maker against.
 */
export async function readOfferFacts(
  { read }: Pick<Database, 'read'>,
  { times, postDays }: { times: JobTimes; postDays: PostDaysPort },
  jobs: readonly JobFacts[],
): Promise<Map<number, OfferFacts>> {
  const ids = [...new Set(jobs.map(({ revisionId }) => revisionId))].filter((id) => id !== null);
  const revisions = await read.revision.findMany({
    where: { id: { in: ids } },
    select: {
      id: true,
      processId: true,
      materialId: true,
      materialNote: true,
      generalTolerance: true,
      part: { select: { processId: true } },
      characteristics: {
        where: { removedAt: null },
        orderBy: { position: 'asc' },
        select: { label: true, text: true },
      },
    },
  });
  const boxes = await modelBoxes({ read }, ids);
  const materials = new Map(
    (await read.material.findMany({ select: { id: true, name: true, family: true } })).map((row) => [
      row.id,
      row,
    ]),
  );
  const processes = new Map(
    (
      await read.process.findMany({ select: { id: true, name: true, gradeBest: true, gradeUsual: true } })
    ).map((row) => [row.id, row]),
  );
  const drawings = new Map(
    revisions.map((revision) => {
      const process = processes.get(revision.processId ?? revision.part.processId ?? 0);
      const named = materials.get(revision.materialId ?? 0);
      const note = revision.materialNote.trim();
      const material = named ?? (note ? { name: note, family: '' } : null);
      return [
        revision.id,
        {
          processId: process?.id ?? null,
          process: process?.name ?? '',
          grades: { usual: process?.gradeUsual ?? null, best: process?.gradeBest ?? null },
          material: material && { name: material.name, family: material.family },
          box: boxes.get(revision.id) ?? null,
          ...drawingFacts(
            revision.characteristics,
            (revision.generalTolerance || null) as GeneralClass | null,
          ),
        },
      ];
    }),
  );
  const reckonedPostDays = postDays(null)?.days ?? null;
  const facts = new Map<number, OfferFacts>();
  for (const job of jobs) {
    const drawing = drawings.get(job.revisionId ?? 0);
    if (!drawing) continue;
    const { open, total } = quantitiesOf(job);
    facts.set(job.id, {
      ...drawing,
      hours: job.hours === null ? null : (job.hours * open) / total,
      needByOn: times.of(job.id)?.needByOn ?? null,
      reckonedPostDays,
    });
  }
  return facts;
}
