import type { FileFacts, ReadableKind, Shape } from '../facts.ts';

/** Facts of a file of a known kind. Libraries are loaded with the first file that needs them. @throws Unreadable */
export async function readFacts(kind: ReadableKind, bytes: Uint8Array): Promise<FileFacts> {
  switch (kind) {
    case 'step':
      return (await import('./step.ts')).stepFacts(bytes);
    case 'stl':
      return (await import('./stl.ts')).stlFacts(bytes);
    case 'dxf':
      return (await import('./dxf.ts')).dxfFacts(bytes);
    case 'pdf':
      return (await import('./pdf.ts')).pdfFacts(bytes);
    default:
      return (await import('./picture.ts')).pictureFacts(bytes);
  }
}

/** Triangles of a model, contours of a flat pattern. @throws Unreadable */
export async function readShape(kind: 'step' | 'stl' | 'dxf', bytes: Uint8Array): Promise<Shape> {
  switch (kind) {
    case 'step':
      return (await import('./step.ts')).stepShape(bytes);
    case 'stl':
      return (await import('./stl.ts')).stlShape(bytes);
    default:
      return (await import('./dxf.ts')).dxfShape(bytes);
  }
}
