const mostPixels = 120_000_000;
/** High enough that a thin line keeps its edges. */
const jpegQuality = 95;

/**
 * A PNG or JPEG written anew with all its pixels, turned upright, without place, camera, earlier versions or anything
 * else that came with it.
 *
 * @returns null when it can't be read to its end
 */
export async function barePicture(path: string): Promise<{ bytes: Buffer; format: 'png' | 'jpeg' } | null> {
  const { default: sharp } = await import('sharp');
  try {
    const picture = sharp(path, { limitInputPixels: mostPixels, failOn: 'error' }).rotate();
    const { format } = await picture.metadata();
    if (format !== 'png' && format !== 'jpeg') return null;
    const written =
      format === 'png'
        ? picture.png({ compressionLevel: 9 })
        : picture.jpeg({ quality: jpegQuality, chromaSubsampling: '4:4:4' });
    return { bytes: await written.toBuffer(), format };
  } catch {
    return null;
  }
}
