/** A value of an entity as ISO 10303-21 writes it. */
export type StepValue =
  | { kind: 'text'; text: string }
  | { kind: 'number'; value: number }
  | { kind: 'reference'; id: number }
  | { kind: 'word'; word: string }
  | { kind: 'list'; items: StepValue[] }
  | { kind: 'typed'; type: string; items: StepValue[] };

export interface StepEntity {
  id: number;
  /** the type in capitals; '' for one put together of several, which stand in `parts` */
  type: string;
  items: StepValue[];
  parts: { type: string; items: StepValue[] }[];
}

const deepest = 40;

/** The text of a STEP file: UTF-8 as edition 3 has it, or a one-byte code as older writers do. */
export function stepText(bytes: Uint8Array): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    return new TextDecoder('iso-8859-1').decode(bytes);
  }
}

/**
 * A string of ISO 10303-21 as people read it; `raw` is what stands between its quotes.
 *
 * Takes '' and \\ for one sign, \X\hh, \X2\hhhh...\X0\, \X4\hhhhhhhh...\X0\, \S\c in the part of ISO 8859 that \PA\ to
 * \PI\ name. What is none of these stays as it is.
 *
 * Source: ISO 10303-21:2016, 6.4.3, from memory.
 */
export function stepString(raw: string): string {
  let part = 1;
  return raw.replace(
    /''|\\\\|\\X2\\((?:[0-9A-F]{4})*)\\X0\\|\\X4\\((?:[0-9A-F]{8})*)\\X0\\|\\X\\([0-9A-F]{2})|\\P([A-I])\\|\\S\\([\s\S])/gi,
    (all: string, wide?: string, wider?: string, byte?: string, page?: string, shifted?: string) => {
      if (all === "''") return "'";
      if (all === '\\\\') return '\\';
      if (wide !== undefined) return fromHex(wide, 4, String.fromCharCode);
      if (wider !== undefined)
        return fromHex(wider, 8, (code) => (code <= 0x10ffff ? String.fromCodePoint(code) : '\ufffd'));
      if (byte !== undefined) return String.fromCharCode(Number.parseInt(byte, 16));
      if (page !== undefined) {
        part = page.toUpperCase().charCodeAt(0) - 64;
        return '';
      }
      return latinPart(part, (shifted!.charCodeAt(0) & 0x7f) | 0x80);
    },
  );
}

function fromHex(digits: string, step: number, sign: (code: number) => string): string {
  let text = '';
  for (let at = 0; at < digits.length; at += step)
    text += sign(Number.parseInt(digits.slice(at, at + step), 16));
  return text;
}

function latinPart(part: number, byte: number): string {
  return new TextDecoder(`iso-8859-${part}`).decode(Uint8Array.of(byte));
}

/** Where a piece of text ends: at a `;` outside of strings and comments. */
function endOf(text: string, from: number): number {
  for (let at = from; at < text.length; at++) {
    const sign = text.charCodeAt(at);
    if (sign === 59) return at;
    if (sign === 39) {
      const end = text.indexOf("'", at + 1);
      if (end < 0) return -1;
      at = end;
    } else if (sign === 47 && text.charCodeAt(at + 1) === 42) {
      const end = text.indexOf('*/', at + 2);
      if (end < 0) return -1;
      at = end + 1;
    }
  }
  return -1;
}

/** The next place that is neither blank nor within a comment. */
function afterBlanks(text: string, from: number): number {
  let at = from;
  for (;;) {
    while (text.charCodeAt(at) <= 32) at += 1;
    if (!text.startsWith('/*', at)) return at;
    const end = text.indexOf('*/', at + 2);
    if (end < 0) return text.length;
    at = end + 2;
  }
}

/** The values of a header entity, FILE_NAME or FILE_SCHEMA; an empty list when it is not there. */
export function headerValues(text: string, name: string): StepValue[] {
  const header = text.slice(0, Math.max(0, text.search(/\bDATA\s*[;(]/)));
  const found = new RegExp(`\\b${name}\\s*\\(`, 'i').exec(header);
  if (!found) return [];
  const end = endOf(header, found.index);
  return end < 0 ? [] : new Values(header.slice(found.index + found[0].length - 1, end)).list();
}

/**
 * Goes through the entities of a STEP file and keeps those of the wanted types.
 *
 * @param wanted  is asked for each entity, by its type; for one put together of several by all of them with commas
 * @returns       the kept ones by id, and how many there are in all
 */
export function stepEntities(
  text: string,
  wanted: (type: string) => boolean,
): { kept: Map<number, StepEntity>; count: number } {
  const kept = new Map<number, StepEntity>();
  let count = 0;
  const start = /#(\d{1,15})\s*=\s*(?:\/\*[\s\S]*?\*\/\s*)*(?:([A-Za-z_!][\w]*)\s*)?\(/y;
  let at = text.search(/\bDATA\s*[;(]/);
  while (at >= 0 && at < text.length) {
    at = afterBlanks(text, at);
    const end = endOf(text, at);
    if (end < 0) break;
    start.lastIndex = at;
    const found = start.exec(text);
    if (found) {
      count += 1;
      const open = start.lastIndex - 1;
      const type = (found[2] ?? '').toUpperCase();
      const id = Number(found[1]);
      if (type !== '') {
        if (wanted(type))
          kept.set(id, { id, type, items: new Values(text.slice(open, end)).list(), parts: [] });
      } else {
        const body = text.slice(open, end);
        const types = [...body.matchAll(/([A-Za-z_]\w*)\s*\(/g)]
          .map(([, one]) => one!.toUpperCase())
          .join(',');
        if (wanted(types)) kept.set(id, { id, type: '', items: [], parts: new Values(body).parts() });
      }
    }
    at = end + 1;
  }
  return { kept, count };
}

/** Reads the values of one entity; what is no value ends the list. */
class Values {
  #at = 0;

  constructor(readonly text: string) {}

  list(depth = 0): StepValue[] {
    const items: StepValue[] = [];
    if (depth > deepest || !this.#take('(')) return items;
    while (this.#at < this.text.length && !this.#take(')')) {
      const item = this.#value(depth);
      if (!item) break;
      items.push(item);
      this.#take(',');
    }
    return items;
  }

  parts(): { type: string; items: StepValue[] }[] {
    const parts: { type: string; items: StepValue[] }[] = [];
    if (!this.#take('(')) return parts;
    for (;;) {
      const type = this.#match(/[A-Za-z_]\w*/y);
      if (type === null) return parts;
      parts.push({ type: type.toUpperCase(), items: this.list() });
    }
  }

  #value(depth: number): StepValue | null {
    this.#blanks();
    const sign = this.text[this.#at];
    if (sign === '(') return { kind: 'list', items: this.list(depth + 1) };
    if (sign === "'") {
      const quoted = this.#match(/'(?:[^']|'')*'/y);
      return quoted === null
        ? null
        : { kind: 'text', text: stepString(quoted.slice(1, -1).replace(/[\r\n]/g, '')) };
    }
    if (sign === '#') {
      const id = this.#match(/#\d+/y);
      return id === null ? null : { kind: 'reference', id: Number(id.slice(1)) };
    }
    const number = this.#match(/[+-]?\d+(?:\.\d*)?(?:E[+-]?\d+)?/iy);
    if (number !== null) return { kind: 'number', value: Number(number) };
    const word = this.#match(/\.\w+\.|[$*]|"[0-9A-F]*"/iy);
    if (word !== null) return { kind: 'word', word };
    const type = this.#match(/[A-Za-z_]\w*/y);
    return type === null ? null : { kind: 'typed', type: type.toUpperCase(), items: this.list(depth + 1) };
  }

  #blanks(): void {
    this.#match(/(?:\s|\/\*[\s\S]*?\*\/)*/y, false);
  }

  #take(sign: string): boolean {
    this.#blanks();
    if (this.text[this.#at] !== sign) return false;
    this.#at += 1;
    return true;
  }

  #match(pattern: RegExp, skip = true): string | null {
    if (skip) this.#blanks();
    pattern.lastIndex = this.#at;
    const found = pattern.exec(this.text);
    if (!found) return null;
    this.#at = pattern.lastIndex;
    return found[0];
  }
}

/** The text of a value, or '' when it is none. */
export function textOf(value: StepValue | undefined): string {
  return value?.kind === 'text' ? value.text : '';
}

/** The texts of a list of texts. */
export function textsOf(value: StepValue | undefined): string[] {
  return value?.kind === 'list' ? value.items.map(textOf).filter((text) => text.trim() !== '') : [];
}

/** The entity a value points to, or null. */
export function idOf(value: StepValue | undefined): number | null {
  return value?.kind === 'reference' ? value.id : null;
}
