import { compareRevisionLetters } from '../drawings/index.ts';
import { fitsOfSizes, usedSizes } from '../fits/index.ts';
import { formatQuantity, type Unit } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { inLots } from '../platform/in-lots.ts';
import { measuredValuesReader } from '../receiving/index.ts';
import { type GeneralClass, plainNumber, processEntry } from '../specs/index.ts';
import type { DrawingSpecs, PartSpecs, ProcessSpecs, SuspectValue } from './checks.ts';
import type { FitFacts } from './fit-checks.ts';

/** What the specs of a build are checked by. */
export interface BuildSpecs {
  parts: PartSpecs[];
  values: SuspectValue[];
  fitFacts: FitFacts;
  /** best grade of any process on the list */
  finest: number | null;
  /** how much was looked at */
  counts: { parts: number; drawings: number; dimensions: number; values: number };
}

/** Reads the specs of all parts that are not removed, with their drawings, kept units and measured values. */
export async function readBuildSpecs(db: Pick<Database, 'read' | 'hot'>): Promise<BuildSpecs> {
  const { read } = db;
  const ids = await read.part.findMany({
    where: { removedAt: null },
    orderBy: { numberKey: 'asc' },
    select: { id: true },
  });
  const rows = await inLots(ids, (lot) =>
    read.part.findMany({
      where: { id: { in: lot.map(({ id }) => id) } },
      orderBy: { numberKey: 'asc' },
      include: {
        revisions: {
          where: { state: { not: 'withdrawn' } },
          include: { characteristics: { where: { removedAt: null }, orderBy: { position: 'asc' } } },
        },
      },
    }),
  );
  const entries = (await read.process.findMany()).map(processEntry);
  const processes = new Map<number, ProcessSpecs>(
    entries.map(({ id, name, grade, angle }) => [
      id,
      { name, best: grade.best, usual: grade.usual, angle: angle?.low ?? null },
    ]),
  );
  const kept = await read.oldUnits.findMany({
    where: { OR: [{ decidedAs: null }, { decidedAs: 'use' }] },
    orderBy: { id: 'asc' },
  });
  const parts = rows.map((row): PartSpecs => {
    const unit = row.unit as Unit;
    const revisions = [...row.revisions].sort((a, b) => compareRevisionLetters(b.letter, a.letter));
    const drawings = new Map<number, DrawingSpecs>(
      revisions.map(({ id, letter, generalTolerance, characteristics }) => [
        id,
        {
          revisionId: id,
          letter,
          generalClass: (generalTolerance || null) as GeneralClass | null,
          dimensions: characteristics.map(({ position, label, text }) => ({ position, label, text })),
        },
      ]),
    );
    const drawingOf = (revision: { id: number } | undefined) => drawings.get(revision?.id ?? 0) ?? null;
    const [newest, second] = revisions;
    const materialId = newest?.materialId ?? row.materialId;
    return {
      id: row.id,
      number: row.number,
      name: row.name,
      isMade: row.kind === 'made',
      hasMaterial: materialId !== null || (newest?.materialNote ?? '').trim() !== '',
      process: processes.get(newest?.processId ?? row.processId ?? 0) ?? null,
      drawing: drawingOf(newest),
      before: drawingOf(second),
      released: drawingOf(revisions.find(({ state }) => state === 'released')),
      oldUnits: kept.flatMap(({ revisionId, milli, decidedAs }) => {
        const drawing = drawings.get(revisionId);
        return drawing
          ? [{ drawing, quantity: formatQuantity(milli, unit), isDecided: decidedAs !== null }]
          : [];
      }),
      shelf: row.shelfMilli > 0 ? formatQuantity(row.shelfMilli, unit) : '',
    };
  });
  const assemblies = await read.part.findMany({
    where: { removedAt: null, children: { some: {} } },
    orderBy: { numberKey: 'asc' },
    select: { number: true, children: { select: { childId: true } } },
  });
  const measured = measuredValuesReader(db)();
  const best = entries.filter(({ removed }) => !removed).flatMap(({ grade }) => grade.best ?? []);
  const looked = parts.flatMap(({ drawing }) => drawing ?? []);
  return {
    parts,
    fitFacts: {
      used: await usedSizes(read),
      fits: await fitsOfSizes(read),
      assemblies: assemblies.map(({ number, children }) => ({
        number,
        partIds: children.map(({ childId }) => childId),
      })),
    },
    values: measured.flatMap((one): SuspectValue[] => {
      if (one.suspicion === null) return [];
      const { partNumber, letter, jobId, unitNo, lineId, suspicion, dimension } = one;
      const value = `${plainNumber(one.value)} ${dimension.unit === 'deg' ? '°' : dimension.unit}`;
      const name = [dimension.label, dimension.text].filter(Boolean).join(', ');
      return [{ partNumber, letter, jobId, unitNo, lineId, suspicion, value, dimension: name }];
    }),
    finest: best.length ? Math.min(...best) : null,
    counts: {
      parts: parts.length,
      drawings: looked.length,
      dimensions: looked.reduce((sum, { dimensions }) => sum + dimensions.length, 0),
      values: measured.length,
    },
  };
}
