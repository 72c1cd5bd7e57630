import { createHash } from 'node:crypto';
import {
  addCharacteristic,
  addDocument,
  changeCharacteristic,
  changeRevision,
  type DocumentKind,
  releaseRevision,
  startRevision,
} from '../src/drawings/index.ts';
import type { Act } from '../src/platform/acts.ts';
import type { Book } from './book.ts';
import { drawingPdf, flatPattern } from './drawing-sheet.ts';
import { drawingsAbove } from './drawings-above.ts';
import { drawingsBelow } from './drawings-below.ts';
import { stepModel } from './step-model.ts';
import { parts } from './tell-parts.ts';
import { HOURS } from './timeline.ts';
import type { DrawingStory } from './types.ts';

/** Drawings are begun, filled in and released. A redesign begins and releases its own. */
export function tellDrawings(book: Book): void {
  for (const story of [...drawingsBelow, ...drawingsAbove]) {
    if (!story.redesign) {
      book.act(story.started, HOURS.plan, 'jerica', (act) =>
        startRevision(act, { partId: book.parts.get(story.part) }),
      );
    }
    // A drawing takes the evening before it is released; one that is still a draft was drawn a few days ago.
    const drawn = story.redesign
      ? story.started + 1
      : (story.released ?? Math.min(-1, story.started + 4)) - (story.released ? 1 : 0);
    book.act(Math.max(story.started, drawn), HOURS.plan, 'jerica', (act) => draw(book, act, story));
    if (story.released !== undefined && !story.redesign) {
      book.act(story.released, HOURS.release, 'jerica', async (act) => {
        const { id } = await draftOf(act, book.parts.get(story.part));
        await releaseRevision(act, { revisionId: id });
      });
    }
  }
}

function draftOf(act: Act, partId: number) {
  return act.tx.revision.findFirstOrThrow({ where: { partId, state: 'draft' } });
}

/** Fills a draft in: what it says of itself, its sizes, its files. */
async function draw(book: Book, act: Act, story: DrawingStory): Promise<void> {
  const part = parts.get(story.part)!;
  const draft = await draftOf(act, book.parts.get(story.part));
  await changeRevision(act, {
    revisionId: draft.id,
    version: draft.version,
    change: story.change ?? '',
    materialId: part.material ? book.materials.get(part.material) : null,
    processId: part.process ? book.processes.get(part.process) : null,
    materialNote: story.stock ?? draft.materialNote,
    finish: story.finish ?? draft.finish,
    generalTolerance: story.tolerance ?? (draft.generalTolerance as DrawingStory['tolerance']) ?? '',
    notes: draft.notes,
  });
  for (const size of story.sizes ?? []) await write(act, draft.id, size);
  if (story.undrawn) return;
  const revision = await act.tx.revision.findUniqueOrThrow({
    where: { id: draft.id },
    include: { characteristics: { where: { removedAt: null }, orderBy: { position: 'asc' } } },
  });
  const { letter } = revision;
  const name = `${part.number}-${letter}`;
  const sheet = drawingPdf({
    number: part.number,
    name: part.name,
    letter,
    material: part.material ?? '',
    process: part.process ?? '',
    tolerance: revision.generalTolerance,
    finish: revision.finish,
    drawnOn: act.today,
    change: revision.change,
    sizes: revision.characteristics,
  });
  await keep(book, act, draft.id, 'drawing', `${name}.pdf`, sheet, ['pdf', 'application/pdf']);
  if (story.flat) {
    const flat = flatPattern(...story.flat);
    await keep(book, act, draft.id, 'flat pattern', `${name}.dxf`, flat, ['dxf', 'image/vnd.dxf']);
  }
  if (story.model) {
    const { number } = part;
    const model = stepModel({ number, name: part.name, writtenOn: act.today }, story.model);
    const file = `${number}-${story.modelLetter ?? letter}.step`;
    await keep(book, act, draft.id, 'model', file, model, ['step', 'model/step']);
  }
}

/** `*label: text`, with or without star and label; a label that is there already gets the new text. */
async function write(act: Act, revisionId: number, size: string): Promise<void> {
  const [, star = '', label = '', text = ''] = /^(\*?)(?:([^:]+): )?(.+)$/.exec(size) ?? [];
  const present = label
    ? await act.tx.characteristic.findFirst({ where: { revisionId, label, removedAt: null } })
    : null;
  if (!present) {
    await addCharacteristic(act, { revisionId, label, text, isKey: star === '*' });
    return;
  }
  const { version } = await act.tx.revision.findUniqueOrThrow({ where: { id: revisionId } });
  await changeCharacteristic(act, {
    characteristicId: present.id,
    version,
    label,
    text,
    isKey: present.isKey || star === '*',
  });
}

async function keep(
  book: Book,
  act: Act,
  revisionId: number,
  kind: DocumentKind,
  name: string,
  content: Buffer,
  [fileKind, mediaType]: readonly [string, string],
): Promise<void> {
  await addDocument(act, {
    revisionId,
    document: {
      kind,
      name,
      sha256: createHash('sha256').update(content).digest('hex'),
      bytes: content.length,
      fileKind,
      mediaType,
      keep: () => book.context.files.keepBytes(content),
    },
  });
}
