/** What kind of thing a trial measures: it decides what the form asks and which test compares. */
export const TRIAL_KINDS = ['level', 'time', 'force', 'size', 'failures', 'yes-no', 'other'] as const;

export type TrialKind = (typeof TRIAL_KINDS)[number];

export interface KindOfTrial {
  label: string;
  /** what is measured so, and how it is compared */
  line: string;
  /** the unit that the form begins with */
  unit: string;
  /** the units that fit; null: any, or none */
  units: readonly string[] | null;
  /** an example of what is measured */
  example: string;
}

export const KINDS: Readonly<Record<TrialKind, KindOfTrial>> = {
  level: {
    label: 'A level',
    line: 'Decibels: how loud, how strong. Means by energy, and above the noise where that is measured too.',
    unit: 'dB',
    units: null,
    example: 'sound level one metre from the crank',
  },
  time: {
    label: 'A time',
    line: 'How long one turn, one set-up, one warm-up takes.',
    unit: 's',
    units: ['µs', 'ms', 's', 'min', 'h', 'd', 'days', 'weeks'],
    example: 'time for one turn of the crank',
  },
  force: {
    label: 'A force',
    line: 'How hard it pushes or pulls. A torque is something else.',
    unit: 'N',
    units: ['mN', 'N', 'daN', 'kN', 'MN', 'gf', 'kgf', 'ozf', 'lbf'],
    example: 'pull at the end of the lever',
  },
  size: {
    label: 'A size',
    line: 'A length, a gap, an angle, a play.',
    unit: 'mm',
    units: ['µm', 'mm', 'cm', 'm', 'in', 'thou', 'ft', '°', '′', '″', 'mrad'],
    example: 'play of the arm at its end',
  },
  failures: {
    label: 'Failures counted',
    line: 'How often it failed in so many runs, hours or pieces. Compared by an exact test of two rates.',
    unit: '',
    units: null,
    example: 'belt slips',
  },
  'yes-no': {
    label: 'Yes or no',
    line: 'Each run works or does not. Compared by an exact test of two shares.',
    unit: '',
    units: null,
    example: 'whether the latch catches by itself',
  },
  other: {
    label: 'Something else',
    line: 'Any other number: a torque, a temperature, a current, a mass.',
    unit: '',
    units: null,
    example: 'torque at the crank',
  },
};

/** The kind of a stored or typed word; anything unknown is of the kind other. */
export function kindOf(word: unknown): TrialKind {
  return TRIAL_KINDS.find((kind) => kind === word) ?? 'other';
}

/** Sound levels have their means by energy; the unit says that they are levels. */
export function areLevels(unit: string): boolean {
  return /^dB(\b|\()/.test(unit.trim());
}

/** Both signs for a millionth are in use on keyboards. */
export const plainUnit = (unit: string) => unit.trim().replace(/\u03bc/g, 'µ');

/** What is wrong with the unit of a trial of this kind, or null. */
export function unitTrouble(kind: TrialKind, typed: string): string | null {
  const unit = plainUnit(typed);
  if (kind === 'level') {
    return areLevels(unit)
      ? null
      : 'A level is in dB, such as dB or dB(A). For another unit choose another kind.';
  }
  const { units } = KINDS[kind];
  if (!units || units.includes(unit)) return null;
  return unit === ''
    ? `Name the unit: ${units.join(', ')}.`
    : `${KINDS[kind].label} is in ${units.slice(0, -1).join(', ')} or ${units.at(-1)}. For another unit choose something else as the kind.`;
}

/** Whether single runs are counted, so that no unit belongs to them. */
export const isCounted = (kind: TrialKind) => kind === 'failures' || kind === 'yes-no';
