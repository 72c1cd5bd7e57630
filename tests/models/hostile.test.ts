import { createHash } from 'node:crypto';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import sharp from 'sharp';
import { describe, expect, it, onTestFinished } from 'vitest';
import { FileReader, type ReadableKind, Unreadable } from '../../src/models/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { aDraft, aPdf } from '../support/drawings.ts';
import { aCube, aDxf } from '../support/models.ts';

const check = (name: string) => readFileSync(new URL(`../checks/${name}`, import.meta.url));

/** A STEP file of very many entities that mean nothing together. */
function manyEntities(count: number): Buffer {
  const lines = ["ISO-10303-21;\nHEADER;\nFILE_SCHEMA(('X'));\nENDSEC;\nDATA;\n"];
  for (let at = 1; at <= count; at++) lines.push(`#${at}=CARTESIAN_POINT('',(0.,0.,0.));\n`);
  return Buffer.from(`${lines.join('')}ENDSEC;\nEND-ISO-10303-21;\n`);
}

function kept({ context }: TestApp): string[] {
  return readdirSync(join(context.settings.dataDir, 'files'), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map(({ name }) => name);
}

describe('hostile files', () => {
  it('a STEP of a million entities is refused with a sentence while others are answered', async () => {
    const app = await startApp();
    const before = kept(app);
    const { agent } = app.visitor();
    const million = agent
      .post('/api/v1/calculate/model')
      .attach('file', manyEntities(1_000_000), { filename: 'many.step' });
    let done = false;
    const answer = million.then((reply) => {
      done = true;
      return reply;
    });
    const waits: number[] = [];
    while (!done) {
      const begun = performance.now();
      expect((await agent.get('/health')).status).toBe(200);
      waits.push(performance.now() - begun);
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
    const { status, body } = await answer;
    expect([status, body.detail]).toEqual([
      422,
      'The STEP file has 1,000,000 entities; at most 600,000 are read.',
    ]);
    waits.sort((a, b) => a - b);
    expect(waits.length).toBeGreaterThan(3);
    expect(waits[Math.floor(waits.length / 2)]).toBeLessThan(150);
    expect(kept(app)).toEqual(before);
  }, 120_000);

  it('what is refused as a document leaves nothing behind', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app);
    const before = kept(app);
    const lead = await app.as('lead');
    const zip = Buffer.concat([Buffer.from('PK\x03\x04'), Buffer.alloc(400)]);
    for (const [kind, filename, content, words] of [
      ['model', 'bomb.step', zip, 'This is a ZIP archive; a model is'],
      ['model', 'claim.stl', Buffer.alloc(200, 0xff), 'a model is'],
      ['drawing', 'page.pdf', Buffer.from('<!doctype html><script>1</script>'), 'This is a web page'],
      [
        'drawing',
        'both.png',
        Buffer.concat([Buffer.from('\x89PNG\r\n\x1a\n', 'latin1'), aPdf('x')]),
        'also a PDF',
      ],
      ['model', 'torn.stp', check('step/cube-10mm.stp').subarray(0, 5000), 'cut off before its end'],
      ['drawing', 'torn.jpg', Buffer.from('\xff\xd8\xff\xe0rest', 'latin1'), 'This picture is damaged'],
    ] as const) {
      const { status, text } = await lead.upload(`/revisions/${revisionId}/documents`, { kind }, [
        { name: 'file', filename, content },
      ]);
      expect([filename, status]).toEqual([filename, 422]);
      expect(text).toContain(words);
    }
    expect(kept(app)).toEqual(before);
  });

  it('names that are paths, turn the text or never end are made harmless', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app);
    const lead = await app.as('lead');
    const names = [
      '../../../etc/passwd.stl',
      '..\\..\\boot.stl',
      '...',
      `${'n'.repeat(300)}.stl`,
      'gnp.\u202elts',
      '<b>.stl',
    ];
    for (const [at, filename] of names.entries()) {
      const { status } = await lead.upload(`/revisions/${revisionId}/documents`, { kind: 'model' }, [
        { name: 'file', filename, content: aCube(at + 1) },
      ]);
      expect([filename, status]).toEqual([filename, 303]);
    }
    const rows = await app.context.db.read.document.findMany({ where: { revisionId, kind: 'model' } });
    expect(rows).toHaveLength(names.length);
    for (const { name } of rows) {
      expect(name).not.toMatch(/[/\\<>\u202e]|^\.|^$/);
      expect(name.length).toBeLessThanOrEqual(120);
    }
  });

  it('an SVG with a script is never a page of ours', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app);
    const lead = await app.as('lead');
    const svg = Buffer.from(
      '<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"><script>alert(2)</script></svg>',
    );
    await lead.upload(`/revisions/${revisionId}/documents`, { kind: 'drawing' }, [
      { name: 'file', filename: 'a.svg', content: svg },
    ]);
    const { id } = await app.context.db.read.document.findFirstOrThrow({
      where: { revisionId, name: 'a.svg' },
    });
    const { headers } = await lead.get(`/documents/${id}`);
    expect(headers['content-disposition']).toMatch(/^attachment/);
    expect(headers['content-security-policy']).toContain("default-src 'none'");
    expect(headers['content-security-policy']).toContain('sandbox');
    expect(headers['x-content-type-options']).toBe('nosniff');
  });

  it('a drawing that is a picture keeps its pixels and loses place and camera', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app);
    const lead = await app.as('lead');
    const pixels = Buffer.alloc(60 * 40 * 3).map((_, at) => (at * 7) % 256);
    const raw = () => sharp(pixels, { raw: { width: 60, height: 40, channels: 3 } });
    const exif = {
      IFD0: { Make: 'SecretCamera', Model: 'SecretModel' },
      IFD3: { GPSLatitude: '51/1 30/1 0/1', GPSLatitudeRef: 'N' },
    };
    for (const [filename, content] of [
      ['plan.jpg', await raw().withExif(exif).withMetadata({ orientation: 6 }).jpeg().toBuffer()],
      ['plan.png', await raw().withExif(exif).png().toBuffer()],
    ] as const) {
      expect((await sharp(content).metadata()).exif).toBeDefined();
      await lead.upload(`/revisions/${revisionId}/documents`, { kind: 'drawing' }, [
        { name: 'file', filename, content },
      ]);
      const row = await app.context.db.read.document.findFirstOrThrow({
        where: { revisionId, name: filename },
      });
      const bytes = readFileSync(app.context.files.pathOf(row.sha256));
      expect(row.bytes).toBe(bytes.length);
      expect(bytes.includes('Secret')).toBe(false);
      const { exif: left, xmp, iptc, orientation, width, height } = await sharp(bytes).metadata();
      expect([left, xmp, iptc, orientation]).toEqual([undefined, undefined, undefined, undefined]);
      expect([width, height]).toEqual(filename === 'plan.jpg' ? [40, 60] : [60, 40]);
      if (filename === 'plan.png') {
        expect((await sharp(bytes).raw().toBuffer()).equals(pixels)).toBe(true);
      }
      // What came is not kept beside it.
      expect(kept(app)).not.toContain(createHash('sha256').update(content).digest('hex'));
    }
  });

  it('brackets in brackets without end are told as unreadable, and the next STEP file is read', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'farwright-hostile-'));
    const reader = new FileReader();
    onTestFinished(async () => {
      await reader.close();
      rmSync(folder, { recursive: true, force: true });
    });
    const path = join(folder, 'file');
    const head =
      "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('','',(''),(''),'','','');\nFILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\nENDSEC;\nDATA;\n";
    const deep = `#1=A(${'('.repeat(500_000)}${')'.repeat(500_000)});\nENDSEC;\nEND-ISO-10303-21;\n`;
    writeFileSync(path, head + deep);
    await expect(reader.facts(path, 'step')).rejects.toBeInstanceOf(Unreadable);
    writeFileSync(path, check('step/cube-10mm.stp'));
    expect((await reader.facts(path, 'step')).volume).toBeCloseTo(1000, 3);
  });

  it('any bytes behind any beginning are read or refused, and the reader lives on', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'farwright-hostile-'));
    const reader = new FileReader();
    onTestFinished(async () => {
      await reader.close();
      rmSync(folder, { recursive: true, force: true });
    });
    const whole: [ReadableKind, Buffer][] = [
      ['step', check('step/cube-10mm.stp')],
      ['stl', aCube(3)],
      ['dxf', aDxf([[0, 'CIRCLE', 8, '0', 10, 0, 20, 0, 40, 5]])],
      ['pdf', aPdf('x')],
      [
        'png',
        await sharp({ create: { width: 4, height: 4, channels: 3, background: '#123' } })
          .png()
          .toBuffer(),
      ],
    ];
    const path = join(folder, 'file');
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(...whole),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.uint8Array({ maxLength: 60 }),
        async ([kind, bytes], share, noise) => {
          const hurt = Buffer.from(bytes);
          const at = Math.floor(share * bytes.length);
          hurt.set(noise.subarray(0, bytes.length - at), at);
          writeFileSync(path, noise.length % 2 ? hurt : hurt.subarray(0, at));
          await reader.facts(path, kind).catch((fault: unknown) => expect(fault).toBeInstanceOf(Unreadable));
        },
      ),
      { numRuns: 60 },
    );
    writeFileSync(path, aCube(3));
    expect((await reader.facts(path, 'stl')).volume).toBeCloseTo(27, 4);
  });
});
