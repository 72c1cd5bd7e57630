import { describe, expect, it } from 'vitest';
import { byteRange } from '../../src/drawings/byte-range.ts';
import { contentDisposition } from '../../src/drawings/content-disposition.ts';
import { fileSize } from '../../src/drawings/file-size.ts';

describe('byteRange', () => {
  it('reads one range as RFC 9110, 14.1.2 has it', () => {
    // The examples of the RFC, for a file of 10,000 bytes.
    expect(byteRange('bytes=0-499', 10_000)).toEqual({ status: 206, start: 0, end: 499 });
    expect(byteRange('bytes=500-999', 10_000)).toEqual({ status: 206, start: 500, end: 999 });
    expect(byteRange('bytes=-500', 10_000)).toEqual({ status: 206, start: 9500, end: 9999 });
    expect(byteRange('bytes=9500-', 10_000)).toEqual({ status: 206, start: 9500, end: 9999 });
    expect(byteRange('bytes=9000-20000', 10_000)).toEqual({ status: 206, start: 9000, end: 9999 });
    expect(byteRange('bytes=-20000', 10_000)).toEqual({ status: 206, start: 0, end: 9999 });
  });

  it('answers 416 beyond the end, and gives the whole file for what it does not read', () => {
    expect(byteRange('bytes=10000-', 10_000)).toEqual({ status: 416 });
    expect(byteRange('bytes=-0', 10_000)).toEqual({ status: 416 });
    for (const header of [
      undefined,
      '',
      'bytes=',
      'bytes=-',
      'bytes=5-2',
      'bytes=0-1,3-4',
      'lines=1-2',
      'bytes=a-b',
    ])
      expect(byteRange(header, 10_000)).toEqual({ status: 200 });
  });
});

describe('contentDisposition', () => {
  it('gives a plain name and the whole one, with nothing that could end the header', () => {
    expect(contentDisposition('attachment', 'Zahnrad 32 grün.pdf')).toBe(
      `attachment; filename="Zahnrad 32 gr_n.pdf"; filename*=UTF-8''Zahnrad%2032%20gr%C3%BCn.pdf`,
    );
    const nasty = contentDisposition('inline', 'a"b\\c\r\nX: y%41\'(*).pdf');
    expect(nasty).toBe(
      `inline; filename="a_b_c__X: y_41'(*).pdf"; filename*=UTF-8''a%22b%5Cc%0D%0AX%3A%20y%2541%27%28%2A%29.pdf`,
    );
    expect(contentDisposition('inline', 'x\ud800.pdf')).toContain("UTF-8''x_.pdf");
  });
});

describe('fileSize', () => {
  it('says bytes, kB and MB', () => {
    expect([0, 999, 1000, 42_400, 999_499, 999_500, 3_449_000, 52_428_800].map(fileSize)).toEqual([
      '0 bytes',
      '999 bytes',
      '1 kB',
      '42 kB',
      '999 kB',
      '1.0 MB',
      '3.4 MB',
      '52 MB',
    ]);
  });
});
