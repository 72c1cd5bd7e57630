import type { Act } from '../platform/acts.ts';
import type { Tx } from '../platform/database.ts';
import { freeName, listedEntry, refuseUnlessSeen } from './entry-acts.ts';
import { PROCESS_SOURCES, type ProcessInput, type ProcessSource } from './entry-forms.ts';

interface Span {
  low?: number;
  high?: number;
}

interface Envelope {
  x: number;
  y: number;
  z?: number;
  what?: string;
}

/** Everything that is known of a process. What it holds is a guide for asking, never a promise. */
export interface ProcessEntry {
  id: number;
  name: string;
  /** ISO 286 grades */
  grade: { best: number | null; usual: number | null; coarsest: number | null };
  /** everyday tolerance either way on parts of about 100 mm, in mm */
  plusMinus: (Span & { typical?: number }) | null;
  /** width of the cut in mm */
  kerf: Span | null;
  /** everyday tolerance of an angle, in degrees */
  angle: Span | null;
  /** smallest feature in mm: with care, and usually; what it is said of */
  smallest: (Span & { what?: string }) | null;
  /** largest piece in mm that a usual machine takes */
  envelope: Envelope | null;
  note: string;
  cautions: string[];
  /** where single figures are from, when that is not the source of the whole entry */
  sources: Partial<Record<ProcessSource, string>>;
  source: string;
  removed: boolean;
}

interface KeptData {
  grade?: { coarsest?: number };
  plusMinus?: (Span & { typical?: number }) | null;
  kerf?: Span | null;
  angle?: Span | null;
  smallest?: (Span & { what?: string }) | null;
  envelope?: Envelope | null;
  note?: string;
  sources?: Partial<Record<ProcessSource, string>>;
}

type ProcessRow = Awaited<ReturnType<Tx['process']['findMany']>>[number];

export function processEntry(row: ProcessRow): ProcessEntry {
  const data = JSON.parse(row.data) as KeptData;
  return {
    id: row.id,
    name: row.name,
    grade: { best: row.gradeBest, usual: row.gradeUsual, coarsest: data.grade?.coarsest ?? null },
    plusMinus: data.plusMinus ?? null,
    kerf: data.kerf ?? null,
    angle: data.angle ?? null,
    smallest: data.smallest ?? null,
    envelope: data.envelope ?? null,
    note: data.note ?? '',
    cautions: JSON.parse(row.cautions) as string[],
    sources: data.sources ?? {},
    source: row.source,
    removed: row.removedAt !== null,
  };
}

function span(low: number | null, high: number | null): Span | null {
  if (low === null && high === null) return null;
  return { ...(low === null ? {} : { low }), ...(high === null ? {} : { high }) };
}

function envelopeOf({ envelopeX: x, envelopeY: y, envelopeZ: z }: ProcessInput): Envelope | null {
  if (x === null || y === null) return null;
  return { x, y, ...(z === null ? {} : { z }) };
}

function withWords<Figure extends object>(
  figure: Figure | null,
  what: string,
): (Figure & { what?: string }) | null {
  return figure && what ? { ...figure, what } : figure;
}

function rowOf(input: ProcessInput) {
  const around = span(input.plusMinusLow, input.plusMinusHigh);
  const data: KeptData = {
    ...(input.gradeCoarsest === null ? {} : { grade: { coarsest: input.gradeCoarsest } }),
    plusMinus: input.plusMinus === null ? around : { ...around, typical: input.plusMinus },
    kerf: span(input.kerfLow, input.kerfHigh),
    angle: span(input.angleLow, input.angleHigh),
    smallest: withWords(span(input.smallestLow, input.smallestHigh), input.smallestWhat),
    envelope: withWords(envelopeOf(input), input.envelopeWhat),
    note: input.note,
    sources: Object.fromEntries(
      PROCESS_SOURCES.flatMap((of) => (input[`${of}Source`] ? [[of, input[`${of}Source`]]] : [])),
    ),
  };
  return {
    name: input.name,
    gradeBest: input.gradeBest,
    gradeUsual: input.gradeUsual,
    cautions: JSON.stringify(input.cautions),
    source: input.source,
    data: JSON.stringify(data),
  };
}

/** Adds a process to the build's list. @returns its id @throws WrongField name: on the list already */
export async function addProcess(act: Act, input: ProcessInput): Promise<number> {
  await freeName(act.tx, 'process', input.name);
  const { id } = await act.tx.process.create({ data: rowOf(input) });
  await act.log({ kind: 'add-process', thing: { type: 'process', id }, after: input });
  return id;
}

/**
 * Changes a process of the list.
 *
 * @param seen  the last change the editor knew of (lastEntryChange)
 * @throws NotFound, WrongField (name), Refused (changed meanwhile)
 */
export async function changeProcess(
  act: Act,
  { id, seen, input }: { id: number; seen: number; input: ProcessInput },
): Promise<void> {
  const { tx } = act;
  await listedEntry(tx, 'process', id);
  await refuseUnlessSeen(tx, 'process', id, seen);
  await freeName(tx, 'process', input.name, id);
  const before = processEntry(await tx.process.findUniqueOrThrow({ where: { id } }));
  await tx.process.update({ where: { id }, data: rowOf(input) });
  const { removed: _, ...was } = before;
  await act.log({ kind: 'change-process', thing: { type: 'process', id }, before: was, after: input });
}

/** What a form shows of an entry. */
export function processValues(entry: ProcessEntry): Record<string, unknown> {
  const { grade, plusMinus, kerf, angle, smallest, envelope } = entry;
  return {
    name: entry.name,
    gradeBest: grade.best ?? '',
    gradeUsual: grade.usual ?? '',
    gradeCoarsest: grade.coarsest ?? '',
    plusMinusLow: plusMinus?.low ?? '',
    plusMinus: plusMinus?.typical ?? '',
    plusMinusHigh: plusMinus?.high ?? '',
    kerfLow: kerf?.low ?? '',
    kerfHigh: kerf?.high ?? '',
    angleLow: angle?.low ?? '',
    angleHigh: angle?.high ?? '',
    smallestLow: smallest?.low ?? '',
    smallestHigh: smallest?.high ?? '',
    smallestWhat: smallest?.what ?? '',
    envelopeX: envelope?.x ?? '',
    envelopeY: envelope?.y ?? '',
    envelopeZ: envelope?.z ?? '',
    envelopeWhat: envelope?.what ?? '',
    ...Object.fromEntries(PROCESS_SOURCES.map((of) => [`${of}Source`, entry.sources[of] ?? ''])),
    note: entry.note,
    cautions: entry.cautions.join('\n'),
    source: entry.source,
  };
}
