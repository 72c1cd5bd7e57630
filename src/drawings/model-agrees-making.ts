import type { AgreeFile, AgreeQuestion, Disagreement } from './model-agrees.ts';
import { boxWords, inMm, isPlate, sidesOf } from './model-box.ts';
import { stockSizes } from './stock-sizes.ts';

/** Cut out of a sheet whose thickness the part keeps. */
const CUT_FROM_SHEET = /\b(?:laser|water ?jet|plasma|flame|rout(?:ing|er)|punch)/i;
const TURNED = /\b(?:turn|lathe)/i;
const BENT = /\b(?:bend|bent|fold)/i;
const SLACK = 1.001;

/** The size of a part against what its process takes and its material is sold in. */
export function makingFindings(question: AgreeQuestion): Disagreement[] {
  const { files } = question.revision;
  const models = files.filter(({ kind, facts }) => kind === 'model' && sidesOf(facts).length === 3);
  // The first that says its unit speaks for all.
  const model = models.find(({ facts }) => facts?.unit !== null) ?? null;
  const flat = files.find(
    ({ kind, facts }) => kind === 'flat pattern' && facts?.unit && sidesOf(facts).length > 0,
  );
  return [
    ...envelopeFindings(model, flat ?? null, question),
    ...stockFindings(model, flat ?? null, question),
  ];
}

function envelopeFindings(
  model: AgreeFile | null,
  flat: AgreeFile | null,
  { process }: AgreeQuestion,
): Disagreement[] {
  const { envelope = null, name = '' } = process ?? {};
  if (!envelope) return [];
  const limits = [envelope.x, envelope.y, ...(envelope.z === undefined ? [] : [envelope.z])].sort(
    (a, b) => b - a,
  );
  const finding = (file: AgreeFile, sides: readonly number[]): Disagreement[] => [
    {
      code: 'envelope',
      about: file.name,
      sentence: `${file.name} is ${boxWords(sides)}; ${name} usually takes ${boxWords(limits)}${envelope.what ? ` (${envelope.what})` : ''}`,
      advice: 'Ask who has a larger machine before it is offered, or part it, or name another process.',
    },
  ];
  const isOver = (sides: readonly number[], of: readonly number[]) =>
    of.some((limit, at) => (sides[at] ?? 0) > limit * SLACK);
  if (BENT.test(name)) {
    // The piece that lies in the press is the flat one; of the bent one only its longest side is as long as that.
    if (flat)
      return isOver(sidesOf(flat.facts), limits.slice(0, 2)) ? finding(flat, sidesOf(flat.facts)) : [];
    return model && isOver(sidesOf(model.facts), limits.slice(0, 1))
      ? finding(model, sidesOf(model.facts))
      : [];
  }
  if (model) return isOver(sidesOf(model.facts), limits) ? finding(model, sidesOf(model.facts)) : [];
  return flat && isOver(sidesOf(flat.facts), limits.slice(0, 2)) ? finding(flat, sidesOf(flat.facts)) : [];
}

function stockFindings(
  model: AgreeFile | null,
  flat: AgreeFile | null,
  { process, material }: AgreeQuestion,
): Disagreement[] {
  if (!process || !material?.stock) return [];
  const stock = stockSizes(material.stock.sizes);
  const findings: Disagreement[] = [];
  const finding = (file: AgreeFile, sentence: string) =>
    findings.push({
      code: 'stock',
      about: file.name,
      sentence,
      advice: 'Choose a size that is sold, or ask the supplier before it is released.',
    });
  if (CUT_FROM_SHEET.test(process.name)) {
    const sheet = model?.facts && isPlate(model.facts) ? model : null;
    const thickness = sheet ? sidesOf(sheet.facts)[2]! : null;
    if (sheet && thickness !== null && stock.thicknesses.length > 0) {
      const near = 0.1 + 0.02 * thickness;
      if (!stock.thicknesses.some(([from, to]) => thickness >= from - near && thickness <= to + near)) {
        const list = stock.thicknesses.map(([from, to]) => (from === to ? `${from}` : `${from} to ${to}`));
        finding(
          sheet,
          `${sheet.name} is ${inMm(thickness)} thick; ${material.name} is usually sold as sheet or plate of ${list.join(', ')} mm`,
        );
      }
    }
    const piece = flat ?? sheet;
    if (piece && stock.sheets.length > 0) {
      const [long = 0, wide = 0] = sidesOf(piece.facts);
      const largest = stock.sheets.reduce((a, b) => (b[0] * b[1] > a[0] * a[1] ? b : a));
      if (!stock.sheets.some(([a, b]) => long <= a * SLACK && wide <= b * SLACK)) {
        finding(
          piece,
          `${piece.name} is ${boxWords([long, wide])}; sheets of ${material.name} are usually no larger than ${boxWords(largest)}`,
        );
      }
    }
  }
  if (TURNED.test(process.name) && model && stock.barMm !== null) {
    const sides = sidesOf(model.facts);
    // Two sides alike are a diameter.
    const across = sides.find((side, at) => at < 2 && Math.abs(side - sides[at + 1]!) <= 0.005 * side);
    // A disc is cut from plate.
    const plate = Math.max(0, ...stock.thicknesses.map(([, to]) => to));
    if (across !== undefined && across > stock.barMm * SLACK && sides[2]! > plate) {
      finding(
        model,
        `${model.name} is ${inMm(across)} across; round bar of ${material.name} is usually sold up to ${inMm(stock.barMm)}`,
      );
    }
  }
  return findings;
}
