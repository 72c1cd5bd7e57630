import { partPath } from '../parts/index.ts';
import { type Capability, FEWEST_VALUES, plainNumber } from '../specs/index.ts';
import type { CapabilityGroup, DimensionCapability } from './capability-groups.ts';

/** Figures of a capability as a line of a table shows them; empty where there is none. */
export interface CapabilityWords {
  count: string;
  outside: string;
  /** the mean from the middle of the limits */
  shift: string;
  /** one standard deviation */
  spread: string;
  cpk: string;
  interval: string;
  /** why there is no Cpk, or what to mind */
  note: string;
}

export interface DimensionLine extends CapabilityWords {
  partNumber: string;
  href: string;
  name: string;
}

export interface CapabilityLine extends CapabilityWords {
  personId: number;
  processId: number | null;
  process: string;
  /** what Cpk comes to in a few words */
  verdict: string;
  dimensions: DimensionLine[];
  /** dimensions that are not listed */
  more: number;
}

const MOST_DIMENSIONS = 20;

/** Two digits behind the point, with a sign that is not a hyphen. */
const index = (value: number) =>
  value
    .toFixed(2)
    .replace(/^-0\.00$/, '0.00')
    .replace('-', '−');

const percent = (share: number) => {
  const figure = Math.round(Math.abs(share) * 100);
  if (figure === 0) return 'in the middle';
  return `${figure} % ${share > 0 ? 'high' : 'low'}`;
};

/** Three digits of what matters: 0.00213 mm, 0.125°. */
function small(value: number, unit: string): string {
  const figure = plainNumber(Number(Math.abs(value).toPrecision(3)));
  return unit === '°' ? `${figure}°` : `${figure} ${unit}`;
}

/**
 * What a Cpk comes to, by its whole interval: what it may be is told as well as what it looks like.
 *
 * Source: 1 as the least and 1.33 as comfortable are common practice, no source.
 */
export function verdictOfCpk({ cpk, interval }: Pick<Capability, 'cpk' | 'interval'>): string {
  if (cpk === null || interval === null) return '';
  if (interval.low >= 1) return 'holds its limits';
  if (interval.high < 1) return 'does not hold its limits safely';
  return cpk >= 1
    ? 'seems to hold its limits: more values would tell'
    : 'may not hold its limits: more values would tell';
}

const few = (count: number) => `${count} of the ${FEWEST_VALUES} values that a figure needs`;

function indexWords(
  answer: Capability | null,
  count: number,
): Pick<CapabilityWords, 'cpk' | 'interval' | 'note'> {
  if (!answer) return { cpk: '', interval: '', note: few(count) };
  if (answer.cpk === null || answer.interval === null) {
    return { cpk: '', interval: '', note: 'all values are alike: no spread to tell, measure finer' };
  }
  const { low, high } = answer.interval;
  return { cpk: index(answer.cpk), interval: `${index(low)} to ${index(high)}`, note: '' };
}

function dimensionLine(one: DimensionCapability): DimensionLine {
  const { capability: answer, unit } = one;
  const shift = answer?.shift ?? null;
  const way = shift === null || Number(shift.toPrecision(9)) === 0 ? '' : shift > 0 ? ' high' : ' low';
  return {
    partNumber: one.partNumber,
    href: partPath(one.partNumber),
    name: `${[one.label, one.text].filter(Boolean).join(', ')} (rev ${one.letter})`,
    count: String(one.count),
    outside: String(one.outside),
    shift: shift === null ? '' : `${small(shift, unit)}${way}`,
    spread: answer ? small(answer.deviation, unit) : '',
    ...indexWords(answer, one.count),
  };
}

/** A maker's values of a process as a line, with its dimensions below. */
export function capabilityLine(
  group: CapabilityGroup,
  processes: ReadonlyMap<number, string>,
): CapabilityLine {
  const { places, suspect, count } = group;
  const words = indexWords(places, count);
  const left = suspect
    ? `${suspect} ${suspect === 1 ? 'value looks' : 'values look'} like another unit or a slipped point and ${suspect === 1 ? 'is' : 'are'} left out`
    : '';
  return {
    personId: group.personId,
    processId: group.processId,
    process: processes.get(group.processId ?? 0) ?? 'process not named',
    count: String(count),
    outside: String(group.outside),
    shift: places?.shiftShare === null || !places ? '' : percent(places.shiftShare),
    spread: places ? `${Math.round(places.deviation * 100)} %` : '',
    ...words,
    note: [words.note, left].filter(Boolean).join('; '),
    verdict: places ? verdictOfCpk(places) : '',
    dimensions: group.dimensions.slice(0, MOST_DIMENSIONS).map(dimensionLine),
    more: Math.max(0, group.dimensions.length - MOST_DIMENSIONS),
  };
}

/** Lines of many groups: by process and, within it, the one that holds its limits least first; no figure comes last. */
export function capabilityLines(
  groups: readonly CapabilityGroup[],
  processes: ReadonlyMap<number, string>,
): CapabilityLine[] {
  const cpk = ({ places }: CapabilityGroup) => places?.cpk ?? Number.POSITIVE_INFINITY;
  return [...groups]
    .sort((a, b) => cpk(a) - cpk(b))
    .map((group) => capabilityLine(group, processes))
    .sort((a, b) => a.process.localeCompare(b.process));
}
