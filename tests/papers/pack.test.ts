import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { buffer } from 'node:stream/consumers';
import fc from 'fast-check';
import jsQR from 'jsqr';
import { describe, expect, it, onTestFinished } from 'vitest';
import { limitsRow } from '../../src/drawings/index.ts';
import { distinctNames, packStream, sumsText } from '../../src/papers/pack.ts';
import { qrBars } from '../../src/papers/qr.ts';
import { routeCardPdf } from '../../src/papers/route-card.ts';
import { filesOf } from '../support/zip.ts';

describe('the names in a pack', () => {
  it('differ in more than capitals', () => {
    expect(distinctNames(['a.pdf', 'A.pdf', 'a.pdf', 'b'])).toEqual(['a.pdf', 'A (2).pdf', 'a (3).pdf', 'b']);
    expect(distinctNames(['Route-Card.pdf'], ['route-card.pdf'])).toEqual(['Route-Card (2).pdf']);
  });

  it('are all different, whatever they were', () => {
    const name = fc.stringMatching(/^[aAbB]{1,2}( \(2\))?(\.[pP]df)?$/);
    fc.assert(
      fc.property(fc.array(name, { maxLength: 30 }), (names) => {
        const free = distinctNames(names).map((one) => one.toLowerCase());
        expect(new Set(free).size).toBe(names.length);
      }),
    );
  });
});

describe('a pack', () => {
  it('holds what went into it, with sums that fit', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'farwright-pack-'));
    onTestFinished(() => rmSync(folder, { recursive: true }));
    const path = join(folder, 'kept');
    const content = Buffer.from('solid\n'.repeat(50_000));
    writeFileSync(path, content);
    const file = {
      sha256: 'f'.repeat(64),
      bytes: content.length,
      path,
      addedAt: new Date('2026-11-01T10:00:00Z'),
    };
    const zip = await buffer(
      packStream({
        folder: 'job 1',
        card: Buffer.from('%PDF-card'),
        files: [
          { ...file, name: 'Zahnrad ž.stl' },
          { ...file, name: 'zahnrad ž.STL' },
        ],
        at: new Date('2026-11-25T12:00:00Z'),
      }),
    );
    const files = await filesOf(zip);
    expect([...files.keys()]).toEqual([
      'job 1/route-card.pdf',
      'job 1/Zahnrad ž.stl',
      'job 1/zahnrad ž (2).STL',
      'job 1/SHA256SUMS.txt',
    ]);
    expect(files.get('job 1/Zahnrad ž.stl')).toEqual(content);
    const sums = files.get('job 1/SHA256SUMS.txt')!.toString().split('\n');
    expect(sums[1]).toBe(`${'f'.repeat(64)}  Zahnrad ž.stl`);
    expect(sums.at(-1)).toBe('');
  });

  it('breaks off when a file is gone, rather than ending as if whole', async () => {
    const stream = packStream({
      folder: 'job 1',
      card: Buffer.from('%PDF'),
      files: [{ name: 'a', sha256: '0'.repeat(64), bytes: 4, path: '/nowhere/at/all', addedAt: new Date(0) }],
      at: new Date('2026-11-25T12:00:00Z'),
    });
    await expect(buffer(stream)).rejects.toThrow();
  });

  // The form that checking programs read (GNU coreutils' manual, "md5sum invocation", which sha256sum shares).
  it('has sums with two spaces and one line for each file', () => {
    expect(sumsText([{ name: 'a b.pdf', sha256: 'ab' }])).toBe('ab  a b.pdf\n');
  });
});

describe('a code', () => {
  /** As a camera sees it: dark and light points, so many to a module. */
  function seen(text: string, scale: number) {
    const { size, bars } = qrBars(text);
    const side = size * scale;
    const points = new Uint8ClampedArray(side * side * 4).fill(255);
    for (const { x, y, width } of bars) {
      for (let row = y * scale; row < (y + 1) * scale; row++) {
        for (let column = x * scale; column < (x + width) * scale; column++) {
          points.fill(0, (row * side + column) * 4, (row * side + column) * 4 + 3);
        }
      }
    }
    return { points, side };
  }

  // Read back by another library than the one that writes it.
  it('says the address it was made of', () => {
    for (const address of [
      'http://127.0.0.1:8420/packs/59-44-20261125-9b946f54cb30',
      'https://build.example.org/labels/jobs/114',
    ]) {
      const { points, side } = seen(address, 4);
      expect(jsQR.default(points, side, side)?.data).toBe(address);
    }
  });

  it('keeps a quiet zone of four modules', () => {
    const { size, bars } = qrBars('https://example.org');
    expect(Math.min(...bars.map(({ x }) => x))).toBe(4);
    expect(Math.max(...bars.map(({ x, width }) => x + width))).toBe(size - 4);
    expect(Math.min(...bars.map(({ y }) => y))).toBe(4);
  });
});

describe('a route card of many lines', () => {
  it('reads its letters from their files once, whatever the number of cells', () => {
    const rows = Array.from({ length: 60 }, (_, index) =>
      limitsRow(
        { id: index, position: index + 1, label: '', text: '12.5 H7', isKey: index % 5 === 0 },
        'm',
        'mm',
      ),
    );
    const card = {
      build: 'Orrery',
      jobNumber: 1,
      title: 'Pin',
      part: 'T-1 Pin',
      letter: 'A',
      state: 'released',
      stop: '',
      maker: '',
      quantity: '1 piece',
      claimed: '',
      needBy: '',
      needByWhy: '',
      cells: [],
      firstPiece: false,
      notes: [],
      limits: { rows, unit: 'mm' as const, note: '' },
      cautions: [],
      closing: '',
      queries: [],
      postTo: null,
      files: [],
      link: 'http://localhost/packs/1',
      printedOn: '25 Nov 2026',
    };
    const sheet = routeCardPdf(card, { size: 'A4', at: new Date('2026-11-25T12:00:00Z') });
    // One that the document begins with by itself, and the two of ours.
    expect(Reflect.get(sheet, '_fontCount')).toBeLessThanOrEqual(3);
  });
});
