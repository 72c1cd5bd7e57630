import type { AgreeFile, AgreeQuestion, Disagreement } from './model-agrees.ts';
import { boxWords, inMm, isPlate, sidesOf, slackOf, timesWords, unitFactor } from './model-box.ts';
import { type NamedSize, namedSizes } from './overall-sizes.ts';

const ASKEW = 'if the part lies askew in its file, lay it along the axes';

/** Sizes of the drawing against the sides of each model. */
export function sizeFindings({ revision, process }: AgreeQuestion): Disagreement[] {
  const sizes = namedSizes(revision.characteristics, revision.generalClass);
  // The sides of a bent part and those of its sheet may both stand on the drawing.
  const isBent = /\bbend|\bbent|\bfold|\broll/i.test(process?.name ?? '');
  const models = revision.files.filter(({ kind, facts }) => kind === 'model' && sidesOf(facts).length === 3);
  const flats = revision.files.filter(
    ({ kind, facts }) => kind === 'flat pattern' && sidesOf(facts).length > 0,
  );
  return [
    ...models.flatMap((model) => modelFindings(model, sizes, flats, isBent)),
    ...flats.flatMap((flat) => flatFindings(flat, sizes)),
  ];
}

function modelFindings(
  file: AgreeFile,
  sizes: readonly NamedSize[],
  flats: readonly AgreeFile[],
  isBent: boolean,
): Disagreement[] {
  const facts = file.facts!;
  const sides = sidesOf(facts);
  const [longest = 0] = sides;
  const plate = isPlate(facts);
  const isSide = (size: NamedSize, of: readonly number[]) =>
    of.some((side) => {
      const slack = slackOf(facts, side);
      return side >= size.lowerMm - slack && side <= size.upperMm + slack;
    });
  const isAnySide = (size: NamedSize) =>
    isSide(size, sides) || flats.some((flat) => isSide(size, sidesOf(flat.facts)));
  const whole = sizes.filter(({ overall }) => overall === 'length' || overall === 'diameter');
  const unit = unitFinding(
    file,
    sides,
    whole,
    whole.filter((size) => !isSide(size, sides)),
  );
  if (unit) return [unit];

  const diagonal = Math.hypot(...sides);
  const tooLong = sizes.filter(
    ({ within, lowerMm }) => within && lowerMm > diagonal + slackOf(facts, diagonal),
  );
  if (tooLong.length > 0 && !isBent) {
    const first = tooLong.reduce((a, b) => (b.mm > a.mm ? b : a));
    return [
      {
        code: 'too-small',
        about: file.name,
        sentence: `${first.name} is longer than the model ${file.name}, which is ${boxWords(sides)} and no more than ${inMm(diagonal)} from corner to corner`,
        advice:
          'Look whether the model is of the whole part and of this part, and in which unit it was written.',
      },
    ];
  }
  if (isBent) return [];
  const off = whole.filter((size) => !isAnySide(size));
  const findings = off.map((size) => sideFinding(file, size, sides, ASKEW));
  const thickness = sizes.find(({ overall }) => overall === 'thickness');
  if (plate && thickness && !isSide(thickness, sides.slice(2)) && longest > 0) {
    findings.push(sideFinding(file, thickness, sides, 'the thickness is that of its least side'));
  }
  return findings;
}

function sideFinding(file: AgreeFile, size: NamedSize, sides: readonly number[], note: string): Disagreement {
  return {
    code: 'size',
    about: file.name,
    sentence: `${size.name} is none of the sides of the model ${file.name}: ${boxWords(sides)}`,
    advice: `One of the two is old or wrong: correct it; ${note}.`,
  };
}

/** All sizes of the whole part are off, and by one factor each is a side. */
function unitFinding(
  file: AgreeFile,
  sides: readonly number[],
  whole: readonly NamedSize[],
  off: readonly NamedSize[],
): Disagreement | null {
  if (whole.length === 0 || off.length < whole.length) return null;
  const greatest = whole.reduce((a, b) => (b.mm > a.mm ? b : a));
  const factor = unitFactor(sides[0]!, greatest.mm);
  if (factor === null) return null;
  const isAll = whole.every(({ mm }) => sides.some((side) => unitFactor(side, mm) === factor));
  if (!isAll) return null;
  return {
    code: 'unit',
    about: file.name,
    sentence: `${file.name} looks written in another unit: its longest side is ${inMm(sides[0]!)}, ${timesWords(factor)} the ${inMm(greatest.mm)} of ${greatest.name}`,
    advice:
      file.facts?.format === 'STL'
        ? 'Say beside the file in which unit its figures are.'
        : 'Write the file again with its unit set, or put the size on the drawing right.',
  };
}

/** A flat pattern may hold several pieces, or the sheet of a bent one: only a factor between the units is told. */
function flatFindings(file: AgreeFile, sizes: readonly NamedSize[]): Disagreement[] {
  const whole = sizes.filter(({ overall }) => overall === 'length' || overall === 'diameter');
  const sides = sidesOf(file.facts);
  const off = whole.filter(
    ({ lowerMm, upperMm }) => !sides.some((side) => side >= lowerMm * 0.98 && side <= upperMm * 1.02),
  );
  const unit = unitFinding(file, sides, whole, off);
  return unit ? [unit] : [];
}
