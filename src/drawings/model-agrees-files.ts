import type { AgreeFile, AgreeQuestion, Disagreement } from './model-agrees.ts';
import { boxWords, isPlate, sidesOf, timesWords, unitFactor } from './model-box.ts';

/** Sides of two files of one part may differ so much without meaning anything: share, and mm. */
const SAME = { share: 0.01, mm: 0.2 };

/** What a file says of itself, and files of one revision against one another. */
export function fileFindings({ revision }: AgreeQuestion): Disagreement[] {
  const { files } = revision;
  const models = files.filter(({ kind, facts }) => kind === 'model' && sidesOf(facts).length === 3);
  const cut = files.filter(({ kind, facts }) => kind === 'flat pattern' && facts?.flat);
  const [step, ...others] = [...models].sort((a, b) => rank(a) - rank(b));
  return [
    ...models.flatMap(unitless),
    ...cut.flatMap((flat) => [...unitless(flat), ...contourFindings(flat)]),
    ...(step ? others.flatMap((other) => pairFindings(step, other, sidesOf(step.facts))) : []),
    ...(step?.facts && isPlate(step.facts)
      ? cut.flatMap((flat) => pairFindings(step, flat, sidesOf(step.facts).slice(0, 2)))
      : []),
  ];
}

/** STEP names its unit, so that it is what others are held against. */
const rank = ({ facts }: AgreeFile) => (facts?.format === 'STEP' ? 0 : 1);

function unitless({ name, facts }: AgreeFile): Disagreement[] {
  if (facts?.unit !== null || !facts.size) return [];
  const isStl = facts.format === 'STL';
  return [
    {
      code: 'no-unit',
      about: name,
      sentence: `${name} names no unit: its figures are taken as mm, which makes it ${boxWords(sidesOf(facts))}`,
      advice: isStl
        ? 'Say beside the file in which unit they are.'
        : 'Write the file again with its unit set, so that nobody has to guess at the machine.',
    },
  ];
}

function contourFindings({ name, facts }: AgreeFile): Disagreement[] {
  const { openContours, unread } = facts!.flat!;
  const findings: Disagreement[] = [];
  if (openContours > 0) {
    findings.push({
      code: 'open-contours',
      about: name,
      sentence: `${openContours === 1 ? 'One contour' : `${openContours} contours`} of the flat pattern ${name} ${openContours === 1 ? 'is' : 'are'} not closed: nothing can be cut out along ${openContours === 1 ? 'it' : 'them'}`,
      advice:
        'Join the ends in the drawing program and write the file again; lines that only mark belong on a layer of their own, or off it.',
    });
  }
  if (unread.length > 0) {
    const what = unread.slice(0, 5).map(({ name: entity, count }) => `${count} ${entity}`);
    findings.push({
      code: 'unread',
      about: name,
      sentence: `In the flat pattern ${name} ${what.join(', ')} could not be read, and may be lines to cut`,
      advice: 'Turn them into lines, arcs and curves (explode) and write the file again.',
    });
  }
  return findings;
}

/** Two files of one part: the first is taken as true. */
function pairFindings(first: AgreeFile, second: AgreeFile, sides: readonly number[]): Disagreement[] {
  const others = sidesOf(second.facts);
  const isSame = others.every((side, at) => Math.abs(side - sides[at]!) <= SAME.mm + SAME.share * side);
  if (isSame) return [];
  const factor = unitFactor(others[0]!, sides[0]!);
  const isScaled = factor !== null && others.every((side, at) => unitFactor(side, sides[at]!) === factor);
  const both = `${boxWords(others)} and ${boxWords(sides)}`;
  if (isScaled) {
    return [
      {
        code: 'unit',
        about: second.name,
        sentence: `${second.name} is ${timesWords(factor)} the size of ${first.name}: ${both}`,
        advice:
          second.facts?.format === 'STL'
            ? 'Say beside the file in which unit its figures are.'
            : 'Write the file again with its unit set.',
      },
    ];
  }
  return [
    {
      code: 'files',
      about: second.name,
      sentence: `${second.name} and ${first.name} are not of one size: ${both}`,
      advice:
        'One of the two is older, of another part or of several pieces: take it off or write it again from the other.',
    },
  ];
}
