import { createHash } from 'node:crypto';
import { barePicture, receivedKind, safeFileName } from '../models/index.ts';
import type { FileStore } from '../platform/files.ts';
import type { UploadedFile } from '../platform/http/upload.ts';
import { smallPhoto } from '../platform/photo.ts';
import type { DocumentKind } from './document-kind.ts';
import type { NewDocument } from './documents.ts';
import { acceptsAs } from './file-kind-accepts.ts';

export type ReadDocument = { ok: true; document: NewDocument } | { ok: false; sentence: string };

/**
 * Looks into a received file: whether its content is what a document of this kind may be. A photo is turned upright,
 * made smaller and written anew, without place and camera; so is a drawing that is a picture, at its full size.
 * Everything else is kept as it came.
 */
export async function readDocument(
  file: UploadedFile,
  kind: DocumentKind,
  files: FileStore,
): Promise<ReadDocument> {
  const name = safeFileName(file.filename);
  const reading = await receivedKind(file);
  const verdict = acceptsAs(kind, reading);
  if (!verdict.ok) return { ok: false, sentence: `${name}: ${verdict.sentence}` };
  if (kind === 'photo') return readPhoto(file, name, files);
  if (reading.kind === 'png' || reading.kind === 'jpeg') return readPicture(file, kind, name, files);
  return {
    ok: true,
    document: {
      kind,
      name,
      sha256: file.sha256,
      bytes: file.bytes,
      fileKind: reading.kind,
      mediaType: reading.mediaType,
      keep: () => file.keep(),
    },
  };
}

/** A drawing that came as a picture: all its pixels, without place, camera and what else came with them. */
async function readPicture(
  file: UploadedFile,
  kind: DocumentKind,
  name: string,
  files: FileStore,
): Promise<ReadDocument> {
  const picture = await barePicture(file.path);
  if (!picture) return { ok: false, sentence: `${name}: This picture is damaged: send it again.` };
  const { bytes, format } = picture;
  return {
    ok: true,
    document: {
      kind,
      name,
      sha256: createHash('sha256').update(bytes).digest('hex'),
      bytes: bytes.length,
      fileKind: format,
      mediaType: `image/${format}`,
      keep: () => files.keepBytes(bytes),
    },
  };
}

async function readPhoto(file: UploadedFile, name: string, files: FileStore): Promise<ReadDocument> {
  const photo = await smallPhoto(file.path);
  if (!photo) {
    return { ok: false, sentence: `${name}: This picture can't be read here. Send it as JPEG or PNG.` };
  }
  const { jpeg } = photo;
  return {
    ok: true,
    document: {
      kind: 'photo',
      name: safeFileName(`${name.replace(/\.[^.]{1,8}$/, '')}.jpg`),
      sha256: createHash('sha256').update(jpeg).digest('hex'),
      bytes: jpeg.length,
      fileKind: 'jpeg',
      mediaType: 'image/jpeg',
      keep: () => files.keepBytes(jpeg),
    },
  };
}
