import { startOfMarkup, startOfText } from './file-kind-text.ts';

/** What a file is, by what is in it. */
export type FileKind =
  | 'pdf'
  | 'svg'
  | 'step'
  | 'stl'
  | 'dxf'
  | 'png'
  | 'jpeg'
  | 'webp'
  | 'gif'
  | 'heic'
  | 'text'
  | 'zip'
  | 'html'
  | 'unknown';

export interface FileReading {
  kind: FileKind;
  /** As registered with IANA; `application/octet-stream` for what is not served as itself. */
  mediaType: string;
  /** A browser may show it inside a page of ours; everything else is only handed over for saving. */
  safeInline: boolean;
  /** What is wrong with the file, as a sentence; such a file is not taken. Null when nothing is. */
  complaint: string | null;
}

export interface FilePieces {
  /** The first 64 KiB, or all of a smaller file. */
  head: Uint8Array;
  /** The last 1 KiB, where it is at hand. */
  tail?: Uint8Array | undefined;
  /** Bytes in the whole file. */
  size: number;
}

/** Bytes of a file that fileKind wants to see. */
export const headBytes = 65_536;
export const tailBytes = 1024;

const types: Readonly<Record<FileKind, { mediaType: string; safeInline: boolean }>> = {
  pdf: { mediaType: 'application/pdf', safeInline: true },
  // An SVG can carry scripts: it is shown only as a picture, never as a page.
  svg: { mediaType: 'image/svg+xml', safeInline: false },
  step: { mediaType: 'model/step', safeInline: false },
  stl: { mediaType: 'model/stl', safeInline: false },
  dxf: { mediaType: 'image/vnd.dxf', safeInline: false },
  png: { mediaType: 'image/png', safeInline: true },
  jpeg: { mediaType: 'image/jpeg', safeInline: true },
  webp: { mediaType: 'image/webp', safeInline: true },
  gif: { mediaType: 'image/gif', safeInline: true },
  heic: { mediaType: 'image/heic', safeInline: false },
  text: { mediaType: 'text/plain', safeInline: true },
  zip: { mediaType: 'application/zip', safeInline: false },
  html: { mediaType: 'application/octet-stream', safeInline: false },
  unknown: { mediaType: 'application/octet-stream', safeInline: false },
};

/** Whether a browser may show a file of this kind by itself; what is not known is only handed over for saving. */
export function isSafeInline(kind: string): boolean {
  return Object.hasOwn(types, kind) && types[kind as FileKind].safeInline;
}

/**
 * What kind of file this is, by its content; its name and what the sender calls it play no part.
 *
 * A file that could be taken for two kinds, is cut off, or is a web page gets a complaint and must be refused.
 *
 * Sources: PNG (W3C), JPEG (ITU-T T.81), GIF89a, WebP (RFC 9649), HEIF (ISO/IEC 23008-12), PDF (ISO 32000-2, 7.5.2),
 * STEP (ISO 10303-21), ZIP (published application note); STL and DXF as their publishers describe them; web pages as
 * the WHATWG MIME Sniffing Standard finds them. Signatures given from memory of these texts.
 */
export function fileKind(pieces: FilePieces): FileReading {
  const { head, size } = pieces;
  if (size === 0) return reading('unknown', 'The file is empty.');
  const kind = kindByStart(head, size);
  return reading(kind, complaintAbout(kind, pieces));
}

function kindByStart(head: Uint8Array, size: number): FileKind {
  if (begins(head, '\x89PNG\r\n\x1a\n')) return 'png';
  if (begins(head, '\xff\xd8\xff')) return 'jpeg';
  if (begins(head, 'GIF87a') || begins(head, 'GIF89a')) return 'gif';
  if (begins(head, 'RIFF') && begins(head, 'WEBPVP8', 8)) return 'webp';
  if (isHeic(head)) return 'heic';
  if (begins(head, '%PDF-')) return 'pdf';
  if (begins(head, 'PK\x03\x04') || begins(head, 'PK\x05\x06')) return 'zip';
  // The mark that opens the binary form of DXF, by its published description.
  if (begins(head, 'AutoCAD Binary DXF\r\n\x1a\0')) return 'dxf';
  // By its size before its words: binary STL files whose first 80 bytes say "solid" are common.
  if (isBinaryStl(head, size)) return 'stl';
  const text = startOfText(head, head.length < size);
  if (text === null) return 'unknown';
  const start = text.replace(/^\ufeff/, '').trimStart();
  if (/^ISO-10303-21\s*;/.test(afterComments(start))) return 'step';
  if (/^solid\b/i.test(start) && /\bfacet\s+normal\b|\bendsolid\b/i.test(start)) return 'stl';
  if (isAsciiDxf(start)) return 'dxf';
  return startOfMarkup(start) ?? 'text';
}

/** What stands against taking the file as its kind. */
function complaintAbout(kind: FileKind, { head, tail, size }: FilePieces): string | null {
  if (kind === 'html') return 'This is a web page: it is not taken, because it could act inside ours.';
  const pdfAt = indexOf(head.subarray(0, 1024 + 5), '%PDF-');
  if (kind !== 'pdf' && pdfAt > 0) {
    return `The file is also a PDF, which begins at byte ${pdfAt + 1}: export it again so that it is one thing.`;
  }
  const end = tail ?? (head.length >= size ? head.subarray(-tailBytes) : null);
  if (end === null) return null;
  const isWide = begins(head, '\xff\xfe') || begins(head, '\xfe\xff');
  if (kind === 'text')
    return isWide || !end.some(isControl) ? null : 'The text ends in bytes that are no text.';
  if (kind !== 'zip' && indexOf(end, 'PK\x05\x06') >= 0) {
    return 'The file has an archive hidden behind it: export it again from the program that made it.';
  }
  const isWords = kind === 'stl' && !isBinaryStl(head, size);
  if (isWords && head.length >= size && !/facet/i.test(latin(head))) return 'The STL holds no facets.';
  const marks = isWords ? ['endsolid'] : (ends[kind] ?? []);
  const whole = isWide || marks.length === 0 || marks.some((mark) => latin(end).toLowerCase().includes(mark));
  return whole
    ? null
    : `The ${kind === 'step' ? 'STEP file' : kind.toUpperCase()} is cut off before its end: send it again.`;
}

/** What must stand in the last bytes of a kind, in small letters; one of them is enough. */
const ends: Partial<Record<FileKind, readonly string[]>> = {
  pdf: ['%%eof'],
  png: ['iend'],
  step: ['end-iso-10303-21'],
  svg: ['svg>', '/>'],
  dxf: ['eof'],
};

function isControl(byte: number): boolean {
  return byte === 127 || (byte < 32 && byte !== 9 && byte !== 10 && byte !== 12 && byte !== 13);
}

function latin(bytes: Uint8Array): string {
  return new TextDecoder('iso-8859-15').decode(bytes);
}

/** Step by step rather than by one pattern, which a file of many comments could keep busy for ever. */
function afterComments(text: string): string {
  let at = 0;
  while (text.startsWith('/*', at)) {
    const end = text.indexOf('*/', at + 2);
    if (end < 0) return '';
    at = end + 2;
    while (/\s/.test(text.charAt(at))) at += 1;
  }
  return text.slice(at);
}

/** Pairs of lines, a code and its value: the first that is not a comment (999) opens a section (0, SECTION). */
function isAsciiDxf(text: string): boolean {
  const lines = text.split(/\r?\n/, 400).map((line) => line.trim());
  let at = 0;
  while (lines[at] === '999') at += 2;
  return lines[at] === '0' && lines[at + 1] === 'SECTION' && lines[at + 2] === '2';
}

/** An ISO base media file whose major brand, or a compatible one behind a general brand, is HEVC-coded HEIF. */
function isHeic(head: Uint8Array): boolean {
  if (!begins(head, 'ftyp', 4)) return false;
  const length = Math.min(head[3]! + head[2]! * 256, head.length);
  const brands: string[] = [];
  for (let at = 8; at + 4 <= length; at += 4) {
    // The four bytes after the major brand are its version.
    if (at !== 12) brands.push(String.fromCharCode(...head.subarray(at, at + 4)));
  }
  const coded = new Set(['heic', 'heix', 'heim', 'heis', 'hevc', 'hevx']);
  const [major = ''] = brands;
  if (coded.has(major)) return true;
  return (major === 'mif1' || major === 'msf1') && brands.some((brand) => coded.has(brand));
}

/** 80 bytes of anything, the number of facets, and 50 bytes for each. */
function isBinaryStl(head: Uint8Array, size: number): boolean {
  if (head.length < 84) return false;
  const facets = new DataView(head.buffer, head.byteOffset).getUint32(80, true);
  return facets > 0 && size === 84 + 50 * facets;
}

function begins(bytes: Uint8Array, mark: string, at = 0): boolean {
  if (bytes.length < at + mark.length) return false;
  for (let index = 0; index < mark.length; index++) {
    if (bytes[at + index] !== mark.charCodeAt(index)) return false;
  }
  return true;
}

function indexOf(bytes: Uint8Array, mark: string): number {
  const first = mark.charCodeAt(0);
  for (let at = bytes.indexOf(first); at >= 0; at = bytes.indexOf(first, at + 1)) {
    if (begins(bytes, mark, at)) return at;
  }
  return -1;
}

function reading(kind: FileKind, complaint: string | null): FileReading {
  return { kind, ...types[kind], complaint };
}
