import { randomUUID } from 'node:crypto';
import { readFile, rename, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { READER_VERSION } from '../models/index.ts';
import { Workers } from '../platform/workers.ts';
import { drawPictureModule } from './draw-picture.ts';
import type { Shapes } from './ports.ts';

export interface Picture {
  mediaType: 'image/png' | 'image/svg+xml';
  content: Uint8Array;
}

const SECONDS = 20;

/** Small pictures of models and flat patterns: drawn in a thread when first asked for, then kept beside the shape. */
export class Pictures {
  readonly #shapes: Shapes;
  readonly #workers = new Workers({ threads: 1, waiting: 60, megabytes: 512 });
  readonly #drawing = new Map<string, Promise<Picture>>();

  constructor(shapes: Shapes) {
    this.#shapes = shapes;
  }

  /** @throws Unreadable  a kind without a shape, or a file that has none */
  async of(file: { sha256: string; fileKind: string }, onDark: boolean): Promise<Picture> {
    const dark = onDark && file.fileKind !== 'dxf';
    const key = `${file.sha256}-${dark ? 'dark' : 'light'}`;
    let drawing = this.#drawing.get(key);
    if (!drawing) {
      drawing = this.#draw(file, dark).finally(() => this.#drawing.delete(key));
      this.#drawing.set(key, drawing);
    }
    return drawing;
  }

  async close(): Promise<void> {
    await this.#workers.close();
  }

  async #draw(file: { sha256: string; fileKind: string }, onDark: boolean): Promise<Picture> {
    const shape = await this.#shapes.shapePath(file);
    const mediaType = file.fileKind === 'dxf' ? 'image/svg+xml' : 'image/png';
    const kept = join(dirname(shape), `${onDark ? 'dark' : 'light'}-${file.sha256}-${READER_VERSION}`);
    const there = await readFile(kept).catch(() => null);
    if (there) return { mediaType, content: there };
    const picture = await this.#workers.run<Picture>({
      module: drawPictureModule,
      name: 'drawPicture',
      input: { path: shape, onDark },
      seconds: SECONDS,
    });
    const half = `${kept}-${randomUUID()}`;
    await writeFile(half, picture.content);
    await rename(half, kept);
    return picture;
  }
}
