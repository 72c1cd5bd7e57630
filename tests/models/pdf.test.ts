import fc from 'fast-check';
import { degrees, PDFDocument, PDFName, PDFNumber } from 'pdf-lib';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { Unreadable } from '../../src/models/facts.ts';
import { pdfFacts } from '../../src/models/read/pdf.ts';
import { pictureFacts } from '../../src/models/read/picture.ts';
import { aPdf } from '../support/drawings.ts';

const perPoint = 25.4 / 72;

describe('pdfFacts', () => {
  it('tells sheets as they are shown: cut, turned, in their own unit', async () => {
    const document = await PDFDocument.create();
    document.addPage([297 / perPoint, 210 / perPoint]);
    document.addPage([210 / perPoint, 297 / perPoint]).setRotation(degrees(90));
    const large = document.addPage([594 / perPoint / 2, 841 / perPoint / 2]);
    large.node.set(PDFName.of('UserUnit'), PDFNumber.of(2));
    document.addPage([1000, 1000]).setCropBox(10, 10, 100 / perPoint, 50 / perPoint);
    const { sheets, format, size } = await pdfFacts(await document.save());
    expect([format, size]).toEqual(['PDF', null]);
    expect(sheets).toEqual({
      pages: 4,
      sizes: [
        { width: 297, height: 210, name: 'A4', pages: 2 },
        { width: 594, height: 841, name: 'A1', pages: 1 },
        { width: 100, height: 50, name: null, pages: 1 },
      ],
    });
  });

  it('reads the PDFs of other tests, and refuses what is none', async () => {
    expect((await pdfFacts(aPdf('x'))).sheets).toMatchObject({
      pages: 1,
      sizes: [{ width: 148.2, height: 70.6 }],
    });
    await expect(pdfFacts(Buffer.from('<html>%PDF'))).rejects.toThrow(new Unreadable('This is no PDF.'));
    await expect(pdfFacts(Buffer.from('%PDF-1.7\n%%EOF'))).rejects.toThrow(Unreadable);
    const whole = aPdf('whole');
    await fc.assert(
      fc.asyncProperty(fc.nat(whole.length), fc.uint8Array({ maxLength: 20 }), async (at, bytes) => {
        const hurt = Buffer.from(whole);
        hurt.set(bytes.subarray(0, whole.length - at), at);
        await pdfFacts(hurt).catch((fault: unknown) => expect(fault).toBeInstanceOf(Unreadable));
      }),
      { numRuns: 60 },
    );
  });
});

describe('pictureFacts', () => {
  it('tells pixels of a picture held upright', async () => {
    const picture = sharp({ create: { width: 40, height: 30, channels: 3, background: '#888' } });
    const turned = await picture.clone().withMetadata({ orientation: 6 }).jpeg().toBuffer();
    expect(await pictureFacts(turned)).toMatchObject({ format: 'JPEG', picture: { width: 30, height: 40 } });
    const png = await picture.png().toBuffer();
    expect(await pictureFacts(png)).toMatchObject({ format: 'PNG', picture: { width: 40, height: 30 } });
    await expect(pictureFacts(Buffer.from('nothing'))).rejects.toThrow(Unreadable);
  });
});
