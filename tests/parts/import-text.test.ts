import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { importEncodings, largestListBytes, readImportText } from '../../src/parts/import-text.ts';
import { roverBytes } from './import-examples.ts';

const bytes = (...parts: (string | number[])[]) =>
  new Uint8Array(
    parts.flatMap((part) => (typeof part === 'string' ? [...new TextEncoder().encode(part)] : part)),
  );

function utf16(text: string, order: 'le' | 'be', mark: boolean): Uint8Array {
  const codes = [...(mark ? '\ufeff' : ''), ...text].flatMap((char) =>
    Array.from({ length: char.length }, (_, at) => char.charCodeAt(at)),
  );
  return new Uint8Array(
    codes.flatMap((code) => (order === 'le' ? [code & 255, code >> 8] : [code >> 8, code & 255])),
  );
}

describe('readImportText', () => {
  test('reads the real list as UTF-8', () => {
    const reading = readImportText(roverBytes());
    expect(reading).toMatchObject({ ok: true, encoding: 'utf-8', how: 'recognised' });
    expect(reading.ok && reading.text.startsWith('Part Name,Project Ref Code,')).toBe(true);
  });

  test.each([
    ['UTF-8 with a mark', bytes([0xef, 0xbb, 0xbf], 'Träger,2'), 'utf-8', 'mark'],
    ['UTF-8 without one', bytes('Träger,2'), 'utf-8', 'recognised'],
    ['UTF-16, low byte first, with a mark', utf16('Träger,2', 'le', true), 'utf-16le', 'mark'],
    ['UTF-16, high byte first, with a mark', utf16('Träger,2', 'be', true), 'utf-16be', 'mark'],
    ['UTF-16, low byte first, without one', utf16('Träger,2', 'le', false), 'utf-16le', 'recognised'],
    ['UTF-16, high byte first, without one', utf16('Träger,2', 'be', false), 'utf-16be', 'recognised'],
    ['Windows-1252', bytes('Tr', [0xe4], 'ger,2'), 'windows-1252', 'assumed'],
  ])('recognises %s', (_, file, encoding, how) => {
    expect(readImportText(file)).toEqual({ ok: true, text: 'Träger,2', encoding, how });
  });

  test('reads euro signs, quotes and dashes of Windows-1252', () => {
    const file = bytes([0x80], ' 5 ', [0x93], 'x', [0x94], ' ', [0x96], ' ', [0x85], [0xd8], [0xb5]);
    expect(readImportText(file)).toMatchObject({ text: '€ 5 “x” – …Øµ' });
  });

  test('reads Windows-1252 as Windows-1254 of the platform where the two are alike', () => {
    // The same signs stand in these places in both, by the indexes of the WHATWG Encoding Standard.
    const shared = [
      0x80, 0x82, 0x83, 0x84, 0x85, 0x86, 0x87, 0x88, 0x89, 0x8a, 0x8b, 0x8c, 0x91, 0x92, 0x93, 0x94,
    ];
    const more = [0x95, 0x96, 0x97, 0x98, 0x99, 0x9a, 0x9b, 0x9c, 0x9f];
    for (const byte of [...shared, ...more]) {
      const expected = new TextDecoder('windows-1254').decode(new Uint8Array([byte]));
      expect(readImportText(bytes('a', [byte, 0xe9], 'b'))).toMatchObject({ text: `a${expected}éb` });
    }
    expect(readImportText(bytes('a', [0x8e, 0x9e, 0xe9], 'b'))).toMatchObject({ text: 'aŽžéb' });
  });

  test.each([
    ['windows-1251', [0xc1, 0xee, 0xeb, 0xf2], 'Болт'],
    ['windows-1250', [0x8a, 0x72, 0x6f, 0x75, 0x62], 'Šroub'],
    ['iso-8859-15', [0xa4, 0x35], '€5'],
    ['iso-8859-2', [0xa9, 0x72, 0x6f, 0x75, 0x62], 'Šroub'],
    ['shift_jis', [0x83, 0x6c, 0x83, 0x57], 'ネジ'],
    ['gb18030', [0xc2, 0xdd, 0xcb, 0xa8], '螺栓'],
    ['macintosh', [0x54, 0x72, 0x8a, 0x67, 0x65, 0x72], 'Träger'],
    ['windows-1252', [0xc3, 0xa4], 'Ã¤'],
  ])('reads %s when it is chosen', (encoding, file, text) => {
    expect(readImportText(new Uint8Array(file), encoding)).toEqual({
      ok: true,
      text,
      encoding,
      how: 'chosen',
    });
  });

  test('every encoding offered can be read', () => {
    for (const { label } of importEncodings) {
      const file = label.startsWith('utf-16')
        ? utf16('a,1', label === 'utf-16le' ? 'le' : 'be', false)
        : bytes('a,1');
      expect(readImportText(file, label)).toMatchObject({ ok: true, text: 'a,1' });
    }
  });

  test('makes every line end one kind', () => {
    expect(readImportText(bytes('a\r\nb\rc\nd'))).toMatchObject({ text: 'a\nb\nc\nd' });
  });

  test.each([
    ['nothing', bytes(), 'empty', 'The file is empty.'],
    ['blanks', bytes(' \r\n\t\n'), 'empty', 'There is nothing in the file but blanks.'],
    ['a mark alone', bytes([0xef, 0xbb, 0xbf]), 'empty', 'There is nothing in the file but blanks.'],
    [
      'a packed spreadsheet',
      bytes('PK', [3, 4], 'sheet'),
      'binary',
      'This is a packed file, probably a spreadsheet: open it and save the sheet as CSV first.',
    ],
    [
      'an old spreadsheet',
      bytes([0xd0, 0xcf, 0x11, 0xe0, 0xa1]),
      'binary',
      'This is an old spreadsheet or word-processor file: open it and save the sheet as CSV first.',
    ],
    ['a PDF', bytes('%PDF-1.7'), 'binary', 'This is a PDF: a list is imported from CSV.'],
    ['a compressed file', bytes([0x1f, 0x8b, 8]), 'binary', 'This file is compressed: unpack it first.'],
    [
      'a picture',
      bytes([0x89], 'PNG\r\n', [0x1a], '\n', [0, 0, 0, 13], 'IHDR', [0, 0, 1, 0, 200, 7, 0]),
      'binary',
      'This is not a text file, or it is in another encoding: a list is imported from CSV.',
    ],
    ['a zero in the text', bytes('a,b\n1,', [0], '2'), 'binary', /not a text file/],
  ])('refuses %s', (_, file, code, sentence) => {
    const reading = readImportText(file);
    expect(reading).toMatchObject({ ok: false, code });
    expect(reading.ok ? '' : reading.sentence).toMatch(sentence);
  });

  test('refuses an encoding the file is not in, and one not known', () => {
    const file = bytes('Tr', [0xe4], 'ger,2');
    expect(readImportText(file, 'utf-8')).toEqual({
      ok: false,
      code: 'wrong-encoding',
      sentence: 'The file cannot be read as Unicode (UTF-8): choose another encoding.',
    });
    expect(readImportText(file, 'rot13')).toMatchObject({ ok: false, code: 'unknown-encoding' });
  });

  test('refuses a file that is too large before looking at it', () => {
    expect(readImportText(new Uint8Array(largestListBytes + 1))).toEqual({
      ok: false,
      code: 'too-large',
      sentence: 'The file has 9 MB: lists of up to 8 MB are read.',
    });
  });

  test('never throws and never lets a control character through', () => {
    fc.assert(
      fc.property(
        fc.uint8Array({ maxLength: 200 }),
        fc.constantFrom(undefined, ...importEncodings),
        (file, chosen) => {
          const reading = readImportText(file, chosen?.label);
          if (!reading.ok) expect(reading.sentence).not.toBe('');
          else expect(reading.text).not.toMatch(/[\u0000-\u0008\u000b-\u001f\u007f]/);
        },
      ),
      { seed: 41, numRuns: 500 },
    );
  });
});
