import { NotComputable } from '../platform/not-computable.ts';

/** The classes of general tolerance, fine to very coarse. */
export const GENERAL_CLASSES = ['f', 'm', 'c', 'v'] as const;
export type GeneralClass = (typeof GENERAL_CLASSES)[number];

/** The largest length in mm that a standard has limits for; above it a slip of the keyboard is likelier than a part. */
export const LARGEST_SIZE_MM = 4000;

/** What is toleranced: a length, an external radius or chamfer height, or an angle by its shorter side. */
export type GeneralKind = 'linear' | 'radius' | 'angle';

/** What a reply says about where its figures are from. */
export const ISO_2768_SOURCE = 'ISO 2768-1:1989';

interface Table {
  /** Ranges start here, this end included. */
  from: number;
  /** Upper ends in mm, each included. */
  upTo: readonly number[];
  values: Readonly<Record<GeneralClass, readonly (number | null)[]>>;
  /** How the length looked up is called in a sentence. */
  length: string;
}

const minutes = (...values: number[]): number[] => values.map((value) => value / 60);

/*
 * All plus or minus; mm, angles in degrees. Source: ISO 2768-1:1989, tables 1 to 3, as given at
 * https://handfest.engineer/Toleranz/Allgemeintol.html
 */
const TABLES: Readonly<Record<GeneralKind, Table>> = {
  linear: {
    from: 0.5,
    upTo: [3, 6, 30, 120, 400, 1000, 2000, 4000],
    values: {
      f: [0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, null],
      m: [0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2],
      c: [0.2, 0.3, 0.5, 0.8, 1.2, 2, 3, 4],
      v: [null, 0.5, 1, 1.5, 2.5, 4, 6, 8],
    },
    length: 'length',
  },
  radius: {
    from: 0.5,
    upTo: [3, 6, Number.POSITIVE_INFINITY],
    values: { f: [0.2, 0.5, 1], m: [0.2, 0.5, 1], c: [0.4, 1, 2], v: [0.4, 1, 2] },
    length: 'radius',
  },
  angle: {
    from: 0,
    upTo: [10, 50, 120, 400, Number.POSITIVE_INFINITY],
    values: {
      f: minutes(60, 30, 20, 10, 5),
      m: minutes(60, 30, 20, 10, 5),
      c: minutes(90, 60, 30, 15, 10),
      v: minutes(180, 120, 60, 30, 20),
    },
    length: 'shorter side',
  },
};

/**
 * The general tolerance of a size that carries none of its own.
 *
 * @param nominalMm     the size; for an angle the length of its shorter side
 * @param generalClass  f, m, c or v
 * @param kind          radius means external radii and chamfer heights
 * @returns             how far it may be off either way: mm, or degrees for an angle
 * @throws NotComputable  a size or class that ISO 2768-1 has no value for
 *
 * Source: ISO 2768-1:1989, tables 1 to 3.
 * Example: generalTolerance(30, 'm', 'linear') -> 0.2
 */
export function generalTolerance(
  nominalMm: number,
  generalClass: GeneralClass,
  kind: GeneralKind = 'linear',
): number {
  const table = TABLES[kind];
  const name = `ISO 2768-1 class ${generalClass}`;
  if (!(nominalMm > 0) || nominalMm < table.from) {
    throw new NotComputable(
      table.from > 0
        ? `${table.length} ${nominalMm} mm: ${name} has no value under ${table.from} mm, the limits stand beside the size`
        : `${table.length} ${nominalMm} mm: a length over 0 is needed`,
    );
  }
  const value = table.values[generalClass][table.upTo.findIndex((upTo) => nominalMm <= upTo)];
  if (value === undefined || value === null) {
    throw new NotComputable(`${table.length} ${nominalMm} mm: ${name} has no value at this size`);
  }
  return value;
}
