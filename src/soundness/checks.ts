import {
  type Characteristic,
  type CharacteristicLimits,
  type GeneralClass,
  gradeOfLimits,
  gradeWords,
  limitsOf,
  MM_PER_INCH,
  parseCharacteristic,
  plainNumber,
  toMm,
} from '../specs/index.ts';

/** A characteristic as a drawing keeps it; the position is its name from revision to revision. */
export interface KeptDimension {
  position: number;
  label: string;
  text: string;
}

/** A drawing as the checks need it. */
export interface DrawingSpecs {
  revisionId: number;
  letter: string;
  generalClass: GeneralClass | null;
  dimensions: readonly KeptDimension[];
}

/** What a process holds at its best. */
export interface ProcessSpecs {
  name: string;
  /** ISO 286 grades; null where none is known */
  best: number | null;
  usual: number | null;
  /** finest everyday tolerance of an angle either way, in degrees; null where none is known */
  angle: number | null;
}

/** A part with what its drawings say. */
export interface PartSpecs {
  id: number;
  number: string;
  name: string;
  isMade: boolean;
  hasMaterial: boolean;
  process: ProcessSpecs | null;
  /** the newest drawing, draft or released; null where there is none */
  drawing: DrawingSpecs | null;
  /** the one before it */
  before: DrawingSpecs | null;
  /** the drawing that parts are made to now */
  released: DrawingSpecs | null;
  /** accepted units of superseded drawings that are kept: not decided on yet, or to be used as they are */
  oldUnits: readonly { drawing: DrawingSpecs; quantity: string; isDecided: boolean }[];
  /** counted on the shelf, in words; empty where there is nothing */
  shelf: string;
}

/** A measured value that looks like another unit or a slipped point. */
export interface SuspectValue {
  partNumber: string;
  letter: string;
  dimension: string;
  value: string;
  suspicion: string;
  jobId: number;
  unitNo: number;
  lineId: number;
}

export type CheckCode =
  | 'model'
  | 'material'
  | 'tolerance'
  | 'needless'
  | 'mating'
  | 'units'
  | 'shelf'
  | 'measured';

/** Something that does not look sound, and where to look at it. */
export interface Finding {
  check: CheckCode;
  /** the part's number */
  part: string;
  says: string;
  /** a revision to look at, or null for the part itself */
  revisionId: number | null;
  /** a line of a parcel to look at */
  lineId?: number;
  /** where it is cured, when that is another place */
  link?: { href: string; label: string };
}

/** A dimension in words: place and text. */
export const nameOf = ({ label, text }: KeptDimension) => [label, text].filter(Boolean).join(', ');

type Sized = Exclude<Characteristic, { kind: 'requirement' }>;

/** A dimension that has a nominal. */
export interface ReadDimension {
  kept: KeptDimension;
  sized: Sized;
  limits: CharacteristicLimits | null;
}

/** The dimensions of a drawing that have a nominal, with their limits. */
export function readDimensions({ dimensions, generalClass }: DrawingSpecs): ReadDimension[] {
  return dimensions.flatMap((kept): ReadDimension[] => {
    const reading = parseCharacteristic(kept.text);
    if (!reading.ok || reading.characteristic.kind === 'requirement') return [];
    const limits = limitsOf(reading.characteristic, generalClass);
    return [{ kept, sized: reading.characteristic, limits: 'refusal' in limits ? null : limits }];
  });
}

/** Made parts of which no material is named. */
function materialFindings({ number, isMade, hasMaterial, drawing }: PartSpecs): Finding[] {
  if (!isMade || hasMaterial) return [];
  const says = drawing ? `no material on revision ${drawing.letter}` : 'no material, and no drawing yet';
  return [{ check: 'material', part: number, says, revisionId: drawing?.revisionId ?? null }];
}

/**
 * Tolerances finer than the process of the part holds at its best, or finer than any process of the list does.
 *
 * Source: best grades as the list of processes names them, each with its own source; compared by width of tolerance, which
 * is common practice, no source.
 */
function toleranceFindings({ number, process, drawing }: PartSpecs, finest: number | null): Finding[] {
  if (!drawing) return [];
  return readDimensions(drawing).flatMap(({ kept, sized, limits }): Finding[] => {
    if (!limits) return [];
    const finding = (says: string): Finding[] => [
      { check: 'tolerance', part: number, says: `${nameOf(kept)} ${says}`, revisionId: drawing.revisionId },
    ];
    if (sized.kind === 'angle') {
      const either = (limits.upperLimit - limits.lowerLimit) / 2;
      const held = process?.angle ?? null;
      if (held === null || either >= held - 1e-9) return [];
      return finding(
        `asks for ±${plainNumber(either)}°; ${process?.name} holds ±${plainNumber(held)}° at its best`,
      );
    }
    const grade = gradeOfLimits(sized.nominal, limits);
    if (grade === null) return [];
    if (finest !== null && grade < finest) {
      return finding(
        `asks for ${gradeWords(grade)}: no process on the list holds better than ${gradeWords(finest)}`,
      );
    }
    const best = process?.best ?? null;
    if (best === null || grade >= best) return [];
    return finding(`asks for ${gradeWords(grade)}; ${process?.name} holds ${gradeWords(best)} at its best`);
  });
}

/** Both units on one drawing, and sizes that changed by 25.4 or by ten times from one drawing to the next. */
function unitFindings({ number, drawing, before }: PartSpecs): Finding[] {
  if (!drawing) return [];
  const finding = (says: string): Finding => ({
    check: 'units',
    part: number,
    says,
    revisionId: drawing.revisionId,
  });
  const findings: Finding[] = [];
  const now = readDimensions(drawing);
  const inches = now.filter(({ sized }) => sized.unit === 'in');
  const millimetres = now.filter(({ sized }) => sized.unit === 'mm');
  if (inches.length > 0 && millimetres.length > 0) {
    const [few, unit] = inches.length <= millimetres.length ? [inches, 'inches'] : [millimetres, 'mm'];
    const names = few.slice(0, 3).map(({ kept }) => nameOf(kept));
    const more = few.length > 3 ? ` and ${few.length - 3} more` : '';
    findings.push(
      finding(
        `${inches.length} in inches and ${millimetres.length} in mm; in ${unit}: ${names.join('; ')}${more}`,
      ),
    );
  }
  const earlier = new Map(before ? readDimensions(before).map((one) => [one.kept.position, one]) : []);
  for (const { kept, sized } of now) {
    const old = earlier.get(kept.position)?.sized;
    if (!old || sized.unit === 'deg' || old.unit === 'deg') continue;
    const ratio = toMm(sized.nominal, sized.unit) / toMm(old.nominal, old.unit);
    const factor = [MM_PER_INCH, 10].find((one) => near(ratio, one) || near(ratio, 1 / one));
    if (factor !== undefined && before) {
      const was = earlier.get(kept.position)?.kept.text ?? '';
      const figure = ratio > 1 ? `${factor} times` : `a ${factor}th of`;
      findings.push(finding(`${nameOf(kept)} is ${figure} what revision ${before.letter} said (${was})`));
    }
  }
  return findings;
}

/** Within a hundredth: the sizes may have been rounded on the way from one unit to the other. */
const near = (ratio: number, factor: number) => Math.abs(ratio / factor - 1) < 0.01;

/** What is different in the limits of two drawings, by position, in words. */
export function changedLimits(old: DrawingSpecs, now: DrawingSpecs): string[] {
  const [was, is] = [old, now].map(
    (drawing) => new Map(readDimensions(drawing).map((one) => [one.kept.position, one])),
  );
  const inMm = ({ sized, limits }: ReadDimension) =>
    limits &&
    [limits.lowerLimit, limits.upperLimit].map((limit) => (sized.unit === 'in' ? toMm(limit, 'in') : limit));
  const changes: string[] = [];
  for (const [position, one] of is!) {
    const other = was!.get(position);
    if (!other) {
      changes.push(`${nameOf(one.kept)} is new`);
      continue;
    }
    const [before, after] = [inMm(other), inMm(one)];
    const same =
      before && after
        ? before.every((limit, side) => Math.abs(limit - after[side]!) < 1e-9) &&
          (other.sized.unit === 'deg') === (one.sized.unit === 'deg')
        : before === after && other.kept.text === one.kept.text;
    if (!same)
      changes.push(
        other.kept.text === one.kept.text
          ? `${nameOf(one.kept)} has another general tolerance`
          : `${nameOf(other.kept)} became ${one.kept.text}`,
      );
  }
  for (const [position, one] of was!) if (!is!.has(position)) changes.push(`${nameOf(one.kept)} is gone`);
  return changes;
}

const few = (changes: readonly string[]) =>
  `${changes.slice(0, 3).join('; ')}${changes.length > 3 ? `; ${changes.length - 3} more` : ''}`;

/** Limits that changed while units of the old drawing are kept. */
function shelfFindings({ number, released, before, oldUnits, shelf }: PartSpecs): Finding[] {
  if (!released) return [];
  const findings = oldUnits.flatMap(({ drawing, quantity, isDecided }): Finding[] => {
    const changes = changedLimits(drawing, released);
    if (changes.length === 0) return [];
    const kept = isDecided ? 'are to be used as they are' : 'wait for a decision';
    return [
      {
        check: 'shelf',
        part: number,
        says: `${quantity} made to revision ${drawing.letter} ${kept}, and revision ${released.letter} has other limits: ${few(changes)}`,
        revisionId: drawing.revisionId,
      },
    ];
  });
  if (findings.length > 0 || shelf === '' || !before || before.revisionId === released.revisionId)
    return findings;
  const changes = changedLimits(before, released);
  if (changes.length === 0) return findings;
  return [
    {
      check: 'shelf',
      part: number,
      says: `${shelf} on the shelf, to which revision is not recorded; from ${before.letter} to ${released.letter}: ${few(changes)}`,
      revisionId: null,
    },
  ];
}

/**
 * What does not look sound in the specs of a build, by part.
 *
 * @param finest  the best grade of any process on the list; null where none names one
 */
export function soundnessFindings(
  parts: readonly PartSpecs[],
  values: readonly SuspectValue[],
  finest: number | null,
): Finding[] {
  return [
    ...parts.flatMap((part) => [
      ...materialFindings(part),
      ...toleranceFindings(part, finest),
      ...unitFindings(part),
      ...shelfFindings(part),
    ]),
    ...values.map(
      (one): Finding => ({
        check: 'measured',
        part: one.partNumber,
        says: `${one.dimension} of piece ${one.unitNo} in job ${one.jobId}: ${one.value}. ${one.suspicion}`,
        revisionId: null,
        lineId: one.lineId,
      }),
    ),
  ];
}
