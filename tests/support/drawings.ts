import { createHash } from 'node:crypto';
import {
  addCharacteristic,
  addDocument,
  changeRevision,
  releaseRevision,
  startRevision,
} from '../../src/drawings/index.ts';
import type { Act } from '../../src/platform/acts.ts';
import type { GeneralClass } from '../../src/specs/index.ts';
import type { TestApp } from './app.ts';
import { anAssembly, aPart, asLead } from './parts.ts';

/** A characteristic as it is typed, with a key mark and a place on the drawing if wanted. */
export type TypedCharacteristic = string | { text: string; label?: string; isKey?: boolean };

export interface DraftWish {
  /** the part it is of; a made part that goes into a new assembly when not given */
  partId?: number;
  /** of a new part */
  number?: string;
  name?: string;
  /** pieces of a new part that go into the assembly */
  quantity?: number;
  characteristics?: TypedCharacteristic[];
  generalTolerance?: GeneralClass | '';
  /** names in the library */
  material?: string;
  process?: string;
  change?: string;
  /** leave the drawing out */
  withoutDrawing?: boolean;
}

export interface AReleasedPart {
  partId: number;
  number: string;
  revisionId: number;
  letter: string;
  characteristicIds: number[];
  documentId: number | null;
}

/** A draft with everything a release asks for, made by the acts. */
export async function aDraft(app: TestApp, wish: DraftWish = {}): Promise<AReleasedPart> {
  const part = wish.partId ? await existingPart(app, wish.partId) : await neededPart(app, wish);
  const { read } = app.context.db;
  const material = await read.material.findFirstOrThrow({
    where: wish.material ? { name: wish.material } : { family: 'metal' },
  });
  const process = await read.process.findFirstOrThrow({ where: wish.process ? { name: wish.process } : {} });
  return asLead(app, async (act) => {
    const revision = await startRevision(act, { partId: part.id });
    const { version } = await act.tx.revision.findUniqueOrThrow({ where: { id: revision.id } });
    await changeRevision(act, {
      revisionId: revision.id,
      version,
      change: wish.change ?? '',
      materialId: material.id,
      processId: process.id,
      materialNote: '',
      finish: '',
      generalTolerance: wish.generalTolerance ?? 'm',
      notes: '',
    });
    for (const typed of wish.characteristics ?? []) {
      const { text, label = '', isKey = false } = typeof typed === 'string' ? { text: typed } : typed;
      await addCharacteristic(act, { revisionId: revision.id, label, text, isKey });
    }
    const characteristics = await act.tx.characteristic.findMany({
      where: { revisionId: revision.id },
      orderBy: { position: 'asc' },
    });
    const documentId = wish.withoutDrawing
      ? null
      : await drawingFor(app, act, revision.id, `${part.number}-${revision.letter}.pdf`);
    return {
      partId: part.id,
      number: part.number,
      revisionId: revision.id,
      letter: revision.letter,
      characteristicIds: characteristics.map(({ id }) => id),
      documentId,
    };
  });
}

/** A made part with a released revision: `quantity` of it (one, unless said) go into an assembly. */
export async function aReleasedPart(app: TestApp, wish: DraftWish = {}): Promise<AReleasedPart> {
  const draft = await aDraft(app, wish);
  await asLead(app, (act) => releaseRevision(act, { revisionId: draft.revisionId }));
  return draft;
}

async function existingPart(app: TestApp, id: number): Promise<{ id: number; number: string }> {
  return app.context.db.read.part.findUniqueOrThrow({ where: { id } });
}

async function neededPart(app: TestApp, { number, name, quantity = 1 }: DraftWish) {
  const part = await aPart(app, { ...(number ? { number } : {}), ...(name ? { name } : {}) });
  await anAssembly(app, { children: [{ id: part.id, milli: quantity * 1000 }] });
  return part;
}

async function drawingFor(app: TestApp, act: Act, revisionId: number, name: string): Promise<number> {
  const content = aPdf(name);
  const { id } = await addDocument(act, {
    revisionId,
    document: {
      kind: 'drawing',
      name,
      sha256: createHash('sha256').update(content).digest('hex'),
      bytes: content.length,
      fileKind: 'pdf',
      mediaType: 'application/pdf',
      keep: () => app.context.files.keepBytes(content),
    },
  });
  return id;
}

/** A whole PDF of one page with a line of text on it; different words give different content. */
export function aPdf(words: string): Buffer {
  const line = `BT /F1 24 Tf 40 100 Td (${words.replace(/[^\x20-\x7e]|[()\\]/g, ' ')}) Tj ET`;
  const objects = [
    '<< /Type /Catalog /Pages 2 0 R >>',
    '<< /Type /Pages /Kids [3 0 R] /Count 1 >>',
    '<< /Type /Page /Parent 2 0 R /MediaBox [0 0 420 200] /Contents 4 0 R /Resources << /Font << /F1 5 0 R >> >> >>',
    `<< /Length ${line.length} >>\nstream\n${line}\nendstream`,
    '<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>',
  ];
  let text = '%PDF-1.4\n';
  const places = objects.map((object, index) => {
    const place = text.length;
    text += `${index + 1} 0 obj\n${object}\nendobj\n`;
    return place;
  });
  const table = text.length;
  text += `xref\n0 ${objects.length + 1}\n0000000000 65535 f \n`;
  for (const place of places) text += `${String(place).padStart(10, '0')} 00000 n \n`;
  text += `trailer\n<< /Size ${objects.length + 1} /Root 1 0 R >>\nstartxref\n${table}\n%%EOF\n`;
  return Buffer.from(text, 'latin1');
}
