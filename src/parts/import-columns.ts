import type { ImportTable } from './import-table.ts';
import {
  type ColumnMapping,
  type ImportField,
  type ImportOptions,
  importFields,
  type MassUnit,
} from './import-types.ts';
import { isCurrency } from './money.ts';

/** Words of the trade in headers, in English, German, French and Spanish, with how surely they mean the field. */
interface HeaderRule {
  field: ImportField;
  words: RegExp;
  score: number;
  /** Words that make it something else. */
  unless?: RegExp;
}

const numberWords =
  '(?:number|numbers|no|nr|num|nbr|code|id|ref|reference|nummer|numero|codigo|part|article|sku|pn|bestellnummer)';
const supplierWords =
  '(?:supplier|suppliers|vendor|manufacturer|manufacturers|mfr|mfg|maker|makers|dealer|distributor|seller|shop|order|catalog|catalogue|lieferant|lieferanten|hersteller|bestell|fournisseur|fabricant|commande|proveedor|fabricante|pedido)';
const notUsed =
  /\b(?:buy|order|ordered|purchase|stock|hand|spare|spares|pack|packs|package|kaufen|bestellen|acheter|comprar)\b/;
const totals = /\b(?:total|sum|extended|line|gesamt|gesamtpreis|summe|subtotal|importe)\b/;
const moneyWords = '(?:price|cost|costs|preis|kosten|prix|cout|precio|coste|costo)';

const rules: readonly HeaderRule[] = [
  {
    field: 'number',
    words: /^(?:part|parts|piece|component) ?(?:number|no|nr|num|code|id|ref|reference)$/,
    score: 100,
  },
  {
    field: 'number',
    words: /^(?:pn|p n|teilenummer|teile nr|teil nr|sachnummer|artikelnummer|artikel nr)$/,
    score: 100,
  },
  {
    field: 'number',
    words: /^(?:numero|n|no|ref|reference|codigo) (?:de )?(?:la )?(?:piece|pieza|parte|article|articulo)$/,
    score: 100,
  },
  {
    field: 'number',
    words: /\b(?:drawing|zeichnung|zeichnungs|plan|plano)s? ?(?:number|no|nr|nummer|num)\b|zeichnungsnummer/,
    score: 75,
  },
  {
    field: 'number',
    words: new RegExp(`\\b${numberWords}\\b`),
    score: 65,
    unless: new RegExp(`\\b${supplierWords}\\b|\\bline\\b`),
  },
  { field: 'supplierNumber', words: new RegExp(`\\b${supplierWords}\\b.*\\b${numberWords}\\b`), score: 95 },
  { field: 'supplierNumber', words: new RegExp(`\\b${numberWords}\\b.*\\b${supplierWords}\\b`), score: 90 },
  {
    field: 'supplierNumber',
    words:
      /^(?:sku|mpn|bestellnummer|bestellnr|model|model (?:number|no|config)|modell|modele|modelo|catalogu?e?)$/,
    score: 85,
  },
  {
    field: 'supplier',
    words: new RegExp(
      `^(?:${supplierWords}|source|sold by|bought from|bezugsquelle|handler|haendler|vendeur|tienda)(?: name)?$`,
    ),
    score: 85,
    unless: /^(?:order|bestell|commande|pedido|catalogu?e?)$/,
  },
  { field: 'name', words: /^(?:part|item|component|article)? ?name$/, score: 100 },
  {
    field: 'name',
    words: /\b(?:designation|benennung|bezeichnung|denomination|denominacion|libelle)\b/,
    score: 95,
  },
  { field: 'name', words: /^(?:title|titel|titre|titulo|nombre)$/, score: 85 },
  { field: 'name', words: /\b(?:description|beschreibung|descripcion)\b/, score: 70 },
  {
    field: 'name',
    words: /^(?:part|parts|item|component|teil|artikel|piece|pieza|article|articulo)$/,
    score: 60,
  },
  {
    field: 'kind',
    words: /^(?:kind|make (?:or )?buy|make or bought|beschaffungsart|teileart|part (?:kind|type))$/,
    score: 95,
  },
  { field: 'kind', words: /^(?:type|typ|art|tipo|category|kategorie|categorie|categoria|genre)$/, score: 50 },
  {
    field: 'goesInto',
    words:
      /\b(?:goes into|where used|used (?:in|on)|next (?:higher )?assembly|parent|gehort zu|geht in|verwendung|verwendet in|utilise dans|se usa en)\b/,
    score: 90,
    unless: /\b(?:total|qty|quantity|count|number)\b/,
  },
  {
    field: 'goesInto',
    words:
      /\b(?:sub ?)?(?:assembly|assemblies)\b|\b(?:unter)?baugruppen?\b|\b(?:sous )?ensembles?\b|\b(?:sub ?)?conjuntos?\b/,
    score: 80,
    unless: /\b(?:qty|quantity|per|total|menge|anzahl|pro|je|quantite|cantidad|por|par)\b/,
  },
  {
    field: 'goesInto',
    words: /^(?:sections?|groups?|gruppe|groupe|grupo|modules?|modul|modulo)$/,
    score: 60,
  },
  {
    field: 'quantity',
    words:
      /\b(?:total used|total (?:qty|quantity|needed|required)|quantity (?:used|needed|required)|gesamtmenge|quantite totale|cantidad total)\b/,
    score: 95,
    unless: notUsed,
  },
  {
    field: 'quantity',
    words:
      /\b(?:quantity|qty|qnty|quant|anzahl|menge|stuckzahl|stueckzahl|stuck|quantite|qte|cantidad|cant)\b/,
    score: 85,
    unless: notUsed,
  },
  { field: 'quantity', words: /^(?:count|pieces|pcs|needed|required|used|amount|nombre)$/, score: 50 },
  {
    field: 'unit',
    words: /^(?:unit|units|uom|unit of measure|measure|einheit|mengeneinheit|me|unite|unidad)$/,
    score: 90,
  },
  {
    field: 'price',
    words: new RegExp(
      `\\b${moneyWords} (?:each|per|pro|je|par|por|a piece)\\b|\\b(?:unit|pack|piece) ${moneyWords}\\b|^(?:einzelpreis|stuckpreis|stueckpreis|packungspreis)\\b|\\b${moneyWords} unita?i?r[eio]o?\\b`,
    ),
    score: 95,
    unless: totals,
  },
  { field: 'price', words: new RegExp(`\\b${moneyWords}\\b|preis\\b`), score: 75, unless: totals },
  {
    field: 'packSize',
    words:
      /\bpacks? of\b|\b(?:pack|package|packing|packaging) (?:size|quantity|qty|unit)\b|\bper pack(?:age)?\b|\b(?:verpackungseinheit|packungsgrosse|gebinde|conditionnement|lot de|por paquete)\b|^ve$/,
    score: 95,
    unless: new RegExp(moneyWords),
  },
  {
    field: 'material',
    words: /\b(?:material|materials|werkstoff|matiere|materiau)\b/,
    score: 90,
    unless: new RegExp(`${moneyWords}|\\b${numberWords}\\b`),
  },
  {
    field: 'process',
    words:
      /\b(?:process|manufacturing|made by|method|verfahren|fertigung|fertigungsverfahren|procede|fabrication|proceso)\b/,
    score: 80,
    unless: /\b(?:time|cost|number|no|date)\b/,
  },
  { field: 'mass', words: /\b(?:mass|weight|gewicht|masse|poids|peso|masa)\b/, score: 90, unless: totals },
  {
    field: 'note',
    words:
      /\b(?:notes?|remarks?|comments?|bemerkung(?:en)?|anmerkung(?:en)?|hinweise?|kommentar|remarques?|commentaires?|notas?|observaciones|comentarios?)\b/,
    score: 90,
  },
  { field: 'note', words: /\b(?:description|beschreibung|descripcion|details?)\b/, score: 40 },
];

const figureFields: ReadonlySet<ImportField> = new Set(['quantity', 'price', 'packSize', 'mass']);

/** The mapping guessed from a list, and what its headers say about the figures. */
export interface ColumnGuess {
  mapping: ColumnMapping;
  hints: Partial<Pick<ImportOptions, 'quantityIs' | 'priceIs' | 'listCurrency' | 'massUnit'>>;
}

export const noColumns: ColumnMapping = Object.freeze(
  Object.fromEntries(importFields.map((field) => [field, null])) as ColumnMapping,
);

/**
 * Guesses which column says what, from the words of the header and a look at the cells below.
 *
 * Each column is taken once, the surest first. A column of figures must hold figures, and a column that only counts
 * or sorts the rows is no part number. What is not clear stays null; a person can choose every column (chooseColumns).
 */
export function guessColumns(table: Pick<ImportTable, 'header' | 'rows'>): ColumnGuess {
  const columns = table.header.map((_, column) =>
    table.rows.slice(0, 200).map((row) => row.cells[column] ?? ''),
  );
  const candidates = table.header.flatMap((title, column) => {
    // `PartNo` is two words, `UoM` is one: both ways of reading a title count.
    const readings = [plainWords(title), plainWords(title.toLowerCase())];
    return rules
      .filter((rule) => readings.some((words) => rule.words.test(words) && !rule.unless?.test(words)))
      .filter((rule) => suits(rule.field, columns[column] ?? []))
      .map(({ field, score }) => ({ field, column, score }));
  });
  candidates.sort((a, b) => b.score - a.score || a.column - b.column);
  const mapping: ColumnMapping = { ...noColumns };
  const taken = new Set<number>();
  for (const { field, column } of candidates) {
    if (mapping[field] !== null || taken.has(column)) continue;
    mapping[field] = column;
    taken.add(column);
  }
  return { mapping, hints: hintsOf(mapping, table.header) };
}

/**
 * The guessed mapping with what the person chose put over it; a column chosen for one field leaves the field it was
 * guessed for.
 *
 * @param chosen a column or null (none) for each field the person has set
 * @returns      the mapping, or a sentence for each field chosen wrongly
 */
export function chooseColumns(
  guessed: ColumnMapping,
  chosen: Partial<ColumnMapping>,
  header: readonly string[],
):
  | { ok: true; mapping: ColumnMapping }
  | { ok: false; problems: { field: ImportField; sentence: string }[] } {
  const problems: { field: ImportField; sentence: string }[] = [];
  const byColumn = new Map<number, ImportField>();
  const mapping: ColumnMapping = { ...guessed };
  for (const field of importFields) {
    const column = chosen[field];
    if (column === undefined) continue;
    mapping[field] = column;
    if (column === null) continue;
    const other = byColumn.get(column);
    if (!Number.isInteger(column) || column < 0 || column >= header.length) {
      problems.push({ field, sentence: `There is no column ${column + 1}: the list has ${header.length}.` });
    } else if (other !== undefined) {
      problems.push({
        field,
        sentence: `The column "${header[column]}" is already chosen for ${fieldNames[other]}.`,
      });
    }
    byColumn.set(column, field);
  }
  for (const field of importFields) {
    const column = mapping[field];
    if (chosen[field] === undefined && column !== null && byColumn.has(column)) mapping[field] = null;
  }
  if (problems.length === 0 && mapping.number === null && mapping.name === null) {
    problems.push({ field: 'name', sentence: 'Choose the column of the name or of the part number.' });
  }
  return problems.length > 0 ? { ok: false, problems } : { ok: true, mapping };
}

/** Fields as they stand in a sentence or beside a choice. */
export const fieldNames: Readonly<Record<ImportField, string>> = {
  number: 'part number',
  name: 'name',
  kind: 'kind',
  goesInto: 'goes into',
  quantity: 'quantity',
  unit: 'unit',
  supplier: 'supplier',
  supplierNumber: "supplier's number",
  packSize: 'pack size',
  price: 'price',
  material: 'material',
  process: 'process',
  mass: 'mass',
  note: 'note',
};

/** Small letters without accents, words parted by one blank: `Model/Config` becomes `model config`. */
function plainWords(title: string): string {
  return title
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .replace(/ß/g, 'ss')
    .replace(/(\p{Ll})(\p{Lu})/gu, '$1 $2')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .trim();
}

function suits(field: ImportField, cells: readonly string[]): boolean {
  const filled = cells.filter((cell) => cell !== '');
  if (filled.length === 0) return true;
  if (figureFields.has(field))
    return filled.filter((cell) => /\p{N}/u.test(cell)).length * 2 >= filled.length;
  if (field === 'number') {
    const countsRows = filled.length > 2 && filled.every((cell, at) => cell === String(at + 1));
    const sortsRows = filled.length >= 10 && new Set(filled).size * 4 < filled.length;
    return !countsRows && !sortsRows;
  }
  return true;
}

function hintsOf(mapping: ColumnMapping, header: readonly string[]): ColumnGuess['hints'] {
  const title = (field: ImportField) => header[mapping[field] ?? -1] ?? '';
  const hints: ColumnGuess['hints'] = {};
  const quantity = plainWords(title('quantity'));
  if (/\b(?:per|each|pro|je|par|por)\b/.test(quantity) && !/\b(?:machine|project|total)\b/.test(quantity)) {
    hints.quantityIs = 'each';
  }
  const price = plainWords(title('price'));
  if (
    /\bunit (?:price|cost)\b|\bper (?:unit|piece|pc)\b|\b(?:einzel|stuck|stueck)preis\b|\bunita?i?r[eio]o?\b/.test(
      price,
    )
  ) {
    hints.priceIs = 'unit';
  }
  const code = /\b[A-Z]{3}\b/.exec(title('price'))?.[0];
  if (code !== undefined && isCurrency(code)) hints.listCurrency = code;
  else if (title('price').includes('€')) hints.listCurrency = 'EUR';
  else if (title('price').includes('£')) hints.listCurrency = 'GBP';
  const mass = /[([]\s*(mg|g|kg|t|oz|lbs?)\s*[)\]]|\b(?:in|en) (mg|g|kg|t|oz|lbs?)$/i.exec(title('mass'));
  const massWord = (mass?.[1] ?? mass?.[2])?.toLowerCase().replace('lbs', 'lb');
  if (massWord !== undefined) hints.massUnit = massWord as MassUnit;
  return hints;
}
