import type { FastifyRequest } from 'fastify';
import { type FileStore, type ReceivedFile, TooLarge } from '../files.ts';

export interface UploadedFile extends ReceivedFile {
  field: string;
  /** as the browser named it: only for show, and only after it has been made safe */
  filename: string;
}

export interface Upload {
  /** the text fields, repeated names as lists, as a form body would give them */
  fields: Record<string, unknown>;
  files: UploadedFile[];
  /** a sentence for each file field that could not be taken */
  errors: Record<string, string>;
  /** Removes what was not kept. Call it in a finally. */
  discard(): Promise<void>;
}

/**
 * Receives a multipart form: files stream to disk, none is kept yet. The cross-site token of such a form goes in the
 * address (?_csrf=...), because the guard runs before the body is read.
 *
 * @param limitBytes  for each file; a larger one becomes an error at its field, the rest of the form is still read
 */
export async function readUpload(
  request: FastifyRequest,
  store: FileStore,
  limitBytes: number,
): Promise<Upload> {
  const fields: Record<string, unknown> = {};
  const files: UploadedFile[] = [];
  const errors: Record<string, string> = {};
  const discard = async () => {
    await Promise.all(files.map((file) => file.discard()));
  };
  if (!request.isMultipart())
    return { fields: (request.body ?? {}) as Record<string, unknown>, files, errors, discard };
  try {
    // A file beyond the limit is cut off and marked as truncated, and what follows it in the form is still read.
    const limits = { limits: { fileSize: limitBytes }, throwFileSizeLimit: false };
    for await (const part of request.parts(limits)) {
      if (part.type === 'field') {
        const earlier = fields[part.fieldname];
        if (earlier === undefined) fields[part.fieldname] = part.value;
        else
          fields[part.fieldname] = Array.isArray(earlier) ? [...earlier, part.value] : [earlier, part.value];
        continue;
      }
      if (!part.filename) {
        part.file.resume(); // a file field left empty
        continue;
      }
      try {
        const received = await store.receive(part.file, limitBytes);
        if (received.bytes === 0) {
          await received.discard();
          errors[part.fieldname] = `${part.filename.slice(0, 80)} is empty.`;
        } else files.push({ ...received, field: part.fieldname, filename: part.filename });
      } catch (fault) {
        if (!(fault instanceof TooLarge)) throw fault;
        part.file.resume();
        errors[part.fieldname] = `${part.filename.slice(0, 80)} is ${fault.message}: that is the most.`;
      }
    }
  } catch (fault) {
    await discard();
    throw fault;
  }
  return { fields, files, errors, discard };
}
