import { type FileKind, type FileReading, KIND_WORDS } from '../models/index.ts';
import type { DocumentKind } from './document-kind.ts';

/** The kinds of file each kind of document is kept as. */
export const acceptedFileKinds: Readonly<Record<DocumentKind, readonly FileKind[]>> = {
  drawing: ['pdf', 'svg', 'dxf', 'png', 'jpeg'],
  model: ['step', 'stl'],
  'flat pattern': ['dxf', 'svg'],
  photo: ['jpeg', 'png', 'webp', 'heic'],
  note: ['text', 'pdf'],
};

const documentWords: Readonly<Record<DocumentKind, string>> = {
  drawing: 'a drawing',
  model: 'a model',
  'flat pattern': 'a flat pattern',
  photo: 'a photo',
  note: 'a note',
};

/**
 * May a file be kept as this kind of document? A refusal says what was found and what was expected.
 *
 * @param found the file as fileKind read it; its complaint refuses it whatever the kind
 */
export function acceptsAs(
  document: DocumentKind,
  found: Pick<FileReading, 'kind' | 'complaint'>,
): { ok: true } | { ok: false; code: 'damaged-file' | 'wrong-file-kind'; sentence: string } {
  if (found.complaint !== null) return { ok: false, code: 'damaged-file', sentence: found.complaint };
  const accepted = acceptedFileKinds[document];
  if (accepted.includes(found.kind)) return { ok: true };
  const wanted = accepted.map((kind) => KIND_WORDS[kind]);
  const list = `${wanted.slice(0, -1).join(', ')} or ${wanted.at(-1)}`;
  return {
    ok: false,
    code: 'wrong-file-kind',
    sentence: `This is ${KIND_WORDS[found.kind]}; ${documentWords[document]} is ${list}.`,
  };
}
