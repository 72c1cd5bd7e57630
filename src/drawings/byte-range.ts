export type RangeAnswer = { status: 200 } | { status: 206; start: number; end: number } | { status: 416 };

/**
 * Which bytes a request asks for. One range is served; several, or a header that can't be read, get the whole file.
 *
 * @param header  the Range header, if there is one
 * @param size    bytes in the file
 * @returns       first and last byte for 206; 416 for a range that lies beyond the end
 *
 * Source: RFC 9110, section 14.
 */
export function byteRange(header: string | undefined, size: number): RangeAnswer {
  const match = /^bytes=(\d{0,15})-(\d{0,15})$/.exec(header ?? '');
  if (!match || (match[1] === '' && match[2] === '')) return { status: 200 };
  const [, first = '', last = ''] = match;
  if (first === '') {
    const length = Math.min(Number(last), size);
    return length === 0 ? { status: 416 } : { status: 206, start: size - length, end: size - 1 };
  }
  const start = Number(first);
  const end = last === '' ? size - 1 : Math.min(Number(last), size - 1);
  if (last !== '' && Number(last) < start) return { status: 200 };
  return start >= size ? { status: 416 } : { status: 206, start, end };
}
