import load, { type Occt, type OcctNode, type OcctResult } from 'occt-import-js';
import { type FileFacts, factsOf, type SolidFacts, type TriangleShape, Unreadable } from '../facts.ts';
import { measureMesh, sizeOf } from './mesh.ts';
import { type StepStructure, stepStructure } from './step-structure.ts';
import { stepString, stepText } from './step-text.ts';

/**
 * How finely curved faces are cut into triangles, radians and share of the box. The bend is put back in afterwards
 * (measureMesh), so that this rests on what the eye wants.
 */
const fineness = {
  angularDeflection: 0.2,
  linearDeflectionType: 'bounding_box_ratio',
  linearDeflection: 0.001,
} as const;
/** A solid is a surface whose area vectors add up to nothing, within what single precision leaves. */
const closedWithin = 1e-4;

/** Names that kernels give to what has none. */
const nameless = /^(?:solid|compound|compsolid|shell|face)?$/i;

let kernel: Promise<Occt> | null = null;

/** @throws Unreadable  where the file makes the kernel itself fail, by brackets in brackets without end for one */
function readByKernel(occt: Occt, bytes: Uint8Array): OcctResult {
  try {
    return occt.ReadStepFile(bytes, { linearUnit: 'millimeter', ...fineness });
  } catch {
    // What it holds in its memory can't be trusted any more: the next file gets another.
    kernel = null;
    throw new Unreadable('The STEP file breaks what reads it: it is damaged, or of a kind not met before.');
  }
}

async function solidsOf(bytes: Uint8Array): Promise<{ structure: StepStructure; read: OcctResult }> {
  const text = stepText(bytes);
  if (!/^\s*(?:\/\*[\s\S]*?\*\/\s*)*ISO-10303-21\s*;/.test(text.slice(0, 20_000))) {
    throw new Unreadable('This is no STEP file: it does not begin with ISO-10303-21.');
  }
  if (!/\bDATA\s*[;(]/.test(text) || !/\bEND-ISO-10303-21\s*;/.test(text.slice(-2000))) {
    throw new Unreadable('The STEP file is cut off before its end.');
  }
  const structure = stepStructure(text);
  kernel ??= load();
  const read = readByKernel(await kernel, bytes);
  if (!read.success) throw new Unreadable('The geometry of the STEP file can’t be read.');
  return { structure, read };
}

/**
 * What a STEP file says. Header, unit and assembly are read from its text, the solids by the kernel (Open CASCADE), in
 * mm whatever the file's unit.
 *
 * @throws Unreadable
 */
export async function stepFacts(bytes: Uint8Array): Promise<FileFacts> {
  const { structure, read } = await solidsOf(bytes);
  const { unit, warnings, ...step } = structure;
  const names = meshNames(read);
  const solids: SolidFacts[] = [];
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  let triangles = 0;
  let area = 0;
  let surfaces = 0;
  for (const [index, mesh] of read.meshes.entries()) {
    const measure = measureMesh({
      positions: mesh.attributes.position.array,
      corners: mesh.index.array,
      normals: mesh.attributes.normal?.array ?? null,
    });
    const size = sizeOf(measure.low, measure.high);
    if (!size || measure.triangles === 0) continue;
    triangles += measure.triangles;
    area += measure.area;
    for (let axis = 0; axis < 3; axis++) {
      low[axis] = Math.min(low[axis]!, measure.low[axis]!);
      high[axis] = Math.max(high[axis]!, measure.high[axis]!);
    }
    if (measure.opening > closedWithin * measure.area) surfaces += 1;
    else solids.push({ name: names[index]!, size, volume: Math.abs(measure.volume), area: measure.area });
  }
  const size = sizeOf(low, high);
  if (!size) throw new Unreadable('The STEP file holds no solid and no surface that can be read.');
  if (surfaces > 0) {
    warnings.push(
      `${surfaces === 1 ? 'One surface encloses' : `${surfaces} surfaces enclose`} nothing and ${surfaces === 1 ? 'has' : 'have'} no volume.`,
    );
  }
  return factsOf('STEP', {
    unit,
    size,
    volume: solids.length > 0 ? solids.reduce((sum, { volume }) => sum + volume, 0) : null,
    area,
    solids: solids.length,
    parts: counted(solids),
    warnings,
    triangles,
    step: { ...step, solids },
  });
}

/** Each mesh's name: its own, or that of the nearest one above it that has one. */
function meshNames({ root, meshes }: OcctResult): string[] {
  const names = meshes.map(() => '');
  const walk = (node: OcctNode, above: string) => {
    const name = clean(node.name) || above;
    for (const index of node.meshes) names[index] = clean(meshes[index]!.name) || name;
    for (const child of node.children) walk(child, name);
  };
  walk(root, '');
  return names;
}

function clean(name: string): string {
  const shown = stepString(name).trim();
  return nameless.test(shown) ? '' : shown;
}

function counted(solids: readonly { name: string }[]): { name: string; quantity: number }[] {
  const quantities = new Map<string, number>();
  for (const { name } of solids) quantities.set(name, (quantities.get(name) ?? 0) + 1);
  return [...quantities].map(([name, quantity]) => ({ name, quantity }));
}

/** The triangles of a STEP file with the surface's direction at each corner, solid by solid, in mm. */
export async function stepShape(bytes: Uint8Array): Promise<TriangleShape> {
  const { structure, read } = await solidsOf(bytes);
  const names = meshNames(read);
  const corners = read.meshes.reduce((sum, { index }) => sum + index.array.length, 0);
  const positions = new Float32Array(3 * corners);
  const normals = new Float32Array(3 * corners);
  const groups: TriangleShape['groups'] = [];
  let used = 0;
  for (const [index, mesh] of read.meshes.entries()) {
    const from = mesh.attributes.position.array;
    const pointing = mesh.attributes.normal?.array;
    groups.push({ name: names[index]!, first: used / 3, count: mesh.index.array.length / 3 });
    for (const corner of mesh.index.array) {
      for (let axis = 0; axis < 3; axis++) {
        positions[3 * used + axis] = from[3 * corner + axis]!;
        normals[3 * used + axis] = pointing?.[3 * corner + axis] ?? 0;
      }
      used += 1;
    }
  }
  return { kind: 'triangles', unit: structure.unit, positions, normals, groups };
}
