import { getDocument } from 'pdfjs-dist/legacy/build/pdf.mjs';

/** The text of a PDF's pages, with single blanks between what is set apart. */
export async function textOfPdf(content: Buffer): Promise<string> {
  const loading = getDocument({ data: new Uint8Array(content), verbosity: 0 });
  const document = await loading.promise;
  const pages: string[] = [];
  for (let number = 1; number <= document.numPages; number++) {
    const { items } = await (await document.getPage(number)).getTextContent();
    pages.push(items.map((item) => ('str' in item ? item.str : '')).join(' '));
  }
  await loading.destroy();
  return pages.join('\n').replace(/\s+/g, ' ');
}
