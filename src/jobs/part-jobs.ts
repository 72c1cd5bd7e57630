import { quantityTextOf, unitWordsOf } from './card.ts';
import type { NamesForCards } from './card-reader.ts';
import { netOf } from './claim-rules.ts';
import { isOver, type JobFacts, quantitiesOf, type Stage, stageOf } from './facts.ts';
import type { FactsReader } from './facts-reader.ts';
import { say } from './say.ts';
import type { JobTimes } from './times.ts';

/** A part's job as the part's page lists it. */
export interface PartJobRow {
  number: number;
  href: string;
  title: string;
  kind: JobFacts['kind'];
  revision: string | null;
  quantityText: string;
  stage: Stage;
  unitWords: string;
  who: string;
  needByOn: string | null;
  over: boolean;
}

/** The jobs of a part for views/shared/jobs-of-part.njk: those that go on first, then the newest. */
export function jobsOfPart(
  db: { facts: FactsReader; names: () => NamesForCards; times: JobTimes },
  partId: number,
): PartJobRow[] {
  const jobs = db.facts.ofPart(partId);
  if (jobs.length === 0) return [];
  const names = db.names();
  const rows = jobs.map((job): PartJobRow => {
    const time = db.times.of(job.id);
    const stage = stageOf(job, time?.ready ?? true);
    const unit = names.unitOf(job);
    const makers = new Map<number, number>();
    for (const claim of job.claims) {
      if (netOf(claim) > 0) makers.set(claim.personId, (makers.get(claim.personId) ?? 0) + netOf(claim));
    }
    const who = [...makers].map(([personId, milli]) => `${names.nameOf(personId)}, ${say(milli, unit)}`);
    if (job.kind !== 'fabricate' && job.personId !== null) who.push(names.nameOf(job.personId));
    return {
      number: job.id,
      href: `/jobs/${job.id}`,
      title: job.title,
      kind: job.kind,
      revision: names.of(job).revision?.letter ?? null,
      quantityText: quantityTextOf(job, unit),
      stage,
      unitWords: job.kind === 'fabricate' ? unitWordsOf(quantitiesOf(job), unit) : '',
      who: who.join('; '),
      needByOn: isOver(stage) ? null : (time?.needByOn ?? null),
      over: isOver(stage),
    };
  });
  return rows.sort((a, b) => Number(a.over) - Number(b.over) || b.number - a.number);
}
