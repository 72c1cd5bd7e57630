/**
 * The Content-Disposition header of a file: a plain ASCII name for old programs, and the whole name beside it.
 *
 * Source: RFC 6266, with the extended notation of RFC 8187 (successor of RFC 5987).
 * Example: `Zahnrad 32 grün.pdf` -> `attachment; filename="Zahnrad 32 gr_n.pdf"; filename*=UTF-8''Zahnrad%2032%20gr%C3%BCn.pdf`
 */
export function contentDisposition(how: 'inline' | 'attachment', name: string): string {
  const ascii = name.replace(/[^\x20-\x7e]|["\\%]/g, '_');
  const whole = encodeURIComponent(name.replace(/\p{Cs}/gu, '_')).replace(
    /['()*]/g,
    (sign) => `%${sign.charCodeAt(0).toString(16).toUpperCase()}`,
  );
  return `${how}; filename="${ascii}"; filename*=UTF-8''${whole}`;
}
