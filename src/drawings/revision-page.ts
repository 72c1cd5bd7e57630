import { historyLines, readLog } from '../log/index.ts';
import { factsOfDocuments, factsShown } from '../models/index.ts';
import { formatQuantity, partPath, structureGraph, type Unit } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { dayIn, dayWords } from '../platform/day.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { found } from '../platform/refusal.ts';
import { cautionsFor } from '../specs/index.ts';
import { fileSize } from './file-size.ts';
import { limitsTable } from './limits-table.ts';
import { FOR_MAKERS } from './model-agrees.ts';
import { readDisagreements } from './model-agrees-reader.ts';
import { previewOf } from './preview.ts';
import { releaseChecklist } from './release-checklist.ts';
import { readReleaseFacts } from './release-facts.ts';
import { revisionsOfPart } from './revisions-of-part.ts';
import { readNoticeLines, readOldUnitLines } from './supersede-lines.ts';

const HISTORY_ROWS = 40;
export const CLASS_WORDS = { f: 'fine', m: 'medium', c: 'coarse', v: 'very coarse' } as const;

/** Everything the page of a revision shows to a person, as plain values. @throws NotFound */
export async function readRevisionPage(
  db: Pick<Database, 'read' | 'hot'>,
  revisionId: number,
  person: SignedIn,
) {
  const revision = found(
    await db.read.revision.findUnique({
      where: { id: revisionId },
      include: { part: true, documents: { where: { removedAt: null }, orderBy: { id: 'asc' } } },
    }),
    'There is no such revision.',
  );
  const { part, documents } = revision;
  const build = await db.read.build.findUniqueOrThrow({ where: { id: 1 }, select: { timeZone: true } });
  const names = new Map(
    (await db.read.person.findMany({ select: { id: true, name: true } })).map(({ id, name }) => [id, name]),
  );
  const dayOf = (moment: Date | null) => moment && dayWords(dayIn(build.timeZone, moment));
  const isShop = person.role !== 'maker';
  const isDraft = revision.state === 'draft';
  const neededMilli = structureGraph(db.hot).required().get(part.id) ?? 0;
  const needed = neededMilli > 0 ? `${formatQuantity(neededMilli, part.unit as Unit)} needed` : null;
  const facts = await readReleaseFacts(db.read, revisionId, needed);
  const checklist = releaseChecklist(facts);
  const words = [revision.finish, revision.notes, revision.materialNote, part.name].join(' ');
  const { cautions, closing } = await cautionsFor(db, {
    materialId: revision.materialId,
    processId: revision.processId,
    words,
    massKg: part.massGrams === null ? null : part.massGrams / 1000,
  });
  const known = await factsOfDocuments(db, documents);
  const shownFacts = (id: number) => {
    const facts = known.get(id);
    return facts ? factsShown(facts, person.lengthUnit) : null;
  };
  const stands = isDraft || revision.state === 'released';
  const disagreements = stands ? ((await readDisagreements(db, [revisionId])).get(revisionId) ?? []) : [];
  const others = await revisionsOfPart(db, part.id, { draftsToo: isShop });
  return {
    id: revision.id,
    letter: revision.letter,
    state: revision.state,
    version: revision.version,
    isDraft,
    part: { number: part.number, name: part.name, href: partPath(part.number) },
    others: others.revisions.map((one) => ({
      href: one.href,
      label: `${one.letter}, ${one.state}`,
      current: one.id === revision.id,
    })),
    beside: others.revisions
      .filter(({ id }) => id !== revision.id)
      .map(({ href, letter }) => ({ href: `${href}/beside/${revision.id}`, letter })),
    supersededBy: revision.state === 'superseded' ? others.released : null,
    draftAfter: revision.state === 'released' ? others.draft : null,
    nextLetter: others.nextLetter,
    materialId: facts.material && revision.materialId,
    processId: facts.process && revision.processId,
    material: facts.material,
    process: facts.process,
    materialNote: revision.materialNote,
    finish: revision.finish,
    generalTolerance: facts.generalTolerance && {
      name: `ISO 2768-${facts.generalTolerance}`,
      word: CLASS_WORDS[facts.generalTolerance],
    },
    change: revision.change,
    notes: revision.notes,
    needed,
    startedOn: dayOf(revision.createdAt),
    releasedOn: dayOf(revision.releasedAt),
    releasedBy: revision.releasedById ? (names.get(revision.releasedById) ?? null) : null,
    endedOn: dayOf(revision.endedAt),
    checklist,
    // A maker is told what spoils a piece at the machine, and whom to ask.
    agrees: {
      findings: isShop
        ? disagreements
        : disagreements
            .filter(({ code }) => FOR_MAKERS.includes(code))
            .map((one) => ({ ...one, advice: 'Ask in a query of the job before you cut or print it.' })),
      isLooked:
        stands &&
        documents.some(
          ({ kind, id }) => kind !== 'drawing' && known.get(id)?.state === 'read' && kind !== 'photo',
        ),
      waits: documents.some(({ id }) => known.get(id)?.state === 'waiting'),
    },
    complete: checklist.every(({ holds }) => holds),
    limits: await limitsTable(db, revisionId, person.lengthUnit),
    documents: documents.map((row) => ({
      id: row.id,
      href: `/documents/${row.id}`,
      name: row.name,
      kind: row.kind,
      size: fileSize(row.bytes),
      when: dayOf(row.addedAt),
      by: names.get(row.addedById) ?? '',
      facts: shownFacts(row.id),
      isStl: row.fileKind === 'stl',
      unit: row.unit,
      view: `/documents/${row.id}/view`,
      preview: previewOf(row, known.get(row.id)),
    })),
    cautions: cautions.map(({ text }) => text),
    cautionsClosing: closing,
    notices: isShop ? await readNoticeLines(db, revisionId, names, dayOf) : [],
    oldUnits: isShop
      ? await readOldUnitLines(db, { partId: part.id, revision, unit: part.unit as Unit }, names, dayOf)
      : [],
    history: isShop
      ? historyLines(
          readLog(db, { thing: { type: 'revision', id: revisionId } }, { limit: HISTORY_ROWS }),
          build.timeZone,
        )
      : [],
  };
}

export type RevisionPage = Awaited<ReturnType<typeof readRevisionPage>>;
