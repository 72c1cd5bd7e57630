import { type FileFacts, type Format, factsOf, Unreadable } from '../facts.ts';

const formats: Readonly<Record<string, Format>> = { png: 'PNG', jpeg: 'JPEG', webp: 'WebP' };

/** The pixels of a picture as it is held upright. @throws Unreadable */
export async function pictureFacts(bytes: Uint8Array): Promise<FileFacts> {
  const { default: sharp } = await import('sharp');
  // An empty one is refused by a throw, others by a promise.
  const read = async () => sharp(bytes).metadata();
  const { format, width, height, orientation } = await read().catch(() => {
    throw new Unreadable('The picture can’t be read.');
  });
  const known = formats[format ?? ''];
  if (!known || !width || !height) throw new Unreadable('The picture can’t be read.');
  const lying = (orientation ?? 1) >= 5;
  return factsOf(known, { picture: lying ? { width: height, height: width } : { width, height } });
}
