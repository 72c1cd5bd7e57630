import type { FileKind } from './file-kind.ts';

/** What a file is by its content, in words that stand in a sentence. */
export const KIND_WORDS: Readonly<Record<FileKind, string>> = {
  pdf: 'a PDF',
  svg: 'an SVG',
  step: 'a STEP file',
  stl: 'an STL',
  dxf: 'a DXF',
  png: 'a PNG picture',
  jpeg: 'a JPEG picture',
  webp: 'a WebP picture',
  gif: 'a GIF picture',
  heic: 'a HEIC picture',
  text: 'plain text',
  zip: 'a ZIP archive',
  html: 'a web page',
  unknown: 'a file of no kind known here',
};
