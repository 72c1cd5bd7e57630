/** What is read from files by this program. A change in how anything is read raises it, and kept facts are read anew. */
export const READER_VERSION = 1;

export type ReadableKind = 'step' | 'stl' | 'dxf' | 'pdf' | 'png' | 'jpeg' | 'webp';

/** Is a file of this kind one that facts are read from? */
export function isReadable(kind: string): kind is ReadableKind {
  return ['step', 'stl', 'dxf', 'pdf', 'png', 'jpeg', 'webp'].includes(kind);
}

export type Format = 'STEP' | 'STL' | 'DXF' | 'PDF' | 'PNG' | 'JPEG' | 'WebP';

/** mm along the axes of the file. */
export interface Size {
  x: number;
  y: number;
  z: number;
}

export interface NamedCount {
  name: string;
  count: number;
}

/** A product of a STEP file, and what it is put together from. */
export interface AssemblyNode {
  name: string;
  /** the product's own id, where it is not the name */
  number: string | null;
  description: string | null;
  /** how many of it the one above it holds; 1 at the top */
  quantity: number;
  children: AssemblyNode[];
}

export interface SolidFacts {
  name: string;
  size: Size;
  volume: number;
  area: number;
}

export interface StepFacts {
  /** FILE_SCHEMA: AUTOMOTIVE_DESIGN { ... } */
  schemas: string[];
  /** FILE_NAME: the name the model went by */
  name: string;
  /** FILE_NAME: when it was written, as it stands there */
  writtenAt: string;
  /** entities in the data sections */
  entities: number;
  /** products by levels, from the text; more than one top is possible */
  tree: AssemblyNode[];
  /** each solid at its place */
  solids: SolidFacts[];
}

export interface FlatFacts {
  contours: number;
  openContours: number;
  /** how often a beam or jet has to begin anew */
  pierces: number;
  layers: { name: string; cutLength: number }[];
  /** what is not cut: texts, sizes, marks */
  notes: NamedCount[];
  /** what may be geometry and can't be read */
  unread: NamedCount[];
}

export interface SheetFacts {
  pages: number;
  /** sizes as shown, turned as the page says, in mm, with how many pages have them */
  sizes: { width: number; height: number; name: string | null; pages: number }[];
}

/**
 * What a file says. Lengths in mm, areas in mm2, volumes in mm3, whatever unit the file is in; null where the format has
 * no answer, or this file none that holds.
 */
export interface FileFacts {
  format: Format;
  /** the file's own unit of length: mm, cm, m, in, ft, ... */
  unit: string | null;
  size: Size | null;
  volume: number | null;
  area: number | null;
  solids: number | null;
  /** named solids, counted through the assembly */
  parts: { name: string; quantity: number }[] | null;
  layers: string[] | null;
  cutLength: number | null;
  /** STL: every edge joins two facets; DXF: every contour ends where it begins */
  closed: boolean | null;
  /** sentences for people */
  warnings: string[];
  triangles: number | null;
  step: StepFacts | null;
  flat: FlatFacts | null;
  sheets: SheetFacts | null;
  /** pixels of a picture, held upright */
  picture: { width: number; height: number } | null;
}

/** Facts of a format with all that it has no answer for left null. */
export function factsOf(format: Format, known: Partial<FileFacts>): FileFacts {
  return {
    format,
    unit: null,
    size: null,
    volume: null,
    area: null,
    solids: null,
    parts: null,
    layers: null,
    cutLength: null,
    closed: null,
    warnings: [],
    triangles: null,
    step: null,
    flat: null,
    sheets: null,
    picture: null,
    ...known,
  };
}

/** The file can't be read; the message is a sentence for who sent it. */
export class Unreadable extends Error {
  override readonly name = 'Unreadable';
}

/** Triangles of a model, for pictures and for turning it: nine numbers each, in mm. */
export interface TriangleShape {
  kind: 'triangles';
  unit: string | null;
  positions: Float32Array;
  /** at each corner, of length 1, pointing out */
  normals: Float32Array;
  /** runs of triangles that belong together: the solids of a STEP file */
  groups: { name: string; first: number; count: number }[];
}

/** Contours of a flat pattern, in mm: curves as runs of points, no further from them than the tolerance. */
export interface ContourShape {
  kind: 'contours';
  unit: string | null;
  tolerance: number;
  contours: { layer: string; closed: boolean; points: Float64Array }[];
}

export type Shape = TriangleShape | ContourShape;
