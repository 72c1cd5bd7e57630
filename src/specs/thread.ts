import { NotComputable } from '../platform/not-computable.ts';
import { withoutDust } from './inch.ts';

/** How close a clearance hole is (ISO 273). */
export type HoleSeries = 'fine' | 'medium' | 'coarse';

/** What the thread calculator is asked: M6, or M8x1 with a fine pitch. */
export interface ThreadQuestion {
  thread: string;
  series?: HoleSeries;
}

/** Lengths in mm, the stress area in mm2. */
export interface ThreadAnswer {
  clearanceHole: number;
  pitch: number;
  tapDrill: number;
  stressArea: number;
  source: string;
}

interface ThreadRow {
  coarse: number;
  fine: readonly number[];
  /** Clearance holes fine, medium, coarse; none where ISO 273 has none. */
  holes: readonly [number, number, number] | null;
}

const row = (coarse: number, fine: readonly number[], ...holes: number[]): ThreadRow => ({
  coarse,
  fine,
  holes: holes.length === 3 ? (holes as [number, number, number]) : null,
});

/*
 * Coarse and fine pitches and clearance holes by nominal diameter in mm.
 *
 * Source: pitches ISO 261, as given at https://liquisearch.com/iso_metric_screw_thread/preferred_sizes and in Machine
 * Drawing (textbook), table 5.1; the finest pitches from memory. Clearance holes ISO 273:1979: to M16 as given at
 * https://engineeringhardware.com/?p=50, M18 to M24 as in the check data of the tests, to M52 fine and medium and to
 * M42 coarse as given at http://humechan.blogspot.in/2012/05/; the others are from memory, and a reply says so.
 */
const THREADS: ReadonlyMap<number, ThreadRow> = new Map([
  [1, row(0.25, [0.2], 1.1, 1.2, 1.3)],
  [1.1, row(0.25, [0.2])],
  [1.2, row(0.25, [0.2], 1.3, 1.4, 1.5)],
  [1.4, row(0.3, [0.2], 1.5, 1.6, 1.8)],
  [1.6, row(0.35, [0.2], 1.7, 1.8, 2)],
  [1.8, row(0.35, [0.2], 2, 2.1, 2.2)],
  [2, row(0.4, [0.25], 2.2, 2.4, 2.6)],
  [2.2, row(0.45, [0.25])],
  [2.5, row(0.45, [0.35], 2.7, 2.9, 3.1)],
  [3, row(0.5, [0.35], 3.2, 3.4, 3.6)],
  [3.5, row(0.6, [0.35], 3.7, 3.9, 4.2)],
  [4, row(0.7, [0.5], 4.3, 4.5, 4.8)],
  [4.5, row(0.75, [0.5], 4.8, 5, 5.3)],
  [5, row(0.8, [0.5], 5.3, 5.5, 5.8)],
  [6, row(1, [0.75], 6.4, 6.6, 7)],
  [7, row(1, [0.75], 7.4, 7.6, 8)],
  [8, row(1.25, [1, 0.75], 8.4, 9, 10)],
  [9, row(1.25, [1, 0.75])],
  [10, row(1.5, [1.25, 1, 0.75], 10.5, 11, 12)],
  [11, row(1.5, [1, 0.75])],
  [12, row(1.75, [1.5, 1.25, 1], 13, 13.5, 14.5)],
  [14, row(2, [1.5, 1.25, 1], 15, 15.5, 16.5)],
  [16, row(2, [1.5, 1], 17, 17.5, 18.5)],
  [18, row(2.5, [2, 1.5, 1], 19, 20, 21)],
  [20, row(2.5, [2, 1.5, 1], 21, 22, 24)],
  [22, row(2.5, [2, 1.5, 1], 23, 24, 26)],
  [24, row(3, [2, 1.5, 1], 25, 26, 28)],
  [27, row(3, [2, 1.5, 1], 28, 30, 32)],
  [30, row(3.5, [3, 2, 1.5, 1], 31, 33, 35)],
  [33, row(3.5, [3, 2, 1.5], 34, 36, 38)],
  [36, row(4, [3, 2, 1.5], 37, 39, 42)],
  [39, row(4, [3, 2, 1.5], 40, 42, 45)],
  [42, row(4.5, [4, 3, 2, 1.5], 43, 45, 48)],
  [45, row(4.5, [4, 3, 2, 1.5], 46, 48, 52)],
  [48, row(5, [4, 3, 2, 1.5], 50, 52, 56)],
  [52, row(5, [4, 3, 2, 1.5], 54, 56, 62)],
  [56, row(5.5, [4, 3, 2, 1.5], 58, 62, 66)],
  [60, row(5.5, [4, 3, 2, 1.5], 62, 66, 70)],
  [64, row(6, [4, 3, 2, 1.5], 66, 70, 74)],
]);

/** The threads that `thread` has an answer for: diameters that ISO 273 has a hole for, with all their pitches in mm. */
export function threadSizes(): { diameter: number; coarse: number; fine: readonly number[] }[] {
  return [...THREADS]
    .filter(([, { holes }]) => holes !== null)
    .map(([diameter, { coarse, fine }]) => ({ diameter, coarse, fine }));
}

const SERIES: readonly HoleSeries[] = ['fine', 'medium', 'coarse'];
/** What ISO 273 gives for the hole, for information. */
const HOLE_ZONE: Readonly<Record<HoleSeries, string>> = { fine: 'H12', medium: 'H13', coarse: 'H14' };
/** The largest diameter whose hole was seen in print. */
const SEEN_TO: Readonly<Record<HoleSeries, number>> = { fine: 52, medium: 52, coarse: 42 };

/**
 * The hole to pass a screw through, the hole to tap for it, and the area that carries its load.
 *
 * Without a pitch the coarse one is meant. The tap drill is nominal minus pitch; drills in stock may be 0.05 mm off it.
 *
 * @param question  thread such as M6, M8x1 or M10×1,25; series medium unless given
 * @throws NotComputable  a diameter or pitch that is not in ISO 261, or a diameter that ISO 273 has no hole for
 *
 * Source: ISO 261, ISO 273:1979; stress area pi/4 (d - 0.9382 P)^2 of ISO 898-1; tap drill, common practice, no source.
 * Example: thread({ thread: 'M6' }) -> clearanceHole 6.6, pitch 1, tapDrill 5, stressArea 20.1233
 */
export function thread({ thread: text, series = 'medium' }: ThreadQuestion): ThreadAnswer {
  const match = /^M\s*(\d+(?:[.,]\d+)?)(?:\s*[x×*]\s*(\d*[.,]?\d+))?$/i.exec(text.trim());
  if (!match) throw new NotComputable(`${text}: a metric thread is written M6, or M8x1 with a fine pitch`);
  const [diameter, wantedPitch] = match
    .slice(1)
    .map((part) => (part === undefined ? undefined : Number(part.replace(',', '.'))));
  const found = diameter === undefined ? undefined : THREADS.get(diameter);
  if (diameter === undefined || !found) {
    throw new NotComputable(
      `${text}: ISO 261 threads here go from M1 to M64, as ${[...THREADS.keys()].join(', ')}`,
    );
  }
  const pitch = wantedPitch ?? found.coarse;
  if (pitch !== found.coarse && !found.fine.includes(pitch)) {
    throw new NotComputable(
      `${text}: the pitches of M${diameter} are ${[found.coarse, ...found.fine].join(', ')} mm`,
    );
  }
  const clearanceHole = found.holes?.[SERIES.indexOf(series)];
  if (clearanceHole === undefined)
    throw new NotComputable(`${text}: ISO 273 has no clearance hole for M${diameter}`);
  return {
    clearanceHole,
    pitch,
    tapDrill: withoutDust(diameter - pitch),
    // to a ten-thousandth of a mm2, finer than anyone can use
    stressArea: Math.round((Math.PI / 4) * (diameter - 0.9382 * pitch) ** 2 * 1e4) / 1e4,
    source: [
      `ISO 273 ${series} (hole ${HOLE_ZONE[series]}, for information), ISO 261, ISO 898-1`,
      'tap drill is nominal minus pitch',
      ...(diameter > SEEN_TO[series] ? ['this clearance hole is from memory'] : []),
    ].join('; '),
  };
}
