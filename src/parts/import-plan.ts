import { cellText, guessDecimalMark, readDetails, readIdentity } from './import-cells.ts';
import { kindOf, lineOf } from './import-draft.ts';
import { loopsAmong } from './import-loops.ts';
import { matchRows } from './import-match.ts';
import { describing, holderKeyOf, newPlanRow, type PlanRow, partKeyOf } from './import-row.ts';
import type { ImportTable } from './import-table.ts';
import type {
  ColumnMapping,
  ImportLine,
  ImportOptions,
  ImportPlan,
  ImportVerdict,
  KnownBuild,
  NewAssembly,
  UseQuestion,
} from './import-types.ts';
import { assemblyNames, checkAssembly, planUses, resolveAssembly, splitAssemblies } from './import-uses.ts';
import { partNumberKey, partNumberSeries, readPartNumber } from './part-number.ts';
import type { DecimalMark } from './typed-number.ts';

/** What holds unless the person or the list's header says otherwise. */
export function usualImportOptions(currency: string): ImportOptions {
  return {
    decimalMark: 'guess',
    quantityIs: 'total',
    priceIs: 'pack',
    listCurrency: currency,
    exchangeRate: '',
    massUnit: 'g',
    usualKind: 'made',
    createAssemblies: true,
    tidyNumbers: false,
    repeatedNumbers: 'refuse',
    answers: [],
  };
}

/**
 * What taking a list would do to a build, row by row; nothing is changed.
 *
 * Every row becomes a line that says what it would be: new, an update with the fields that change, the same as before,
 * unusual (taken only if the person says so) or bad (never taken), with the reasons. A blank cell never erases what
 * the build knows. A part keeps its number, and uses that the list does not name stay. The same list planned again
 * after it was taken gives no new parts, assemblies or uses.
 *
 * @param table   the list, from readImportTable
 * @param mapping the column of each field, from guessColumns and the person
 */
export function planImport(
  table: Pick<ImportTable, 'rows' | 'delimiter'>,
  mapping: ColumnMapping,
  build: KnownBuild,
  options: ImportOptions,
): ImportPlan {
  const guessed =
    options.decimalMark === 'guess' ? guessDecimalMark(table.rows, mapping) : options.decimalMark;
  // Where the comma parts the cells it can hardly be the decimal mark; where the semicolon does, it often is.
  const decimalMark: DecimalMark = guessed ?? (table.delimiter === ';' ? 'comma' : 'dot');
  const settings = { ...options, decimalMark, currency: build.currency };

  const rows = table.rows.map(newPlanRow);
  for (const row of rows) row.identity = readIdentity(row.row, mapping, options, row);
  matchRows(rows, build.parts, options);
  const retired = new Set((build.retiredNumbers ?? []).map(partNumberKey));
  for (const row of rows) refuseRetired(row, retired);
  readAssemblies(rows, mapping, build);
  for (const row of rows) {
    row.details = readDetails(row.row, mapping, settings, describing(row).known, row);
    if (row.main !== null) refuseContradiction(row, row.main);
  }

  const nextNumber = partNumberSeries(build.prefix, [
    ...build.parts.map(({ number }) => number),
    ...(build.retiredNumbers ?? []),
    ...rows.flatMap(({ identity, assemblyTexts }) => [identity.number, ...assemblyTexts]),
  ]);
  for (const row of rows) giveNumber(row, nextNumber);
  const newAssemblies = new Map<string, NewAssembly>();
  const useMilli = new Map(build.uses.map((use) => [`${use.parentId} ${use.childId}`, use.quantityMilli]));
  for (const row of rows) {
    for (const assembly of row.assemblies) {
      checkAssembly(assembly, row, (other) => kindOf(other, options.usualKind));
    }
    if (row.problems.length > 0) continue;
    planUses(row, {
      options,
      newNumber: ({ key, name }, line) => {
        if (!options.createAssemblies) return null;
        const there = newAssemblies.get(key) ?? {
          number: isFreeNumber(name, build, retired) ? name : nextNumber(),
          name,
          lines: [],
        };
        newAssemblies.set(key, { ...there, lines: [...there.lines, line] });
        return there.number;
      },
      beforeMilli: (parentId, childId) => useMilli.get(`${parentId} ${childId}`) ?? null,
    });
  }
  refuseRepeatedUses(rows);
  for (const [row, sentence] of loopsAmong(rows.filter(isGood), build)) row.problems.push(sentence);
  refuseWithoutMain(rows);
  dropUsesInBadRows(rows);

  const lines = rows.map((row) => lineOf(row, options.usualKind));
  return {
    lines,
    newAssemblies: namedByGoodLines([...newAssemblies.values()], lines),
    questions: rows.filter(isGood).flatMap((row) => questionsOf(row)),
    counts: countVerdicts(lines),
    notes: planNotes(rows, decimalMark, guessed === null, build.currency),
    decimalMark,
  };
}

function isGood(row: PlanRow): boolean {
  return row.problems.length === 0;
}

function readAssemblies(rows: readonly PlanRow[], mapping: ColumnMapping, build: KnownBuild): void {
  const names = assemblyNames(build.parts, rows);
  for (const row of rows) {
    row.assemblyTexts = splitAssemblies(cellText(row.row, mapping, 'goesInto'), names);
    for (const text of row.assemblyTexts) {
      const assembly = resolveAssembly(text, names);
      if (typeof assembly === 'string') row.problems.push(assembly);
      else row.assemblies.push(assembly);
      if (typeof assembly !== 'string' && assembly.kind === 'row') assembly.row.holdsOthers = true;
    }
  }
}

/** A further use must not say of the part what its first row does not. */
function refuseContradiction(row: PlanRow, main: PlanRow): void {
  const said = new Map<string, unknown>(Object.entries(main.details.values));
  for (const [field, value] of Object.entries(row.details.values)) {
    const there = said.get(field);
    if (there === undefined || there === value) continue;
    row.problems.push(
      `Line ${main.row.line} has the same number with ${field} "${there}", this one with "${value}".`,
    );
  }
}

function giveNumber(row: PlanRow, next: () => string): void {
  row.number = row.known?.number ?? row.identity.number;
  if (row.number !== '' || row.main !== null || !isGood(row)) return;
  row.number = next();
  row.numberProposed = true;
}

/** A new assembly that the list names by a free number of the build's own series gets that number. */
function isFreeNumber(name: string, build: KnownBuild, retired: ReadonlySet<string>): boolean {
  const inSeries = partNumberKey(name).startsWith(`${partNumberKey(build.prefix)}-`);
  return inSeries && readPartNumber(name).ok && !retired.has(partNumberKey(name));
}

/** A number stays with its part even when that is taken away: it may stand on drawings and on metal. */
function refuseRetired({ known, identity, problems }: PlanRow, retired: ReadonlySet<string>): void {
  if (known !== null || !retired.has(partNumberKey(identity.number))) return;
  problems.push(`The part number ${identity.number} is that of a part taken away: give another.`);
}

/** A part goes into an assembly once, with one quantity: two rows that both say so cannot both be right. */
function refuseRepeatedUses(rows: readonly PlanRow[]): void {
  const first = new Map<string, number>();
  for (const row of rows) {
    for (const use of row.uses) {
      const key = `${partKeyOf(row)} in ${holderKeyOf(use)}`;
      const line = first.get(key);
      if (line === undefined) first.set(key, row.row.line);
      else if (line === row.row.line)
        row.problems.push(`"${use.assembly}" is named twice, by its number and by its name.`);
      else row.problems.push(`Line ${line} already puts ${describing(row).number} into "${use.assembly}".`);
    }
  }
}

function refuseWithoutMain(rows: readonly PlanRow[]): void {
  for (const { main, problems } of rows) {
    if (main !== null && !isGood(main))
      problems.push(`Line ${main.row.line}, which describes the part, is bad.`);
  }
}

function dropUsesInBadRows(rows: readonly PlanRow[]): void {
  const bad = new Set(rows.filter((row) => !isGood(row)).map(({ row }) => row.line));
  for (const row of rows) {
    row.uses = row.uses.filter(({ parent, assembly }) => {
      if (!('line' in parent) || !bad.has(parent.line)) return true;
      row.doubts.push(
        `"${assembly}" is on line ${parent.line}, which is bad: the row comes in without this use.`,
      );
      return false;
    });
  }
}

function namedByGoodLines(made: readonly NewAssembly[], lines: readonly ImportLine[]): NewAssembly[] {
  const good = new Set(lines.filter(({ verdict }) => verdict !== 'bad').map(({ line }) => line));
  return made
    .map((assembly) => ({ ...assembly, lines: assembly.lines.filter((line) => good.has(line)) }))
    .filter((assembly) => assembly.lines.length > 0);
}

function questionsOf(row: PlanRow): UseQuestion[] {
  const { number, identity, known, details } = describing(row);
  return row.uses
    .filter(({ verdict }) => verdict === 'ask')
    .map(({ assembly }) => ({
      line: row.row.line,
      number,
      name: identity.name || (known?.name ?? number),
      assembly,
      listedMilli: row.details.quantityMilli,
      unit: details.unit,
    }));
}

function countVerdicts(lines: readonly ImportLine[]): Record<ImportVerdict, number> {
  const counts = { new: 0, update: 0, same: 0, unusual: 0, bad: 0 };
  for (const { verdict } of lines) counts[verdict] += 1;
  return counts;
}

function planNotes(
  rows: readonly PlanRow[],
  mark: DecimalMark,
  assumed: boolean,
  currency: string,
): string[] {
  const notes: string[] = [];
  const unsure = rows.some(({ row }) => row.cells.some((cell) => /^\D*[1-9]\d{0,2}[.,]\d{3}\D*$/.test(cell)));
  if (assumed && unsure) {
    const read =
      mark === 'dot' ? 'a point: 1,234 is more than a thousand' : 'a comma: 1.234 is more than a thousand';
    notes.push(`Nothing tells the decimal mark of this list for sure. It is taken to be ${read}.`);
  }
  if (rows.some((row) => row.details.foreignPrice)) {
    notes.push(
      `Some prices are not in ${currency} and are left out: name the list's currency and a rate to convert them.`,
    );
  }
  return notes;
}
