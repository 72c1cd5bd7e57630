import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import { type FileReading, fileKind, headBytes, tailBytes } from '../../src/models/file-kind.ts';

const read = (bytes: Uint8Array): FileReading =>
  fileKind({ head: bytes.subarray(0, headBytes), tail: bytes.subarray(-tailBytes), size: bytes.length });
const kindOf = (bytes: Uint8Array) => {
  const { kind, complaint } = read(bytes);
  return complaint === null ? kind : `${kind}: ${complaint}`;
};
const bytes = (...parts: (string | number[])[]) =>
  new Uint8Array(
    parts.flatMap((part) => (typeof part === 'string' ? [...new TextEncoder().encode(part)] : part)),
  );
const checkFile = (path: string) => readFileSync(new URL(`../checks/${path}`, import.meta.url));

function binaryStl(facets: number, title = ''): Uint8Array {
  const file = new Uint8Array(84 + 50 * facets);
  file.set(new TextEncoder().encode(title));
  new DataView(file.buffer).setUint32(80, facets, true);
  return file;
}

const svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0"/></svg>';
const pdf = '%PDF-1.7\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\nstartxref\n9\n%%EOF\n';
const dxf = '  0\r\nSECTION\r\n  2\r\nHEADER\r\n  0\r\nENDSEC\r\n  0\r\nEOF\r\n';
const cutOff = 'is cut off before its end: send it again.';

describe('fileKind, real files', () => {
  test.each([
    ['step/cube-10mm.stp', 'step'],
    ['step/conical-surface.step', 'step'],
    // An open microscope's printed part, ASCII STL longer than the head that is looked at.
    ['real/lens_tool.stl', 'stl'],
    ['real/rover_master_excerpt.csv', 'text'],
    ['real/README.md', 'text'],
  ])('%s is %s', (path, kind) => {
    expect(kindOf(checkFile(path))).toBe(kind);
  });

  test.each(['png', 'jpeg', 'webp', 'gif'] as const)('a %s written by an image library', async (kind) => {
    const image = sharp({ create: { width: 9, height: 7, channels: 3, background: '#336699' } });
    const file = await image.toFormat(kind).toBuffer();
    expect(read(file)).toEqual({ kind, mediaType: `image/${kind}`, safeInline: true, complaint: null });
  });
});

describe('fileKind', () => {
  test.each([
    ['a PDF', bytes(pdf), 'pdf'],
    ['an SVG', bytes(svg), 'svg'],
    [
      'an SVG behind a mark, declaration, comment and document type',
      bytes(
        [0xef, 0xbb, 0xbf],
        '<?xml version="1.0"?>\n<!-- made by hand <b> -->\n<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd" [\n<!ENTITY ns "]>">\n]>\n',
        svg,
      ),
      'svg',
    ],
    ['an SVG with a prefix', bytes("<d:svg a='>' xmlns:d='http://www.w3.org/2000/svg'></d:svg>"), 'svg'],
    ['an SVG of one tag', bytes('\n <svg xmlns="http://www.w3.org/2000/svg"/>'), 'svg'],
    ['an svg without the namespace', bytes('<svg><path/></svg>'), 'text'],
    ['some other XML', bytes('<?xml version="1.0"?><part id="1"/>'), 'text'],
    ['a STEP file', bytes('ISO-10303-21;\nHEADER;\nENDSEC;\nEND-ISO-10303-21;\n'), 'step'],
    ['a STEP file behind comments', bytes('/* a */ /* b */\nISO-10303-21;\nEND-ISO-10303-21;'), 'step'],
    ['an ASCII STL', bytes('solid x\n facet normal 0 0 1\n endfacet\nendsolid x\n'), 'stl'],
    ['a binary STL', binaryStl(2), 'stl'],
    ['a binary STL that says solid', binaryStl(3, 'solid part'), 'stl'],
    ['a binary STL longer than the head', binaryStl(5000), 'stl'],
    ['a DXF', bytes(dxf), 'dxf'],
    ['a DXF behind comments', bytes('999\ncomment\n999\nSECTION\n0\nSECTION\n2\nENTITIES\n0\nEOF'), 'dxf'],
    ['a binary DXF', bytes('AutoCAD Binary DXF\r\n', [0x1a, 0], [0], 'SECTION', [0], 'EOF', [0]), 'dxf'],
    ['a HEIC', bytes([0, 0, 0, 24], 'ftypheic', [0, 0, 0, 0], 'mif1heic', [0, 0, 0, 0]), 'heic'],
    [
      'a HEIC of the general brand',
      bytes([0, 0, 0, 24], 'ftypmif1', [0, 0, 0, 0], 'miafheic', [0, 0]),
      'heic',
    ],
    ['a film', bytes([0, 0, 0, 20], 'ftypisom', [0, 0, 0, 0], 'isom', [0, 0]), 'unknown'],
    [
      'a picture of another coding',
      bytes([0, 0, 0, 24], 'ftypavif', [0, 0, 0, 0], 'mif1miaf', [0]),
      'unknown',
    ],
    ['a ZIP', bytes('PK', [3, 4, 20, 0], 'x'), 'zip'],
    ['an empty ZIP', bytes('PK', [5, 6], new Array(18).fill(0)), 'zip'],
    ['plain text', bytes('Grind the bore to 25 H7.\r\n\tThen wipe.\n'), 'text'],
    ['text in UTF-8', bytes('Träger – 25 °C, 螺栓'), 'text'],
    ['text in a Latin code', bytes('Tr', [0xe4], 'ger 25 ', [0xb0], 'C'), 'text'],
    ['text in UTF-16', bytes([0xff, 0xfe], [0x41, 0, 0x42, 0]), 'text'],
    ['text that only speaks of a section', bytes('0\nSECTION of the wall\n'), 'text'],
    ['text that begins with solid', bytes('solid oak is best'), 'text'],
    ['a program', bytes([0x7f], 'ELF', [2, 1, 1, 0]), 'unknown'],
    ['random bytes', bytes([200, 201, 150, 151, 152, 153, 0, 1]), 'unknown'],
    ['one zero byte', bytes([0]), 'unknown'],
    ['an STL that is a byte short', binaryStl(2).subarray(0, -1), 'unknown'],
  ])('%s', (_, file, kind) => {
    expect(kindOf(file)).toBe(kind);
  });

  test.each([
    ['nothing', bytes(), 'unknown', 'The file is empty.'],
    ['a PDF behind something', bytes('\n', pdf), 'text', 'The file is also a PDF, which begins at byte 2'],
    ['a picture with a PDF in it', bytes([0xff, 0xd8, 0xff, 0xfe], pdf), 'jpeg', 'The file is also a PDF'],
    [
      'a PDF with an archive behind it',
      bytes(pdf, 'PK', [3, 4], 'PK', [5, 6]),
      'pdf',
      'an archive hidden behind it',
    ],
    [
      'a PNG with an archive behind it',
      bytes([0x89], 'PNG\r\n', [0x1a, 0x0a], 'IEND', 'PK', [5, 6]),
      'png',
      'an archive hidden',
    ],
    ['half a PDF', bytes('%PDF-1.7\n1 0 obj'), 'pdf', `The PDF ${cutOff}`],
    ['half a PNG', bytes([0x89], 'PNG\r\n', [0x1a, 0x0a], 'IHDR'), 'png', `The PNG ${cutOff}`],
    ['half a STEP file', bytes('ISO-10303-21;\nHEADER;'), 'step', `The STEP file ${cutOff}`],
    ['half an SVG', bytes('<svg xmlns="http://www.w3.org/2000/svg"><path'), 'svg', `The SVG ${cutOff}`],
    ['half a DXF', bytes('0\nSECTION\n2\nHEADER\n'), 'dxf', `The DXF ${cutOff}`],
    ['half an STL', bytes('solid x\n facet normal 0 0 1\n'), 'stl', `The STL ${cutOff}`],
    ['an STL of nothing', bytes('solid x\nendsolid x\n'), 'stl', 'The STL holds no facets.'],
  ])('complains of %s', (_, file, kind, complaint) => {
    const found = read(file);
    expect(found.kind).toBe(kind);
    expect(found.complaint).toContain(complaint);
  });

  test.each([
    '<!DOCTYPE html><title>x</title>',
    '  \n<HTML>',
    '<script>alert(1)</script>',
    '<!-- a --><!-- b -->\n<body onload=x>',
    '<?xml version="1.0"?><html xmlns="http://www.w3.org/1999/xhtml"><body/></html>',
    '<?xml version="1.0"?><x:html xmlns:x="http://www.w3.org/1999/xhtml"/>',
    '<!DOCTYPE svg [<!ENTITY a "b">]><html>',
    '<iframe src=x>',
    '<img src=x onerror=y>',
    '<!-- never ended',
    '\ufeff<p>hello',
  ])('refuses the web page %j', (text) => {
    expect(read(bytes(text))).toEqual({
      kind: 'html',
      mediaType: 'application/octet-stream',
      safeInline: false,
      complaint: 'This is a web page: it is not taken, because it could act inside ours.',
    });
  });

  test('shows inside a page only what cannot act there', () => {
    const inline = (file: Uint8Array) => read(file).safeInline;
    expect(inline(bytes(pdf))).toBe(true);
    expect(inline(bytes('words'))).toBe(true);
    expect(inline(bytes(svg))).toBe(false);
    expect(inline(bytes('PK', [3, 4]))).toBe(false);
    expect(inline(bytes([0]))).toBe(false);
  });

  test('needs no tail for a file that the head holds whole, and does without one for a longer file', () => {
    expect(fileKind({ head: bytes('%PDF-1.7'), size: 8 }).complaint).toBe(`The PDF ${cutOff}`);
    expect(fileKind({ head: bytes('%PDF-1.7'), size: 9_000_000 }).complaint).toBeNull();
  });

  test('a character torn at the end of the head is no fault', () => {
    const file = bytes('ä'.repeat(headBytes));
    expect(kindOf(file.subarray(0, headBytes * 2))).toBe('text');
    expect(fileKind({ head: bytes('x', 'ä'.repeat(9)).subarray(0, 10), size: 19 }).kind).toBe('text');
  });

  test('text that ends in something else is refused', () => {
    const file = bytes('a'.repeat(headBytes + 10), [0, 1, 2]);
    expect(kindOf(file)).toBe('text: The text ends in bytes that are no text.');
  });

  test.each([
    ['comments of STEP', '/* */ '.repeat(10_000), 'text'],
    ['comments of XML', '<!-- -->'.repeat(8000), 'text'],
    ['comments of DXF', '999\nx\n'.repeat(9000), 'text'],
    ['a document type without end', '<!DOCTYPE x ['.padEnd(60_000, '"a" '), 'text'],
  ])(
    'gets through %s in one go, where a pattern that tries every way would never come back',
    (_, text, kind) => {
      expect(kindOf(bytes(text))).toBe(kind);
    },
  );

  test('never throws, and never calls safe what it does not know', () => {
    const starts = [
      '',
      '%PDF-',
      '<svg',
      '<!--',
      '<?',
      'solid ',
      'ISO-10303-21;',
      '0\nSECTION\n',
      '\u0000\u0000\u0000\u0018ftyp',
    ];
    fc.assert(
      fc.property(fc.constantFrom(...starts), fc.uint8Array({ maxLength: 300 }), (start, rest) => {
        const found = read(bytes(start, [...rest]));
        if (found.kind === 'unknown' || found.kind === 'html') expect(found.safeInline).toBe(false);
        expect(found.complaint ?? 'none').not.toBe('');
      }),
      { seed: 61, numRuns: 500 },
    );
  });
});
