import type { Act } from '../platform/acts.ts';
import type { FileStore } from '../platform/files.ts';
import type { Upload } from '../platform/http/upload.ts';
import { type SmallPhoto, smallPhoto } from '../platform/photo.ts';

export const MOST_PHOTOS = 6;
export const PHOTO_LIMIT_BYTES = 25 * 1024 * 1024;

/**
 * The pictures of an upload's field, made small: done before the act, which is not to wait for it.
 *
 * @returns photos, or the sentence that says which file is none, or that there are too many
 */
export async function photosOf(
  upload: Upload,
  field = 'photos',
  most = MOST_PHOTOS,
): Promise<{ photos: SmallPhoto[]; error: string | null }> {
  const files = upload.files.filter((file) => file.field === field);
  const told = upload.errors[field] ?? null;
  if (told) return { photos: [], error: told };
  if (files.length > most) {
    return { photos: [], error: `At most ${most} photos at once; these are ${files.length}.` };
  }
  const photos: SmallPhoto[] = [];
  for (const file of files) {
    const photo = await smallPhoto(file.path);
    if (!photo) {
      return {
        photos: [],
        error: `${file.filename.slice(0, 80)} cannot be read as a picture: send a JPEG or PNG.`,
      };
    }
    photos.push(photo);
  }
  return { photos, error: null };
}

/** What a photo belongs to. */
export type PhotoOwner =
  | { reportId: number }
  | { problemId: number }
  | { checkId: number }
  | { jobId: number };

/** Keeps pictures and writes their rows, the content first: a row never names a file that is not there. */
export async function keepPhotos(
  act: Act,
  files: FileStore,
  photos: readonly SmallPhoto[],
  owner: PhotoOwner,
): Promise<void> {
  for (const { jpeg, width, height } of photos) {
    const sha256 = await files.keepBytes(jpeg);
    await act.tx.photo.create({
      data: {
        ...owner,
        sha256,
        bytes: jpeg.length,
        width,
        height,
        addedAt: act.at,
        addedById: act.actor.personId,
      },
    });
  }
}
