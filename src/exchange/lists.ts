import { factsReader, quantitiesOf, stageOf } from '../jobs/index.ts';
import { actSentence, readLog } from '../log/index.ts';
import { type PartRow, structureGraph } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { addDays, type Day } from '../platform/day.ts';
import { materialChoices, processChoices } from '../specs/index.ts';
import type { Cell } from './csv.ts';

export interface Table {
  header: string[];
  rows: Iterable<Cell[]>;
}

type Db = Pick<Database, 'read' | 'hot'>;

/** Thousandths as a plain decimal number, for programs to read. */
const units = (milli: number | null): Cell => (milli === null ? null : milli / 1000);

/** Every part with what is known of it; its headers are those that the import finds by itself. */
export async function partsTable({ read, hot }: Db): Promise<Table> {
  const { currency } = await read.build.findUniqueOrThrow({ where: { id: 1 }, select: { currency: true } });
  const graph = structureGraph(hot);
  const required = graph.required();
  const notes = new Map(
    hot
      .prepare<[], { id: number; note: string }>("SELECT id, note FROM Part WHERE note <> ''")
      .all()
      .map(({ id, note }) => [id, note]),
  );
  const ids = <T extends number | null>(list: readonly T[]) => new Set(list.filter((id) => id !== null));
  const parts = [...graph.parts.values()];
  const materials = await namesOf(ids(parts.map(({ materialId }) => materialId)), (id) =>
    materialChoices(read, id),
  );
  const processes = await namesOf(ids(parts.map(({ processId }) => processId)), (id) =>
    processChoices(read, id),
  );
  const row = (part: PartRow): Cell[] => [
    part.number,
    part.name,
    part.kind,
    part.unit,
    units(required.get(part.id) ?? 0),
    units(part.shelfMilli),
    materials.get(part.materialId ?? 0) ?? '',
    processes.get(part.processId ?? 0) ?? '',
    part.massGrams,
    part.supplier,
    part.supplierNumber,
    units(part.packMilli),
    part.priceCents === null ? null : (part.priceCents / 100).toFixed(2),
    part.leadDays,
    part.designHours,
    part.makeDays,
    notes.get(part.id) ?? '',
  ];
  return {
    header: [
      'Part number',
      'Name',
      'Kind',
      'Unit',
      'Needed in all',
      'On the shelf',
      'Material',
      'Process',
      'Mass (g)',
      'Supplier',
      'Supplier number',
      'Pack size',
      `Price (${currency})`,
      'Delivery days',
      'Hours to draw',
      'Days to make',
      'Note',
    ],
    rows: parts.map(row),
  };
}

/** Names of a library by id, also of entries that were taken out of it and are still named by a part. */
async function namesOf(
  ids: ReadonlySet<number>,
  choices: (id: number | null) => Promise<{ value: number; label: string }[]>,
): Promise<Map<number, string>> {
  const names = new Map((await choices(null)).map(({ value, label }) => [value, label]));
  for (const id of ids) {
    if (names.has(id)) continue;
    for (const { value, label } of await choices(id)) names.set(value, label);
  }
  return names;
}

/** Every structure line: so much of the part goes into one of the assembly. */
export function structureTable({ hot }: Db): Table {
  const { parts, uses } = structureGraph(hot);
  return {
    header: ['Goes into', 'Assembly name', 'Part number', 'Name', 'Quantity each', 'Unit', 'Note'],
    rows: uses.map(({ parentId, childId, milli, note }) => {
      const parent = parts.get(parentId)!;
      const child = parts.get(childId)!;
      return [parent.number, parent.name, child.number, child.name, units(milli), child.unit, note];
    }),
  };
}

/** Every job with its stage and how much stands where. No person is named. */
export function jobsTable(db: Db, isReady: (jobId: number) => boolean): Table {
  const { parts } = structureGraph(db.hot);
  return {
    header: [
      'Job',
      'Kind',
      'Title',
      'Part number',
      'Quantity',
      'Unit',
      'Stage',
      'Open',
      'Promised',
      'In work',
      'Made',
      'In the post',
      'To inspect',
      'Accepted',
      'Rejected',
      'Wanted on',
      'Opened at',
      'Finished at',
    ],
    rows: factsReader(db)
      .all()
      .map((job) => {
        const part = job.partId === null ? undefined : parts.get(job.partId);
        const at = job.kind === 'fabricate' ? quantitiesOf(job) : null;
        return [
          job.id,
          job.kind,
          job.title,
          part?.number ?? '',
          units(job.milli),
          part?.unit ?? '',
          stageOf(job, isReady(job.id)),
          ...[
            at?.open,
            at?.promised,
            at?.inWork,
            at?.made,
            at?.inPost,
            at?.toInspect,
            at?.accepted,
            at?.rejected,
          ].map((milli) => units(milli ?? null)),
          job.wantedOn,
          job.createdAt,
          job.finishedAt,
        ];
      }),
  };
}

/** The whole log, oldest first, in sentences; read day by day, so that a long one is never whole in memory. */
export function logTable(db: Db): Table {
  return {
    header: ['Number', 'At (UTC)', 'Who', 'Act', 'In words', 'Part number', 'Job', 'Quantity', 'Unit'],
    rows: (function* () {
      const days = db.hot
        .prepare<[], { day: Day }>('SELECT DISTINCT substr(at, 1, 10) AS day FROM Act ORDER BY day')
        .all();
      for (const { day } of days) {
        const rows = readLog(db, { from: day, until: addDays(day, 1) }, { limit: mostActsOfDay });
        for (const row of rows.reverse()) {
          yield [
            row.id,
            row.at,
            row.who ?? '',
            row.kind,
            actSentence(row),
            row.partNumber ?? '',
            row.jobId,
            units(row.milli),
            row.milli === null ? '' : (row.partUnit ?? ''),
          ];
        }
      }
    })(),
  };
}

const mostActsOfDay = 10_000_000;
