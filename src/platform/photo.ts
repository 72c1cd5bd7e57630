const LONGEST_SIDE = 1600;
const MOST_PIXELS = 120_000_000;

export interface SmallPhoto {
  jpeg: Buffer;
  width: number;
  height: number;
}

/**
 * A picture turned upright, made smaller and written anew as JPEG, without place, camera or anything else that came
 * with it.
 *
 * @param source  the file's place on disk, or its bytes
 * @returns       null when it can't be read as a picture
 */
export async function smallPhoto(source: string | Buffer): Promise<SmallPhoto | null> {
  try {
    // Loaded with the first picture: many a day brings none, and it is large.
    const { default: sharp } = await import('sharp');
    const { data, info } = await sharp(source, { limitInputPixels: MOST_PIXELS, failOn: 'error' })
      .rotate()
      .resize({ width: LONGEST_SIDE, height: LONGEST_SIDE, fit: 'inside', withoutEnlargement: true })
      .flatten({ background: '#ffffff' })
      .jpeg({ quality: 82, mozjpeg: true })
      .toBuffer({ resolveWithObject: true });
    return { jpeg: data, width: info.width, height: info.height };
  } catch {
    return null;
  }
}
