import { describe, expect, test } from 'vitest';
import type { DocumentKind } from '../../src/drawings/document-kind.ts';
import { acceptedFileKinds, acceptsAs } from '../../src/drawings/file-kind-accepts.ts';
import type { FileKind } from '../../src/models/index.ts';
import { safeFileName } from '../../src/models/index.ts';

describe('acceptsAs', () => {
  const every: FileKind[] = [
    'pdf',
    'svg',
    'step',
    'stl',
    'dxf',
    'png',
    'jpeg',
    'webp',
    'gif',
    'heic',
    'text',
    'zip',
    'html',
    'unknown',
  ];

  test.each<[DocumentKind, FileKind[]]>([
    ['drawing', ['pdf', 'svg', 'dxf', 'png', 'jpeg']],
    ['model', ['step', 'stl']],
    ['flat pattern', ['svg', 'dxf']],
    ['photo', ['png', 'jpeg', 'webp', 'heic']],
    ['note', ['pdf', 'text']],
  ])('takes as %s just %s', (document, kinds) => {
    const taken = every.filter((kind) => acceptsAs(document, { kind, complaint: null }).ok);
    expect(taken.sort()).toEqual(kinds.sort());
    expect([...acceptedFileKinds[document]].sort()).toEqual(kinds.sort());
  });

  test('says what was found and what was expected', () => {
    expect(acceptsAs('model', { kind: 'pdf', complaint: null })).toEqual({
      ok: false,
      code: 'wrong-file-kind',
      sentence: 'This is a PDF; a model is a STEP file or an STL.',
    });
    expect(acceptsAs('drawing', { kind: 'zip', complaint: null })).toMatchObject({
      sentence: 'This is a ZIP archive; a drawing is a PDF, an SVG, a DXF, a PNG picture or a JPEG picture.',
    });
    expect(acceptsAs('photo', { kind: 'unknown', complaint: null })).toMatchObject({
      sentence:
        'This is a file of no kind known here; a photo is a JPEG picture, a PNG picture, a WebP picture or a HEIC picture.',
    });
  });

  test('a complaint refuses a file whatever its kind', () => {
    expect(acceptsAs('drawing', { kind: 'pdf', complaint: 'The PDF is cut off.' })).toEqual({
      ok: false,
      code: 'damaged-file',
      sentence: 'The PDF is cut off.',
    });
  });
});

describe('safeFileName', () => {
  test.each([
    ['Gear 32.pdf', 'Gear 32.pdf'],
    ['C:\\drawings\\..\\Gear  32.PDF', 'Gear 32.PDF'],
    ['../../etc/passwd', 'passwd'],
    ['Träger – Ø12 螺栓.step', 'Träger – Ø12 螺栓.step'],
    ['a\u0000b\nc\u202egpj.exe', 'abcgpj.exe'],
    ['a\u200bb\ufeff.txt', 'ab.txt'],
    ['1/4" x 2".dxf', '4_ x 2_.dxf'],
    ['what? <this> 100%.txt', 'what_ _this_ 100_.txt'],
    ['.htaccess', 'htaccess'],
    ['...', 'file'],
    ['', 'file'],
    ['folder/', 'file'],
    [' \u202e ', 'file'],
    ['name. . ', 'name'],
    ['con.txt', '_con.txt'],
    ['COM1', '_COM1'],
    ['console.txt', 'console.txt'],
    ['e\u0301.txt', 'é.txt'],
    ['lone \ud800 half.txt', 'lone half.txt'],
  ])('%j becomes %j', (name, expected) => {
    expect(safeFileName(name)).toBe(expected);
  });

  test('cuts a long name to 120 characters and keeps its ending', () => {
    expect(safeFileName(`${'a'.repeat(200)}.step`)).toBe(`${'a'.repeat(115)}.step`);
    expect(safeFileName(`a.${'b'.repeat(200)}`)).toHaveLength(120);
    expect(safeFileName('a'.repeat(120))).toHaveLength(120);
    expect([...safeFileName(`${'😀'.repeat(200)}.pdf`)].slice(-5).join('')).toBe('😀.pdf');
    expect(new TextEncoder().encode(safeFileName(`${'螺'.repeat(119)}.x`)).length).toBeLessThanOrEqual(240);
  });

  test('takes the name to stand in where nothing is left', () => {
    expect(safeFileName('///', 'drawing.pdf')).toBe('drawing.pdf');
  });
});
