import type { FileFacts } from '../models/index.ts';

/** A figure of two files side by side, in words. */
export interface FactPair {
  label: string;
  before: string;
  after: string;
  /** by how much, or that it is another; empty where it is the same */
  change: string;
}

const MM_PER_INCH = 25.4;

/**
 * What the facts of two files say, side by side: sizes, volume, surface, solids, parts, cut length, contours. Figures that
 * neither has are left out.
 *
 * @param lengthUnit  in which the reader wants them
 */
export function compareFacts(before: FileFacts, after: FileFacts, lengthUnit: 'mm' | 'in'): FactPair[] {
  const per = lengthUnit === 'in' ? MM_PER_INCH : 1;
  const pairs: FactPair[] = [];
  const figure = (
    label: string,
    was: number | null | undefined,
    is: number | null | undefined,
    power: 0 | 1 | 2 | 3,
  ): void => {
    if (was === null || was === undefined || is === null || is === undefined) return;
    const unit = power === 0 ? '' : ` ${lengthUnit}${['', '', '²', '³'][power]}`;
    const scale = per ** power;
    pairs.push({
      label,
      before: `${words(was / scale)}${unit}`,
      after: `${words(is / scale)}${unit}`,
      change: moved(was / scale, is / scale, unit),
    });
  };
  for (const axis of ['x', 'y', 'z'] as const) {
    // A flat pattern has no height.
    if (axis === 'z' && after.format === 'DXF') continue;
    figure(`Size along ${axis.toUpperCase()}`, before.size?.[axis], after.size?.[axis], 1);
  }
  figure('Volume', before.volume, after.volume, 3);
  figure('Surface', before.area, after.area, 2);
  figure('Solids', before.solids, after.solids, 0);
  figure('Cut length', before.cutLength, after.cutLength, 1);
  figure('Contours', before.flat?.contours, after.flat?.contours, 0);
  figure('Open contours', before.flat?.openContours, after.flat?.openContours, 0);
  figure('Pages', before.sheets?.pages, after.sheets?.pages, 0);
  if (before.unit !== after.unit && (before.unit || after.unit)) {
    const [was, is] = [before.unit ?? 'none', after.unit ?? 'none'];
    pairs.push({ label: 'Unit of the file', before: was, after: is, change: 'another' });
  }
  return [...pairs, ...partPairs(before, after)];
}

/** Named parts that are not the same in number. */
function partPairs(before: FileFacts, after: FileFacts): FactPair[] {
  const count = (facts: FileFacts) => new Map((facts.parts ?? []).map((part) => [part.name, part.quantity]));
  const [was, is] = [count(before), count(after)];
  return [...new Set([...was.keys(), ...is.keys()])].flatMap((name) => {
    const [from, to] = [was.get(name) ?? 0, is.get(name) ?? 0];
    if (from === to) return [];
    return [
      { label: name || 'without a name', before: `${from}`, after: `${to}`, change: moved(from, to, '') },
    ];
  });
}

const words = (value: number) =>
  value.toLocaleString('en', { maximumFractionDigits: Math.abs(value) >= 1000 ? 0 : 3 });

/** A change below a millionth of the figure is the noise of two readings. */
const NOISE = 1e-6;

function moved(was: number, is: number, unit: string): string {
  const change = is - was;
  if (Math.abs(change) <= NOISE * Math.max(Math.abs(was), Math.abs(is))) return '';
  const share = was === 0 ? '' : `, ${change > 0 ? '+' : '−'}${words(Math.abs((change / was) * 100))} %`;
  return `${change > 0 ? '+' : '−'}${words(Math.abs(change))}${unit}${unit ? share : ''}`;
}
