import type { Shape } from '../models/index.ts';

interface KeptFile {
  sha256: string;
  fileKind: string;
}

/** Triangles and contours of kept files, read in the guarded process and kept. Both throw Unreadable. */
export interface Shapes {
  shapePath(file: KeptFile): Promise<string>;
  shape(file: KeptFile): Promise<Shape>;
}
