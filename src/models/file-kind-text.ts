/**
 * The beginning of a file as text; null when it is none.
 *
 * Text is UTF-8, UTF-16 with its mark, or a one-byte Latin code, without control characters besides tab, line ends and
 * form feed.
 *
 * @param head the first bytes of the file
 * @param cut  more bytes follow, so that the last character may be torn
 */
export function startOfText(head: Uint8Array, cut: boolean): string | null {
  const text = decoded(head, cut);
  if (text === null || /[\u0000-\u0008\u000b\u000e-\u001f\u007f]/.test(text)) return null;
  return text;
}

function decoded(head: Uint8Array, cut: boolean): string | null {
  const utf16 =
    head[0] === 0xff && head[1] === 0xfe
      ? 'utf-16le'
      : head[0] === 0xfe && head[1] === 0xff
        ? 'utf-16be'
        : null;
  try {
    return new TextDecoder(utf16 ?? 'utf-8', { fatal: true }).decode(head, { stream: cut });
  } catch {
    if (utf16 !== null) return null;
  }
  // One byte, one character. Latin codes leave 0x80 to 0x9f to rare signs or to nothing: many of them are no text.
  const rare = head.filter((byte) => byte >= 0x80 && byte < 0xa0).length;
  if (rare > head.length / 50) return null;
  return new TextDecoder('iso-8859-15').decode(head);
}

/** Elements by which the WHATWG MIME Sniffing Standard knows a web page. */
const pageElements =
  /^<(?:!doctype\s+html|html|head|script|iframe|h1|div|font|table|a|style|title|b|body|br|p|frameset|meta|link|object|embed|form|img|base)(?:[\s/>]|$)/i;

/**
 * Is the text a picture in SVG or a web page? Null when it is neither.
 *
 * Goes past the XML declaration, processing instructions, comments and document type to the root element. A root `svg`
 * counts only in the namespace of SVG, without which browsers draw nothing.
 *
 * @param start the beginning of the text, without mark and leading blanks
 */
export function startOfMarkup(start: string): 'svg' | 'html' | null {
  let rest = start;
  if (!rest.startsWith('<')) return null;
  if (pageElements.test(rest)) return 'html';
  for (;;) {
    const skipped = afterProlog(rest);
    if (skipped === null) break;
    rest = skipped.trimStart();
    if (pageElements.test(rest)) return 'html';
  }
  const root = /^<(?:([A-Za-z_][\w.-]*):)?([A-Za-z_][\w.-]*)((?:[^>"']|"[^"]*"|'[^']*')*)/.exec(rest);
  // A comment or document type that never ends leaves the page to the browser's mercy.
  if (!root) return rest.startsWith('<!--') || rest.startsWith('<?') ? 'html' : null;
  const [, prefix, name = '', attributes = ''] = root;
  const space = namespaceOf(attributes, prefix);
  if (name === 'svg' && space === 'http://www.w3.org/2000/svg') return 'svg';
  if (space === 'http://www.w3.org/1999/xhtml') return 'html';
  return null;
}

function namespaceOf(attributes: string, prefix: string | undefined): string | null {
  const attribute = prefix === undefined ? 'xmlns' : `xmlns:${prefix.replace(/[.]/g, '\\.')}`;
  const match = new RegExp(`(?:^|\\s)${attribute}\\s*=\\s*(?:"([^"]*)"|'([^']*)')`).exec(attributes);
  return match ? (match[1] ?? match[2] ?? null) : null;
}

/** The text after one declaration, instruction, comment or document type; null when it does not begin with one. */
function afterProlog(text: string): string | null {
  for (const [open, close] of [
    ['<?', '?>'],
    ['<!--', '-->'],
  ] as const) {
    if (!text.startsWith(open)) continue;
    const end = text.indexOf(close, open.length);
    return end < 0 ? null : text.slice(end + close.length);
  }
  const type = /^<!DOCTYPE\s[^[>]*(?:\[(?:[^\]"']|"[^"]*"|'[^']*')*\]\s*)?>/i.exec(text);
  return type ? text.slice(type[0].length) : null;
}
