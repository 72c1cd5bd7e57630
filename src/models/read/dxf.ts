import { type ContourShape, type FileFacts, factsOf, type NamedCount, Unreadable } from '../facts.ts';
import { contoursOf } from './contours.ts';
import { carried, curveLength, pointOn, runOf, spanOf, stretch, type Vector } from './curves.ts';
import { dxfCurves, type LaidCurve } from './dxf-curves.ts';
import { dxfDocument } from './dxf-document.ts';
import { sizeOf } from './mesh.ts';

/** Ends this near one another are one place, mm: under what any machine of a workshop cuts to. */
const joinWithin = 0.01;
/** How far a drawn chord may be from its curve, mm. */
const chordWithin = 0.02;

/** $INSUNITS, by the format's description: the unit and its millimetres. */
const units: Readonly<Record<number, { name: string; mm: number }>> = {
  1: { name: 'in', mm: 25.4 },
  2: { name: 'ft', mm: 304.8 },
  4: { name: 'mm', mm: 1 },
  5: { name: 'cm', mm: 10 },
  6: { name: 'm', mm: 1000 },
  7: { name: 'km', mm: 1e6 },
  8: { name: 'µin', mm: 25.4e-6 },
  9: { name: 'mil', mm: 0.0254 },
  10: { name: 'yd', mm: 914.4 },
  13: { name: 'µm', mm: 1e-3 },
  14: { name: 'dm', mm: 100 },
};

/** Words and marks, which nobody cuts. */
const noteTypes = new Set([
  'TEXT',
  'MTEXT',
  'DIMENSION',
  'ARC_DIMENSION',
  'ATTDEF',
  'ATTRIB',
  'LEADER',
  'MULTILEADER',
  'MLEADER',
  'POINT',
  'TOLERANCE',
  'VIEWPORT',
  'ACAD_TABLE',
]);

interface Flat {
  unit: string | null;
  measurement: string | undefined;
  curves: LaidCurve[];
  others: Map<string, number>;
  layers: string[];
}

/** The curves of a DXF in mm, those without length left out. */
function flatOf(bytes: Uint8Array): Flat {
  const document = dxfDocument(bytes);
  const known = units[Number(document.header.get('$INSUNITS') ?? 0)];
  const mm = known?.mm ?? 1;
  const { curves, others, layers } = dxfCurves(document);
  const frame = { x: [mm, 0, 0], y: [0, mm, 0], z: [0, 0, mm], origin: [0, 0, 0] } as const;
  return {
    unit: known?.name ?? null,
    measurement: document.header.get('$MEASUREMENT'),
    curves: curves
      .map(({ layer, curve }) => ({ layer, curve: carried(frame, curve) }))
      .filter(({ curve }) => curveLength(curve) > 1e-9),
    others,
    layers: [...layers].sort((a, b) => a.localeCompare(b, 'en')),
  };
}

const endsOf = ({ curve }: LaidCurve): { from: Vector; to: Vector } => {
  const [begin, end] = spanOf(curve);
  return { from: pointOn(curve, begin), to: pointOn(curve, end) };
};

/**
 * What a flat pattern says: unit, size, layers, cut length, contours, pierces, and what could not be read.
 *
 * Lengths are exact for lines and arcs and integrated for ellipses and splines.
 *
 * @throws Unreadable
 */
export function dxfFacts(bytes: Uint8Array): FileFacts {
  const { unit, measurement, curves, others, layers } = flatOf(bytes);
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  const lengths = new Map<string, number>(layers.map((layer) => [layer, 0]));
  for (const { layer, curve } of curves) {
    stretch(low, high, curve);
    lengths.set(layer, (lengths.get(layer) ?? 0) + curveLength(curve));
  }
  const contours = contoursOf(curves.map(endsOf), joinWithin);
  const open = contours.filter(({ closed }) => !closed).length;
  const [notes, unread] = sorted(others);
  const size = sizeOf(low, high);
  const warnings: string[] = [];
  if (unit === null) {
    const inches = measurement === '0' ? ' It was drawn with English settings, so they may be inches.' : '';
    warnings.push(
      `The DXF names no unit: its numbers are taken as mm until something else is said.${inches}`,
    );
  }
  if (curves.length === 0) warnings.push('There is no line, arc or curve to cut.');
  if (open > 0) {
    warnings.push(
      `${open === 1 ? 'One contour is' : `${open.toLocaleString('en')} contours are`} not closed: the ends are more than ${joinWithin} mm apart or branch off.`,
    );
  }
  if (unread.length > 0) warnings.push(`Not read: ${listed(unread)}.`);
  if (notes.length > 0) warnings.push(`Not counted as cut: ${listed(notes)}.`);
  if (size && size.z > joinWithin) warnings.push('The curves do not lie in one plane.');
  return factsOf('DXF', {
    unit,
    size,
    layers,
    cutLength: [...lengths.values()].reduce((sum, length) => sum + length, 0),
    closed: contours.length > 0 ? open === 0 : null,
    warnings,
    flat: {
      contours: contours.length,
      openContours: open,
      pierces: contours.reduce((sum, { pierces }) => sum + pierces, 0),
      layers: [...lengths].map(([name, cutLength]) => ({ name, cutLength })),
      notes,
      unread,
    },
  });
}

function sorted(others: ReadonlyMap<string, number>): [notes: NamedCount[], unread: NamedCount[]] {
  const counts = [...others].map(([name, count]) => ({ name: name.slice(0, 40), count }));
  return [
    counts.filter(({ name }) => noteTypes.has(name)),
    counts.filter(({ name }) => !noteTypes.has(name)).slice(0, 30),
  ];
}

const listed = (counts: readonly NamedCount[]) =>
  counts.map(({ name, count }) => `${count} ${name}`).join(', ');

const mostPoints = 2_000_000;

/** The contours of a flat pattern as runs of points, in mm, in the order in which they can be cut. */
export function dxfShape(bytes: Uint8Array): ContourShape {
  const { unit, curves } = flatOf(bytes);
  const contours: ContourShape['contours'] = [];
  let total = 0;
  for (const { closed, runs } of contoursOf(curves.map(endsOf), joinWithin)) {
    for (const run of runs) {
      const points: number[] = [];
      for (const { curve, back } of run) {
        const chords = runOf(curves[curve]!.curve, chordWithin);
        if (back) chords.reverse();
        for (const [x, y] of points.length > 0 ? chords.slice(1) : chords) points.push(x, y);
      }
      total += points.length / 2;
      if (total > mostPoints) throw new Unreadable('The DXF has more points than can be drawn.');
      contours.push({ layer: curves[run[0]!.curve]!.layer, closed, points: Float64Array.from(points) });
    }
  }
  return { kind: 'contours', unit, tolerance: chordWithin, contours };
}
