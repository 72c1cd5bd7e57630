import type { Findings, RowDetails, RowIdentity } from './import-row.ts';
import type { ImportRow } from './import-table.ts';
import type {
  ColumnMapping,
  ImportField,
  ImportOptions,
  KnownPart,
  MassUnit,
  PartKind,
} from './import-types.ts';
import { formatMoney, parseMoney } from './money.ts';
import { readPartNumber, tidyPartNumber } from './part-number.ts';
import { parseQuantity, unitName, unitOfWord } from './quantity.ts';
import { type DecimalMark, type Fraction, plainForm, readNumber, scaled } from './typed-number.ts';

/** Characters taken of each text. */
export const textLimits: Readonly<
  Record<'name' | 'supplier' | 'supplierNumber' | 'material' | 'process' | 'note', number>
> = {
  name: 120,
  supplier: 80,
  supplierNumber: 80,
  material: 80,
  process: 80,
  note: 2000,
};

/** How people write that a cell says nothing. */
const nothing = /^(?:[-–—?.]+|n\/?a|n\.\s?a\.?|tbd|tba|none)$/i;

const kindWords: Readonly<Record<PartKind, string>> = {
  assembly: 'assembly assy asm subassembly baugruppe unterbaugruppe bg ensemble conjunto subconjunto',
  made: 'made make manufactured fabricated fabrication custom eigenfertigung fertigungsteil gefertigt fabrique fabricado',
  bought: 'bought buy purchased purchase standard kaufteil zukauf normteil gekauft achete comprado compra',
  stock: 'stock raw rawmaterial material halbzeug rohmaterial lager matierepremiere materiaprima',
};
const kinds = new Map(
  Object.entries(kindWords).flatMap(([kind, words]) =>
    words.split(' ').map((word) => [word, kind as PartKind]),
  ),
);

const gramsIn: Readonly<Record<MassUnit, Fraction>> = {
  mg: { numerator: 1n, denominator: 1000n },
  g: { numerator: 1n, denominator: 1n },
  kg: { numerator: 1000n, denominator: 1n },
  t: { numerator: 1_000_000n, denominator: 1n },
  // The yard and pound agreement of 1959: a pound is 0.45359237 kg exactly, an ounce a sixteenth of it.
  lb: { numerator: 45_359_237n, denominator: 100_000n },
  oz: { numerator: 45_359_237n, denominator: 1_600_000n },
};
const mostGrams = 1_000_000_000;

/** The cell of a field as one line of text; empty where there is no column, or the cell says nothing. */
export function cellText(row: ImportRow, mapping: ColumnMapping, field: ImportField): string {
  const column = mapping[field];
  const cell = column === null ? '' : (row.cells[column] ?? '');
  // In a list of assemblies a line end parts them.
  const text = (field === 'goesInto' ? cell.replace(/\n/g, ';') : cell)
    .normalize('NFC')
    .replace(/[\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff\u00ad]/g, '')
    .replace(/[\s\p{Cc}]+/gu, ' ')
    .trim();
  return nothing.test(text) ? '' : text;
}

/** Reads number, name and supplier's number of a row; what is wrong with them goes to the findings. */
export function readIdentity(
  row: ImportRow,
  mapping: ColumnMapping,
  options: Pick<ImportOptions, 'tidyNumbers'>,
  findings: Findings,
): RowIdentity {
  const name = limited(cellText(row, mapping, 'name'), 'name', 'name', findings);
  const supplierNumber = limited(
    cellText(row, mapping, 'supplierNumber'),
    'supplierNumber',
    "supplier's number",
    findings,
  );
  const written = cellText(row, mapping, 'number');
  if (written === '') {
    if (name === '') findings.problems.push('There is neither a part number nor a name.');
    return { number: '', name, supplierNumber };
  }
  const reading = readPartNumber(written);
  if (reading.ok) return { number: reading.number, name, supplierNumber };
  const tidy = tidyPartNumber(written);
  if (options.tidyNumbers && tidy !== null) {
    findings.notes.push(`The part number "${written}" becomes ${tidy}.`);
    return { number: tidy, name, supplierNumber };
  }
  findings.problems.push(`${reading.sentence}${tidy === null ? '' : ` It could be ${tidy}.`}`);
  return { number: '', name, supplierNumber };
}

/**
 * Reads the rest of a row.
 *
 * @param known the part the row is about, whose unit and pack count where the list names none; null for a new part
 */
export function readDetails(
  row: ImportRow,
  mapping: ColumnMapping,
  options: ImportOptions & { decimalMark: DecimalMark; currency: string },
  known: KnownPart | null,
  findings: Findings,
): RowDetails {
  const text = (field: ImportField) => cellText(row, mapping, field);
  const values: RowDetails['values'] = {};
  for (const field of ['supplier', 'material', 'process', 'note'] as const) {
    const words = limited(text(field), field, field, findings);
    if (words !== '') values[field] = words;
  }

  const kindText = text('kind');
  if (kindText !== '') {
    const kind = kinds.get(plainWord(kindText));
    if (kind) values.kind = kind;
    else findings.problems.push(`The kind "${kindText}" is none of assembly, made, bought, stock.`);
  }

  const unitText = text('unit');
  const named = unitText === '' ? null : unitOfWord(unitText);
  if (unitText !== '' && named === null) {
    findings.problems.push(`The unit "${unitText}" is not known here: use pieces, m, l or kg.`);
  }
  const expected = named?.unit ?? known?.unit ?? null;
  const figure = (cell: string) => (named !== null && !/\p{L}|"/u.test(cell) ? `${cell} ${unitText}` : cell);

  let unit = expected ?? 'piece';
  let quantityMilli: number | null = null;
  const quantityText = text('quantity');
  if (quantityText !== '') {
    const reading = parseQuantity(figure(quantityText), expected, options.decimalMark);
    if (reading.ok) ({ milli: quantityMilli, unit } = reading);
    else findings.problems.push(`Quantity: ${reading.sentence}`);
  }
  if (named !== null || known === null) values.unit = unit;
  if (known !== null && named !== null && named.unit !== known.unit) {
    findings.doubts.push(
      `The list counts in ${unitName(named.unit)}, ${known.number} is in ${unitName(known.unit)}: its quantities elsewhere would change their meaning.`,
    );
  }

  let foreignPrice = false;
  const packText = text('packSize');
  if (packText !== '') {
    const packWords = /\b(?:pack(?:age|et)?s?|box(?:es)?|bags?|rolls?|of|per|lot|de|je|ve)\b|\//gi;
    const reading = parseQuantity(figure(packText.replace(packWords, ' ').trim()), unit, options.decimalMark);
    if (reading.ok) values.packMilli = reading.milli;
    else findings.problems.push(`Pack size: ${reading.sentence}`);
  }

  const priceText = text('price');
  if (priceText !== '') {
    const cents = readPrice(priceText, values.packMilli ?? known?.packMilli ?? 1000, options, findings);
    if (cents === 'foreign') foreignPrice = true;
    else if (cents !== null) values.priceCents = cents;
  }
  const massText = text('mass');
  if (massText !== '') {
    const grams = readMass(massText, options.massUnit, options.decimalMark, findings);
    if (grams !== null) values.massGrams = grams;
  }
  if (row.cells.some((cell) => cell.includes('\ufffd'))) {
    findings.doubts.push('Some characters could not be read: check the encoding.');
  }
  return { values, quantityMilli, unit, foreignPrice };
}

/**
 * The decimal mark of a list, from the cells of its figures that can be read in one way only.
 *
 * @returns null when no cell tells
 */
export function guessDecimalMark(rows: readonly ImportRow[], mapping: ColumnMapping): DecimalMark | null {
  let points = 0;
  let commas = 0;
  for (const row of rows) {
    for (const field of ['quantity', 'price', 'packSize', 'mass'] as const) {
      for (const [figures] of plainForm(cellText(row, mapping, field)).matchAll(/\d[\d.,]*\d/g)) {
        const mark = markOf(figures);
        if (mark === 'dot') points += 1;
        if (mark === 'comma') commas += 1;
      }
    }
  }
  if (points === 0 && commas === 0) return null;
  return commas > points ? 'comma' : 'dot';
}

/** What one number tells: `2,5` and `0,125` a comma, `1.234,5` too, `1.234.567` as well; `1,234` nothing. */
function markOf(figures: string): DecimalMark | null {
  const marks = figures.replace(/\d/g, '');
  const last = marks.at(-1);
  if (last === undefined) return null;
  const asWritten: DecimalMark = last === '.' ? 'dot' : 'comma';
  const other: DecimalMark = last === '.' ? 'comma' : 'dot';
  if (new Set(marks).size === 2) return asWritten;
  if (marks.length > 1) return other;
  return /^[1-9]\d{0,2}[.,]\d{3}$/.test(figures) ? null : asWritten;
}

/** Hundredths of the build's currency for a pack; null when it cannot be read. */
function readPrice(
  text: string,
  packMilli: number,
  options: ImportOptions & { decimalMark: DecimalMark; currency: string },
  findings: Findings,
): number | 'foreign' | null {
  const reading = parseMoney(text, {
    currency: options.listCurrency,
    mark: options.decimalMark,
    round: true,
  });
  if (!reading.ok) {
    findings.problems.push(`Price: ${reading.sentence}`);
    return null;
  }
  let { numerator, denominator } = reading.amount;
  if (options.priceIs === 'unit') {
    numerator *= BigInt(packMilli);
    denominator *= 1000n;
  }
  if (reading.currency !== options.currency) {
    const rate = reading.currency === options.listCurrency ? readNumber(options.exchangeRate) : null;
    if (!rate?.ok || rate.value.numerator <= 0n) {
      findings.notes.push(
        `The price is in ${reading.currency} and is left out: the build counts in ${options.currency}.`,
      );
      return 'foreign';
    }
    numerator *= rate.value.numerator;
    denominator *= rate.value.denominator;
  }
  const { whole, exact } = scaled({ numerator, denominator }, 100n);
  if (whole > 1_000_000_000n) {
    findings.problems.push(
      `Price: "${text}" comes to more than ${formatMoney(1_000_000_000, options.currency)}.`,
    );
    return null;
  }
  if (!exact) findings.notes.push(`The price is rounded to ${formatMoney(Number(whole), options.currency)}.`);
  return Number(whole);
}

/** Grams to the nearest thousandth; null when there is no mass to keep. */
function readMass(text: string, byDefault: MassUnit, mark: DecimalMark, findings: Findings): number | null {
  const match = /^(.*?\d[.,]?) ?(\p{L}*)\.?$/u.exec(plainForm(text));
  const word = (match?.[2] ?? '').toLowerCase().replace(/^lbs$/, 'lb');
  const factor = word === '' ? gramsIn[byDefault] : gramsIn[word as MassUnit];
  const number = readNumber(match?.[1] ?? text, mark);
  if (!match || factor === undefined || !number.ok) {
    const why = !number.ok && match ? number.sentence : `"${text}" is not a mass in mg, g, kg, t, oz or lb.`;
    findings.problems.push(`Mass: ${why}`);
    return null;
  }
  const { whole } = scaled(
    {
      numerator: number.value.numerator * factor.numerator,
      denominator: number.value.denominator * factor.denominator,
    },
    1000n,
  );
  if (whole < 0n || whole > BigInt(mostGrams) * 1000n) {
    findings.problems.push(`Mass: "${text}" is below zero or above 1000 t.`);
    return null;
  }
  if (whole === 0n) {
    findings.notes.push('A mass of zero is taken as not known.');
    return null;
  }
  return Number(whole) / 1000;
}

function limited(text: string, limit: keyof typeof textLimits, called: string, findings: Findings): string {
  if (text.length <= textLimits[limit]) return text;
  findings.problems.push(
    `The ${called} has ${text.length} characters: at most ${textLimits[limit]} are taken.`,
  );
  return '';
}

function plainWord(text: string): string {
  return text
    .normalize('NFKD')
    .replace(/[^\p{L}]/gu, '')
    .toLowerCase();
}
