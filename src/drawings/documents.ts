import { askForFacts } from '../models/index.ts';
import type { Act } from '../platform/acts.ts';
import { found, refuse } from '../platform/refusal.ts';
import type { DocumentKind } from './document-kind.ts';
import { editDraft, revisionEntry } from './draft.ts';

/** A file that has been received and looked into, not yet kept. */
export interface NewDocument {
  kind: DocumentKind;
  /** made safe to show and to save under */
  name: string;
  sha256: string;
  bytes: number;
  /** what it is by its content: pdf, step, ... */
  fileKind: string;
  mediaType: string;
  /** puts it among the kept files */
  keep(): Promise<unknown>;
}

const MOST = 100;

/**
 * Adds a file to a draft. The content is kept before the row that names it.
 *
 * @throws Refused  no draft; the same content is there already; a hundred files are there
 */
export async function addDocument(
  act: Act,
  { revisionId, document }: { revisionId: number; document: NewDocument },
): Promise<{ id: number; name: string }> {
  const { tx } = act;
  const revision = await editDraft(act, revisionId);
  const { kind, name, sha256, bytes, fileKind, mediaType } = document;
  const there = await tx.document.findMany({ where: { revisionId, removedAt: null } });
  const same = there.find((other) => other.sha256 === sha256);
  if (same) {
    refuse(
      'same-content',
      `${name} is on revision ${revision.letter} already, as ${same.name} (${same.kind}).`,
    );
  }
  if (there.length >= MOST)
    refuse('too-many', `Revision ${revision.letter} has ${MOST} files: that is the most.`);
  await document.keep();
  const row = await tx.document.create({
    data: {
      revisionId,
      kind,
      name,
      sha256,
      bytes,
      fileKind,
      mediaType,
      addedAt: act.at,
      addedById: act.actor.personId ?? 0,
    },
  });
  await askForFacts(act, { sha256, fileKind });
  await act.log({
    kind: 'add-document',
    ...revisionEntry(revision),
    after: { letter: revision.letter, documentId: row.id, kind, name, bytes, sha256 },
  });
  return { id: row.id, name };
}

/** Takes a file off a draft. The file is kept: deletion is marking. @throws Refused no draft */
export async function removeDocument(
  act: Act,
  { documentId }: { documentId: number },
): Promise<{ revisionId: number; name: string }> {
  const document = found(
    await act.tx.document.findFirst({ where: { id: documentId, removedAt: null } }),
    'There is no such document any more.',
  );
  const revision = await editDraft(act, document.revisionId);
  await act.tx.document.update({ where: { id: documentId }, data: { removedAt: act.at } });
  await act.log({
    kind: 'remove-document',
    ...revisionEntry(revision),
    before: { documentId, kind: document.kind, name: document.name },
    after: { letter: revision.letter },
  });
  return { revisionId: revision.id, name: document.name };
}
