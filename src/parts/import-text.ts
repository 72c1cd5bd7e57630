/** Encodings a person can choose for a list; each is a label of the WHATWG Encoding Standard. */
export const importEncodings: readonly { label: string; name: string }[] = [
  { label: 'utf-8', name: 'Unicode (UTF-8)' },
  { label: 'utf-16le', name: 'Unicode (UTF-16, low byte first)' },
  { label: 'utf-16be', name: 'Unicode (UTF-16, high byte first)' },
  { label: 'windows-1252', name: 'Western European (Windows-1252, covers ISO 8859-1)' },
  { label: 'iso-8859-15', name: 'Western European with euro (ISO 8859-15)' },
  { label: 'macintosh', name: 'Western European (Macintosh)' },
  { label: 'windows-1250', name: 'Central European (Windows-1250)' },
  { label: 'iso-8859-2', name: 'Central European (ISO 8859-2)' },
  { label: 'windows-1257', name: 'Baltic (Windows-1257)' },
  { label: 'windows-1251', name: 'Cyrillic (Windows-1251)' },
  { label: 'koi8-r', name: 'Cyrillic (KOI8-R)' },
  { label: 'windows-1253', name: 'Greek (Windows-1253)' },
  { label: 'windows-1254', name: 'Turkish (Windows-1254)' },
  { label: 'windows-1255', name: 'Hebrew (Windows-1255)' },
  { label: 'windows-1256', name: 'Arabic (Windows-1256)' },
  { label: 'shift_jis', name: 'Japanese (Shift JIS)' },
  { label: 'euc-jp', name: 'Japanese (EUC-JP)' },
  { label: 'gb18030', name: 'Chinese (GB 18030)' },
  { label: 'big5', name: 'Chinese (Big5)' },
  { label: 'euc-kr', name: 'Korean (EUC-KR)' },
];

export type ImportTextRefusal = 'empty' | 'too-large' | 'binary' | 'unknown-encoding' | 'wrong-encoding';

export type ImportText =
  | { ok: true; text: string; encoding: string; how: 'chosen' | 'mark' | 'recognised' | 'assumed' }
  | { ok: false; code: ImportTextRefusal; sentence: string };

/** The largest list read, in bytes. */
export const largestListBytes = 8 * 1024 * 1024;

/** Beginnings of files that people take for lists, and what to do about each. */
const notLists: readonly { start: readonly number[]; sentence: string }[] = [
  {
    start: [0x50, 0x4b, 0x03, 0x04],
    sentence: 'This is a packed file, probably a spreadsheet: open it and save the sheet as CSV first.',
  },
  {
    start: [0xd0, 0xcf, 0x11, 0xe0],
    sentence: 'This is an old spreadsheet or word-processor file: open it and save the sheet as CSV first.',
  },
  { start: [0x25, 0x50, 0x44, 0x46], sentence: 'This is a PDF: a list is imported from CSV.' },
  { start: [0x1f, 0x8b], sentence: 'This file is compressed: unpack it first.' },
];

/**
 * The text of a list from its bytes.
 *
 * A byte order mark decides; without one the bytes are UTF-16 where every other byte is mostly zero, UTF-8 where they
 * are valid, and else taken as Windows-1252, the usual one of spreadsheets in the west. A person can choose instead.
 * Line ends come out as `\n` and without the mark.
 *
 * @param bytes    the whole file
 * @param encoding one of importEncodings, or leave out to have it recognised
 * @returns        the text and how its encoding was found, or a refusal for what is no text
 */
export function readImportText(bytes: Uint8Array, encoding?: string): ImportText {
  if (bytes.length === 0) return refusal('empty', 'The file is empty.');
  if (bytes.length > largestListBytes) {
    const size = Math.ceil(bytes.length / 1024 / 1024);
    return refusal(
      'too-large',
      `The file has ${size} MB: lists of up to ${largestListBytes / 1024 / 1024} MB are read.`,
    );
  }
  const known = notLists.find(({ start }) => start.every((byte, at) => bytes[at] === byte));
  if (known) return refusal('binary', known.sentence);

  const mark = markOf(bytes);
  if (encoding !== undefined && !importEncodings.some(({ label }) => label === encoding)) {
    return refusal('unknown-encoding', `"${encoding}" is not an encoding known here.`);
  }
  const found = encoding ?? mark ?? recognised(bytes);
  const text = decoded(bytes, found ?? 'windows-1252');
  if (text === null) {
    const name = importEncodings.find(({ label }) => label === found)?.name ?? found;
    return refusal('wrong-encoding', `The file cannot be read as ${name}: choose another encoding.`);
  }
  const unreadable = text.match(/[\u0000-\u0008\u000e-\u001f\u007f]/g)?.length ?? 0;
  if (text.includes('\u0000') || unreadable > text.length / 500) {
    return refusal(
      'binary',
      'This is not a text file, or it is in another encoding: a list is imported from CSV.',
    );
  }
  const lines = text
    .replace(/\r\n?|[\u0085\u2028\u2029]/g, '\n')
    .replace(/[\u0001-\u0008\u000b-\u001f\u007f]/g, ' ');
  if (lines.trim() === '') return refusal('empty', 'There is nothing in the file but blanks.');
  const how =
    encoding !== undefined ? 'chosen' : mark !== null ? 'mark' : found !== null ? 'recognised' : 'assumed';
  return { ok: true, text: lines, encoding: found ?? 'windows-1252', how };
}

function markOf(bytes: Uint8Array): string | null {
  if (bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf) return 'utf-8';
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return 'utf-16le';
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return 'utf-16be';
  return null;
}

/** UTF-16 without a mark shows itself by the zero bytes beside commas, digits and line ends; UTF-8 by being valid. */
function recognised(bytes: Uint8Array): string | null {
  const sample = bytes.subarray(0, 4096);
  const zeros = [0, 0];
  sample.forEach((byte, at) => {
    if (byte === 0) zeros[at % 2]! += 1;
  });
  const [even = 0, odd = 0] = zeros;
  if (bytes.length % 2 === 0 && Math.max(even, odd) > sample.length / 8) {
    if (even * 8 < odd) return 'utf-16le';
    if (odd * 8 < even) return 'utf-16be';
  }
  return decoded(bytes, 'utf-8') === null ? null : 'utf-8';
}

/** Null where the bytes are not valid in the encoding. */
function decoded(bytes: Uint8Array, encoding: string): string | null {
  if (encoding === 'windows-1252') return windows1252(bytes);
  try {
    return new TextDecoder(encoding, { fatal: true }).decode(bytes);
  } catch {
    return null;
  }
}

/**
 * The 32 places in which Windows-1252 differs from ISO 8859-1. Written out because decoders of the platform have
 * treated the two alike and turned euro signs and curly quotes into control characters.
 *
 * Source: WHATWG Encoding Standard, index windows-1252 (its five unassigned bytes stay control characters).
 */
const windows1252High =
  '\u20ac\u0081\u201a\u0192\u201e\u2026\u2020\u2021\u02c6\u2030\u0160\u2039\u0152\u008d\u017d\u008f' +
  '\u0090\u2018\u2019\u201c\u201d\u2022\u2013\u2014\u02dc\u2122\u0161\u203a\u0153\u009d\u017e\u0178';

function windows1252(bytes: Uint8Array): string {
  const latin = Array.from({ length: Math.ceil(bytes.length / 8192) }, (_, block) =>
    String.fromCharCode(...bytes.subarray(block * 8192, block * 8192 + 8192)),
  ).join('');
  return latin.replace(/[\u0080-\u009f]/g, (sign) => windows1252High[sign.charCodeAt(0) - 0x80] ?? sign);
}

function refusal(code: ImportTextRefusal, sentence: string): ImportText {
  return { ok: false, code, sentence };
}
