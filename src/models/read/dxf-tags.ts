import { Unreadable } from '../facts.ts';

/** A group of DXF: a code that says what the value is, and the value as text. */
export interface Tag {
  code: number;
  value: string;
}

const sentinel = 'AutoCAD Binary DXF\r\n\x1a\0';
const mostTags = 12_000_000;

/**
 * The groups of a DXF file, ASCII or binary, one by one.
 *
 * @throws Unreadable  a code that is none, or a binary file that is cut off
 * Source: the format as its publisher describes it, from memory.
 */
export function* dxfTags(bytes: Uint8Array): Generator<Tag> {
  let count = 0;
  for (const tag of isBinary(bytes) ? binaryTags(bytes) : asciiTags(decoded(bytes))) {
    count += 1;
    if (count > mostTags) throw new Unreadable('The DXF holds more than can be read.');
    yield tag;
  }
}

function isBinary(bytes: Uint8Array): boolean {
  return [...sentinel].every((sign, at) => bytes[at] === sign.charCodeAt(0));
}

/** UTF-8, as the format has it since 2007, or the code page of western Windows, which most older files use. */
function decoded(bytes: Uint8Array): string {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return new TextDecoder('utf-16le').decode(bytes);
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return new TextDecoder('utf-16be').decode(bytes);
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    return new TextDecoder('windows-1252').decode(bytes);
  }
}

function* asciiTags(text: string): Generator<Tag> {
  let at = 0;
  let line = 0;
  const next = (): string | null => {
    if (at >= text.length) return null;
    let end = text.indexOf('\n', at);
    if (end < 0) end = text.length;
    const piece = text.slice(at, text.charCodeAt(end - 1) === 13 && end > at ? end - 1 : end);
    at = end + 1;
    line += 1;
    return piece;
  };
  for (;;) {
    const code = next();
    if (code === null) return;
    const value = next();
    if (code.trim() === '' && (value === null || value.trim() === '')) return;
    if (!/^\s*-?\d{1,5}\s*$/.test(code)) {
      throw new Unreadable(`Line ${line - 1} of the DXF should be a group code and is none: it is damaged.`);
    }
    if (value === null) throw new Unreadable('The DXF is cut off before its end.');
    yield { code: Number(code), value: value.trim() };
  }
}

function* binaryTags(bytes: Uint8Array): Generator<Tag> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  let at = sentinel.length;
  const cut = () => new Unreadable('The DXF is cut off before its end.');
  const room = (length: number) => {
    if (at + length > bytes.length) throw cut();
    at += length;
    return at - length;
  };
  while (at < bytes.length) {
    const code = view.getInt16(room(2), true);
    const size = sizeOf(code);
    if (size === 'text') {
      const end = bytes.indexOf(0, at);
      if (end < 0) throw cut();
      yield { code, value: decoded(bytes.subarray(at, end)) };
      at = end + 1;
    } else if (size === 'double') yield { code, value: String(view.getFloat64(room(8), true)) };
    else if (size === 'chunk') {
      room(view.getUint8(room(1)));
      yield { code, value: '' };
    } else if (size === 1) yield { code, value: String(view.getUint8(room(1))) };
    else if (size === 2) yield { code, value: String(view.getInt16(room(2), true)) };
    else if (size === 4) yield { code, value: String(view.getInt32(room(4), true)) };
    else yield { code, value: String(view.getBigInt64(room(8), true)) };
    if (code === 0 && bytes[at - 2] === 70 && bytes[at - 3] === 79 && bytes[at - 4] === 69) return;
  }
}

function sizeOf(code: number): 'text' | 'double' | 'chunk' | 1 | 2 | 4 | 8 {
  const within = (low: number, high: number) => code >= low && code <= high;
  if (within(10, 59) || within(110, 149) || within(210, 239) || within(460, 469) || within(1010, 1059))
    return 'double';
  if (within(60, 79) || within(170, 179) || within(270, 289) || within(370, 389) || within(400, 409))
    return 2;
  if (within(1060, 1070)) return 2;
  if (within(90, 99) || within(420, 429) || within(440, 459) || code === 1071) return 4;
  if (within(160, 169)) return 8;
  if (within(290, 299)) return 1;
  if (within(310, 319) || code === 1004) return 'chunk';
  return 'text';
}
