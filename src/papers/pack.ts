import { createHash } from 'node:crypto';
import { createReadStream, type ReadStream } from 'node:fs';
import type { Readable } from 'node:stream';
import { ZipFile } from 'yazl';

/** A kept file that goes into a pack. */
export interface PackedFile {
  name: string;
  sha256: string;
  bytes: number;
  /** where it lies */
  path: string;
  addedAt: Date;
}

export const CARD_NAME = 'route-card.pdf';
export const SUMS_NAME = 'SHA256SUMS.txt';

/**
 * Names that can stand side by side in one folder on any system: those that differ in nothing but capitals count as the
 * same, and get a number.
 *
 * Example: `['a.pdf', 'A.pdf']` -> `['a.pdf', 'A (2).pdf']`
 */
export function distinctNames(names: readonly string[], taken: readonly string[] = []): string[] {
  const fold = (name: string) => name.normalize('NFC').toLowerCase();
  const used = new Set(taken.map(fold));
  return names.map((name) => {
    const [, stem = name, ending = ''] = /^(.+?)(\.[^.]{1,8})?$/s.exec(name) ?? [];
    let free = name;
    for (let count = 2; used.has(fold(free)); count++) free = `${stem} (${count})${ending}`;
    used.add(fold(free));
    return free;
  });
}

/** The list of names and SHA-256 in the form that the usual checking programs read: digest, two spaces, name. */
export function sumsText(files: readonly { name: string; sha256: string }[]): string {
  return files.map(({ name, sha256 }) => `${sha256}  ${name}\n`).join('');
}

/**
 * A ZIP of the printed route card, all files of its revision and their sums, in one folder. It is made while it is
 * sent: memory does not grow with the files. A file that can't be read breaks the stream off.
 */
export function packStream({
  folder,
  card,
  files,
  at,
}: {
  folder: string;
  card: Buffer;
  files: readonly PackedFile[];
  at: Date;
}): Readable {
  const zip = new ZipFile();
  const out = zip.outputStream as Readable;
  zip.on('error', (fault: Error) => out.destroy(fault));
  let open: ReadStream | null = null;
  // A download that is given up must not leave its file open.
  out.once('close', () => open?.destroy());
  const names = distinctNames(
    files.map(({ name }) => name),
    [CARD_NAME, SUMS_NAME],
  );
  zip.addBuffer(card, `${folder}/${CARD_NAME}`, { mtime: at });
  files.forEach(({ path, addedAt, bytes }, index) => {
    zip.addReadStreamLazy(`${folder}/${names[index]}`, { mtime: addedAt, size: bytes }, (done) => {
      if (out.destroyed) return;
      const file = createReadStream(path);
      file.on('error', (fault) => out.destroy(fault));
      open = file;
      done(null, file);
    });
  });
  const sums = [
    { name: CARD_NAME, sha256: createHash('sha256').update(card).digest('hex') },
    ...files.map(({ sha256 }, index) => ({ name: names[index] ?? '', sha256 })),
  ];
  zip.addBuffer(Buffer.from(sumsText(sums)), `${folder}/${SUMS_NAME}`, { mtime: at });
  zip.end();
  return out;
}
