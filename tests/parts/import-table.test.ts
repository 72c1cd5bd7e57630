import { stringify } from 'csv-stringify/sync';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type Delimiter,
  guessDelimiter,
  importDelimiters,
  readImportTable,
} from '../../src/parts/import-table.ts';
import { roverTable, tableOf } from './import-examples.ts';

const lines = (text: string) =>
  tableOf(text).rows.map(({ line, lastLine, cells }) => [line, lastLine, ...cells]);

describe('readImportTable, the real list', () => {
  const table = roverTable();

  test('finds the comma, the header and 17 rows on the lines 2 to 18', () => {
    expect(table.delimiter).toBe(',');
    expect(table.headerLine).toBe(1);
    expect(table.header).toEqual([
      'Part Name',
      'Project Ref Code',
      'Model/Config',
      'Sold in Packs of',
      'Total Used in Project',
      'Quantity to Buy',
      'Price Each',
      'Price Total',
      'Used in Sections',
    ]);
    expect(table.rows.map(({ line }) => line)).toEqual(Array.from({ length: 17 }, (_, at) => at + 2));
  });

  test('keeps the quotes inside names, the commas inside quotes, and takes off blanks', () => {
    expect(table.rows[2]?.cells).toEqual([
      '#2-56 x 1/4" Screw',
      'B13',
      '91255A076',
      '25',
      '8',
      '1',
      '$3.78',
      '$3.78',
      'PCB Assembly',
    ]);
    expect(table.rows[4]?.cells[8]).toBe('Body, PCB Assembly');
    expect(table.rows[5]?.cells[2]).toBe('45 RPM HD Premium Planetary Gear Motor, NO relative encoder');
  });

  test('tells that the last row is one cell short, and which', () => {
    expect(table.rows.slice(0, -1).every(({ ragged }) => ragged === null)).toBe(true);
    expect(table.rows.at(-1)?.ragged).toBe(
      'One cell is missing at the end (8 of 9): nothing for "Used in Sections".',
    );
    expect(table.rows.at(-1)?.cells).toHaveLength(9);
  });
});

describe('readImportTable', () => {
  test('counts lines through quoted line ends and empty rows', () => {
    expect(lines('name,qty\n"two\nlines",1\n\n,\nlast,"3"\n')).toEqual([
      [2, 3, 'two\nlines', '1'],
      [6, 6, 'last', '3'],
    ]);
  });

  test('lets pass quotes and blanks as people leave them', () => {
    expect(lines('name,qty\n1.5" pipe, "2"\n "a, b" ,3\n"say ""hi""",4\n5" x 3",5\n"un"closed,6\n')).toEqual([
      [2, 2, '1.5" pipe', '2'],
      [3, 3, 'a, b', '3'],
      [4, 4, 'say "hi"', '4'],
      [5, 5, '5" x 3"', '5'],
      [6, 6, '"un"closed', '6'],
    ]);
  });

  test('names the row in which a quote opens and never closes', () => {
    const reading = readImportTable('name,qty\na,1\n\n"1/4 bolt,2\nb,3\n');
    expect(reading).toMatchObject({ ok: false, code: 'open-quote', line: 4 });
    expect(reading.ok ? '' : reading.sentence).toContain('the row on line 4');
    expect(
      tableOf('name,qty\na,1\n\n"1/4 bolt,2\nb,3\n', { quotes: false }).rows.map(({ cells }) => cells[0]),
    ).toEqual(['a', '"1/4 bolt', 'b']);
  });

  test('says what is missing and what is too much', () => {
    const table = tableOf('name,qty,note\nshort\nright,1,x\nlong,1,x,y,z\nharmless,1,x,,\n');
    expect(table.rows.map(({ ragged }) => ragged)).toEqual([
      '2 cells are missing at the end (1 of 3): nothing for "qty", "note".',
      null,
      '2 cells are too many (5 of 3), a delimiter may stand inside a cell: "y", "z".',
      null,
    ]);
    expect(table.rows.every(({ cells }) => cells.length === 3)).toBe(true);
  });

  test('takes empty columns at the end of the header for none', () => {
    const table = tableOf('name,qty,,\na,1,,\nb,2,,\n');
    expect(table.header).toEqual(['name', 'qty']);
    expect(table.rows.every(({ ragged }) => ragged === null)).toBe(true);
  });

  test('names columns that have no name', () => {
    expect(tableOf('name,,qty\na,b,1\n').header).toEqual(['name', 'Column 2', 'qty']);
  });

  test('passes over titles above the header', () => {
    const table = tableOf(
      'Parts of the orrery,,\nAs of May,,\n\nname,number,qty\ngear,G1,4\npin,P1,12\nring,R1,2\n',
    );
    expect(table.headerLine).toBe(4);
    expect(table.header).toEqual(['name', 'number', 'qty']);
    expect(table.rows.map(({ line }) => line)).toEqual([5, 6, 7]);
  });

  test('takes the header line the person names, or none', () => {
    const text = 'gear,G1,4\npin,P1,12\n';
    expect(tableOf(text, { headerLine: null })).toMatchObject({
      header: ['Column 1', 'Column 2', 'Column 3'],
      headerLine: null,
      rows: [{ line: 1 }, { line: 2 }],
    });
    expect(tableOf(text, { headerLine: 1 }).header).toEqual(['gear', 'G1', '4']);
    expect(readImportTable(text, { headerLine: 9 })).toMatchObject({ ok: false, code: 'no-header' });
  });

  test('obeys a first line that names the delimiter, and keeps the line numbers', () => {
    const table = tableOf('sep=|\nname|qty\na,b|1,5\n');
    expect(table).toMatchObject({
      delimiter: '|',
      headerLine: 2,
      rows: [{ line: 3, cells: ['a,b', '1,5'] }],
    });
  });

  test.each([
    ['', 'no-rows'],
    ['\n\n,,\n', 'no-rows'],
    ['name,qty\n', 'no-rows'],
    [`${Array.from({ length: 201 }, (_, at) => `c${at}`).join(',')}\n1\n`, 'unreadable'],
    [`name\n${'x\n'.repeat(20_001)}`, 'too-many-rows'],
    [`name\n${'x\n'.repeat(50_000)}`, 'too-many-rows'],
  ])('refuses %#', (text, code) => {
    const reading = readImportTable(text);
    expect(reading).toMatchObject({ ok: false, code });
    expect(reading.ok ? '' : reading.sentence).toMatch(/\.$/);
  });

  test('takes 20,000 rows', () => {
    expect(tableOf(`name\n${'x\n'.repeat(20_000)}`).rows).toHaveLength(20_000);
  });

  test('reads back what a careful writer wrote, with any delimiter', () => {
    const word = fc.stringMatching(/^[a-z][a-z0-9 ,;|"'\n\t.-]{0,10}[a-z0-9"]$/);
    const grids = fc
      .tuple(fc.integer({ min: 2, max: 5 }), fc.constantFrom(...importDelimiters.map(({ sign }) => sign)))
      .chain(([width, sign]) =>
        fc
          .array(fc.array(word, { minLength: width, maxLength: width }), { minLength: 2, maxLength: 8 })
          .map((rows) => ({ rows, sign })),
      );
    fc.assert(
      fc.property(grids, ({ rows, sign }) => {
        const text = stringify(rows, { delimiter: sign, quoted: true });
        const table = tableOf(text, { delimiter: sign, headerLine: 1 });
        expect([table.header, ...table.rows.map(({ cells }) => cells)]).toEqual(rows);
        let line = 1;
        for (const [at, row] of rows.entries()) {
          const ends = line + row.join('').split('\n').length - 1;
          if (at > 0) expect(table.rows[at - 1]).toMatchObject({ line, lastLine: ends });
          line = ends + 1;
        }
      }),
      { seed: 43, numRuns: 200 },
    );
  });

  test('never throws', () => {
    fc.assert(
      fc.property(fc.stringMatching(/^[ab1",;|\t\n =]{0,40}$/), (text) => {
        const reading = readImportTable(text);
        expect(reading.ok ? reading.table.rows.length > 0 : reading.sentence !== '').toBe(true);
      }),
      { seed: 44, numRuns: 500 },
    );
  });
});

describe('guessDelimiter', () => {
  test.each<[string, string, Delimiter]>([
    ['commas', 'name,qty\na,1\nb,2', ','],
    ['semicolons with decimal commas', 'Teil;Preis;Menge\nRad;1,50;2\nStift;0,10;12', ';'],
    ['semicolons with commas in the words', 'Teil, kurz;Preis, netto\nRad, links;1,50\nStift;2', ';'],
    ['tabs', 'name\tqty\ta, b\nx\t1\tc\n', '\t'],
    ['upright bars', 'name|qty|note\nx|1|a,b,c\ny|2|d', '|'],
    ['quoted commas', 'name;qty\n"a,b,c,d";1\n"e,f,g,h";2', ';'],
    ['quoted semicolons', 'name,qty\n"a;b",1\n"c;d",2', ','],
    ['one column', 'name\nx\ny', ','],
    ['nothing', '', ','],
  ])('finds %s', (_, text, sign) => {
    expect(guessDelimiter(text)).toBe(sign);
  });
});
