import type { PlanRow } from './import-row.ts';
import { type ImportOptions, type KnownPart, textKey } from './import-types.ts';
import { partNumberKey } from './part-number.ts';

/**
 * Finds for each row the part it is about: by number, else by supplier's number and name together.
 *
 * A list imported again finds its own parts so, whether it brought numbers or was given them. What is only likely the
 * same becomes a doubt; what could be several parts, or comes twice in the list, a problem that names the others.
 * Changes the rows in place.
 */
export function matchRows(
  rows: readonly PlanRow[],
  parts: readonly KnownPart[],
  options: Pick<ImportOptions, 'repeatedNumbers'>,
): void {
  const byNumber = new Map(parts.map((part) => [partNumberKey(part.number), part]));
  for (const row of rows) {
    if (row.identity.number !== '') row.known = byNumber.get(partNumberKey(row.identity.number)) ?? null;
    if (row.known !== null) doubtOther(row, row.known);
  }
  const claimed = new Set(rows.map((row) => row.known));
  const unclaimed = (part: KnownPart) => !claimed.has(part);
  const byPair = groupBy(parts, pairKey);
  const byName = groupBy(parts, (part) => textKey(part.name));
  for (const row of rows) {
    if (row.known !== null || row.identity.name === '') continue;
    const { number } = row.identity;
    const alike = byPair.get(pairKey(row.identity)) ?? [];
    const called = byName.get(textKey(row.identity.name)) ?? [];
    if (number === '') matchByName(row, alike, called);
    else matchDespiteNumber(row, alike.filter(unclaimed), called.filter(unclaimed));
  }
  findRepeats(rows, options.repeatedNumbers);
}

function doubtOther(row: PlanRow, part: KnownPart): void {
  const { name, supplierNumber } = row.identity;
  const otherName = name !== '' && textKey(name) !== textKey(part.name);
  const otherSupply =
    supplierNumber !== '' &&
    part.supplierNumber !== '' &&
    textKey(supplierNumber) !== textKey(part.supplierNumber);
  if (otherName && otherSupply) {
    row.doubts.push(
      `${part.number} is "${part.name}" (${part.supplierNumber}) until now: name and supplier's number both differ, it may be another part.`,
    );
  }
}

/** A row without a number: the same supplier's number and name, else the name where one side has no supplier's number. */
function matchByName(row: PlanRow, alike: readonly KnownPart[], called: readonly KnownPart[]): void {
  const { name, supplierNumber } = row.identity;
  const [only, ...others] = alike;
  if (only && others.length === 0) {
    row.known = only;
    return;
  }
  if (only) {
    row.problems.push(`"${name}" could be ${numbersOf(alike)}: give the part number.`);
    return;
  }
  const open = called.filter((part) => part.supplierNumber === '' || supplierNumber === '');
  const [likely, ...more] = open;
  if (likely && more.length === 0) {
    row.known = likely;
    const side = supplierNumber === '' ? 'the list' : 'it';
    row.doubts.push(
      `Taken as ${likely.number}, which has the same name; ${side} gives no supplier's number.`,
    );
  } else if (likely) {
    row.problems.push(`"${name}" could be ${numbersOf(open)}: give the part number.`);
  }
}

/** A row with a number nobody has, though a part is there that looks the same. */
function matchDespiteNumber(row: PlanRow, alike: readonly KnownPart[], called: readonly KnownPart[]): void {
  const { number, name, supplierNumber } = row.identity;
  const [only, ...others] = supplierNumber === '' ? [] : alike;
  if (only && others.length === 0) {
    row.known = only;
    row.doubts.push(
      `Taken as ${only.number}, which has the same supplier's number and name; it keeps its number, not ${number}.`,
    );
  } else if (only) {
    row.problems.push(
      `"${name}" with this supplier's number could be ${numbersOf(alike)}: use one of these numbers.`,
    );
  } else {
    const open = called.filter((part) => part.supplierNumber === '' || supplierNumber === '');
    if (open.length === 0) return;
    const have = open.length === 1 ? 'has' : 'have';
    row.doubts.push(
      `${numbersOf(open, 'and')} ${have} the name "${name}" too: taking this row makes another part of that name.`,
    );
  }
}

/** Rows about one part: further uses of it where that is wanted and nothing else differs, otherwise all refused. */
function findRepeats(rows: readonly PlanRow[], repeated: ImportOptions['repeatedNumbers']): void {
  const numbered = new Map(
    rows.filter(({ identity }) => identity.number !== '').map((row) => [pairKey(row.identity), partKey(row)]),
  );
  const groups = groupBy(rows, (row) => {
    const { number, name } = row.identity;
    // Without a number, and like a row that has one: the same part written twice.
    if (row.known === null && number === '' && name !== '')
      return numbered.get(pairKey(row.identity)) ?? partKey(row);
    return partKey(row);
  });
  for (const group of groups.values()) {
    const [first, ...others] = group;
    if (!first || others.length === 0 || partKey(first) === '') continue;
    const sameNumber = new Set(group.map(({ identity }) => partNumberKey(identity.number))).size === 1;
    if (repeated === 'further-use' && sameNumber && first.identity.number !== '') {
      for (const other of others) takeAsFurther(first, other);
      continue;
    }
    const lines = group.map(({ row }) => row.line);
    const what =
      sameNumber && first.identity.number !== '' ? `The part number ${first.identity.number}` : 'One part';
    for (const row of group) row.problems.push(`${what} is on the lines ${andList(lines)}.`);
  }
}

function takeAsFurther(first: PlanRow, other: PlanRow): void {
  for (const field of ['name', 'supplierNumber'] as const) {
    const [one, two] = [first.identity[field], other.identity[field]];
    if (one !== '' && two !== '' && textKey(one) !== textKey(two)) {
      other.problems.push(
        `Line ${first.row.line} has the same number with "${one}", this one with "${two}".`,
      );
    }
  }
  other.main = first;
}

/** One key for each part; empty for a row that tells nothing. */
function partKey({ known, identity }: PlanRow): string {
  if (known !== null) return `part ${known.id}`;
  if (identity.number !== '') return `number ${partNumberKey(identity.number)}`;
  return identity.name === '' ? '' : `name ${pairKey(identity)}`;
}

function pairKey({ supplierNumber, name }: { supplierNumber: string; name: string }): string {
  return `${textKey(supplierNumber)}\n${textKey(name)}`;
}

function groupBy<T>(items: readonly T[], key: (item: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const item of items) {
    const group = groups.get(key(item));
    if (group) group.push(item);
    else groups.set(key(item), [item]);
  }
  return groups;
}

function numbersOf(parts: readonly KnownPart[], word = 'or'): string {
  return andList(
    parts.map(({ number }) => number),
    word,
  );
}

/** `2`, `2 and 5`, `2, 5 and 9`; above ten only the first ten are told. */
export function andList(items: readonly (string | number)[], word = 'and'): string {
  if (items.length > 10) return `${items.slice(0, 10).join(', ')} ${word} ${items.length - 10} more`;
  if (items.length < 2) return items.join('');
  return `${items.slice(0, -1).join(', ')} ${word} ${items.at(-1)}`;
}
