import { isPictured, type KnownFacts } from '../models/index.ts';

/** A larger picture is not loaded just to be shown small. */
const PREVIEW_BYTES = 2_000_000;
const PICTURES = new Set(['png', 'jpeg', 'webp', 'svg']);

/** The address of a file's small picture: its own where it is one, else the one drawn of it; empty where there is none. */
export function previewOf(
  { id, fileKind, bytes }: { id: number; fileKind: string; bytes: number },
  known: KnownFacts | undefined,
): string {
  if (isPictured(fileKind, known)) return `/documents/${id}/picture`;
  return PICTURES.has(fileKind) && bytes <= PREVIEW_BYTES ? `/documents/${id}` : '';
}
