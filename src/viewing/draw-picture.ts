import { readFile } from 'node:fs/promises';
import { contoursSvg, ON_DARK, ON_LIGHT, renderModel, shapeFrom } from '../models/index.ts';

export const drawPictureModule = import.meta.url;

export const PICTURE = { width: 480, height: 360 };

/**
 * A small picture of a kept shape: a model as PNG on nothing, in tones for a light or a dark sheet; a flat pattern as SVG
 * that follows the sheet by itself. Runs in a thread.
 *
 * @throws Unreadable  the bytes at the path are no shape
 */
export async function drawPicture({
  path,
  onDark,
}: {
  path: string;
  onDark: boolean;
}): Promise<{ mediaType: 'image/png' | 'image/svg+xml'; content: Uint8Array }> {
  const shape = shapeFrom(await readFile(path));
  if (shape.kind === 'contours') {
    return { mediaType: 'image/svg+xml', content: new TextEncoder().encode(contoursSvg(shape)) };
  }
  const { width, height } = PICTURE;
  const pixels = renderModel(shape.positions, PICTURE, onDark ? ON_DARK : ON_LIGHT);
  // Loaded in the thread that draws: the server itself has no use for it.
  const { default: sharp } = await import('sharp');
  const png = await sharp(pixels, { raw: { width, height, channels: 4 } })
    .png({ palette: true })
    .toBuffer();
  return { mediaType: 'image/png', content: new Uint8Array(png) };
}
