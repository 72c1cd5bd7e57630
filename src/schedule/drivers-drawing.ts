import { round } from './drawing.ts';

/** What a simulation says of one step. */
export interface Driver {
  label: string;
  href: string;
  /** share of the runs in which it had no float, 0..1 */
  criticality: number;
  /** rank correlation of its length with the finish, -1..1; not a number where its length never varied */
  sensitivity: number;
}

/** One step with two bars; places are hundredths of the width. */
export interface DriverRow {
  label: string;
  href: string;
  chance: { width: number; text: string };
  /** from the line of no effect in the middle; null where its length never varied */
  pull: { at: number; width: number; text: string } | null;
}

export interface DriversDrawing {
  rows: DriverRow[];
  /** how many steps are not shown */
  more: number;
}

/** So many of the strongest are shown. */
export const MOST_DRIVERS = 12;

const figure = (value: number) =>
  (Math.round(value * 100) / 100).toFixed(2).replace('-', '−').replace('−0.00', '0.00');

/** The strongest drivers of the finish: by the chance to be critical, then by how far their length moves it. */
export function driversDrawing(drivers: readonly Driver[], most = MOST_DRIVERS): DriversDrawing {
  const strength = ({ sensitivity }: Driver) => (Number.isFinite(sensitivity) ? Math.abs(sensitivity) : 0);
  const sorted = [...drivers]
    .filter((driver) => driver.criticality > 0 || strength(driver) > 0)
    .sort((a, b) => b.criticality - a.criticality || strength(b) - strength(a));
  return {
    rows: sorted.slice(0, most).map(({ label, href, criticality, sensitivity }) => ({
      label,
      href,
      chance: { width: round(criticality * 100), text: `${Math.round(criticality * 100)} %` },
      pull: Number.isFinite(sensitivity)
        ? {
            at: round(50 + Math.min(0, sensitivity) * 50),
            width: round(Math.abs(sensitivity) * 50),
            text: figure(sensitivity),
          }
        : null,
    })),
    more: drivers.length - Math.min(most, sorted.length),
  };
}
