import { parseCharacteristic, toMm } from '../specs/index.ts';
import type { AgreeFile, AgreeQuestion, AgreeRevision, Disagreement } from './model-agrees.ts';
import { sidesOf } from './model-box.ts';
import { isRevisionLetter } from './revision-letter.ts';

/** What names of files and products say against part and letter, and what changed since the revision before. */
export function revisionFindings(question: AgreeQuestion): Disagreement[] {
  const { revision, before } = question;
  return [
    ...revision.files.flatMap((file) => [
      ...letterFindings(file, question),
      ...productFindings(file, question),
    ]),
    ...(before ? changeFindings(revision, before) : []),
  ];
}

const escaped = (text: string) => text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');

/**
 * The revision letter that a file's name gives for a part, or null.
 *
 * Example: "OR-0305-B arm.step" of OR-0305 -> "B"; "OR-0305_rev_c.step" -> "C"; "OR-0305-arm.step" -> null
 */
export function letterInName(name: string, number: string): { letter: string; isNamed: boolean } | null {
  const found = new RegExp(
    String.raw`(?:^|[^\p{L}\p{N}])${escaped(number)}(?:[\s._(-]*(rev(?:ision)?)[\s._:-]*|[\s._(-]+)([a-z]{1,2})(?![\p{L}\p{N}])`,
    'iu',
  ).exec(name);
  const [, word, typed = ''] = found ?? [];
  const isNamed = word !== undefined;
  const letter = typed.toUpperCase();
  // Two letters alone are more often a side (LH, RH) than a revision, and small ones a word.
  if (!isRevisionLetter(letter) || (!isNamed && (typed !== letter || letter.length > 1))) return null;
  return { letter, isNamed };
}

function letterFindings(
  { name, kind }: AgreeFile,
  { part, revision, letters }: AgreeQuestion,
): Disagreement[] {
  if (!['drawing', 'model', 'flat pattern'].includes(kind)) return [];
  const found = letterInName(name, part.number);
  if (!found || found.letter === revision.letter) return [];
  if (!found.isNamed && !letters.includes(found.letter)) return [];
  return [
    {
      code: 'revision-letter',
      about: name,
      sentence: `${name} calls itself revision ${found.letter}, and this is revision ${revision.letter}`,
      advice: `If it is the ${kind} of ${revision.letter}, put that letter into its name; if not, replace it by the one that is.`,
    },
  ];
}

/** A STEP file whose product is called by the number of another part, and nowhere by this one's. */
function productFindings(
  { name, kind, facts }: AgreeFile,
  { part, otherPart }: AgreeQuestion,
): Disagreement[] {
  if (kind !== 'model' || !facts?.step) return [];
  const [top, ...more] = facts.step.tree;
  if (!top || more.length > 0) return [];
  const words = [top.number, top.name].flatMap((text) => (text ? tokensOf(text) : []));
  const own = part.number.toLowerCase();
  if (words.some((word) => word.toLowerCase() === own)) return [];
  const other = words.map(otherPart).find((number) => number !== null);
  if (!other) return [];
  return [
    {
      code: 'other-part',
      about: name,
      sentence: `The model in ${name} calls itself ${other}, which is another part of this build`,
      advice: `Look whether it is the model of ${part.number}; if it is, give its product that number.`,
    },
  ];
}

/** The words of a product's name, and each without what follows its last hyphen: "OR-0305-B" -> "OR-0305-B", "OR-0305". */
function tokensOf(text: string): string[] {
  return text
    .slice(0, 300)
    .split(/[\s,;:/()[\]_]+/)
    .filter(Boolean)
    .slice(0, 20)
    .flatMap((word) => {
      const short = word.replace(/(?:\.(?:stp|step|prt|asm|ipt|sldprt)|[-.]rev)?[-.]?[A-Za-z]{0,2}$/i, '');
      return short && short !== word ? [word, short] : [word];
    });
}

/** Sizes that are not what they were, by name. Limits alone change nothing in a model. */
function changedSizes(now: AgreeRevision, before: AgreeRevision): string[] {
  const nominals = ({ characteristics }: AgreeRevision) =>
    new Map(
      characteristics.flatMap(({ position, label, text }) => {
        const reading = parseCharacteristic(text);
        if (!reading.ok || reading.characteristic.kind !== 'size') return [];
        const { nominal, unit } = reading.characteristic;
        return [
          [
            position,
            { mm: toMm(nominal, unit), name: [label, text].filter(Boolean).join(', '), text },
          ] as const,
        ];
      }),
    );
  const [is, was] = [nominals(now), nominals(before)];
  return [...is].flatMap(([position, { mm, name }]) => {
    const old = was.get(position);
    return old && Math.abs(old.mm - mm) > 1e-6 ? [`${name} (was ${old.text})`] : [];
  });
}

function changeFindings(revision: AgreeRevision, before: AgreeRevision): Disagreement[] {
  const findings: Disagreement[] = [];
  const changed = changedSizes(revision, before);
  const models = revision.files.filter(({ kind }) => kind === 'model' || kind === 'flat pattern');
  const old = new Set(before.files.map(({ sha256 }) => sha256));
  const words = `${changed.slice(0, 3).join('; ')}${changed.length > 3 ? `; ${changed.length - 3} more` : ''}`;
  if (changed.length > 0) {
    for (const { name, kind } of models.filter(({ sha256 }) => old.has(sha256))) {
      findings.push({
        code: 'same-model',
        about: name,
        sentence: `${name} is the very file of revision ${before.letter}, and sizes have changed since: ${words}`,
        advice: `Write the ${kind} anew with the new sizes, or say in the notes that it stays as it was.`,
      });
    }
  }
  const drawings = revision.files.filter(({ kind }) => kind === 'drawing');
  const isDrawingOld = drawings.length > 0 && drawings.every(({ sha256 }) => old.has(sha256));
  if (isDrawingOld) {
    for (const model of models.filter((one) => !old.has(one.sha256))) {
      const same = before.files.find(
        (one) => one.kind === model.kind && one.facts?.format === model.facts?.format,
      );
      if (!same || !differs(model, same)) continue;
      findings.push({
        code: 'same-drawing',
        about: model.name,
        sentence: `${model.name} is another shape than that of revision ${before.letter}, and the drawing ${drawings[0]!.name} is still the same file`,
        advice: 'Draw what changed, or take the old model.',
      });
    }
  }
  return findings;
}

/** Written anew without a change, a file has the same figures. */
function differs(a: AgreeFile, b: AgreeFile): boolean {
  if (!a.facts || !b.facts) return false;
  const figures = ({ facts }: AgreeFile) => [
    ...sidesOf(facts),
    facts!.volume ?? 0,
    facts!.area ?? 0,
    facts!.cutLength ?? 0,
  ];
  const [is, was] = [figures(a), figures(b)];
  return is.some((value, at) => Math.abs(value - was[at]!) > 1e-4 * Math.max(Math.abs(value), 1));
}
