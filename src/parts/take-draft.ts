import type { Act } from '../platform/acts.ts';
import { found, refuse } from '../platform/refusal.ts';
import { type BulkValue, insertRows, storedMoment, updateRows } from './bulk-rows.ts';
import { type BuildNow, type DraftTable, planDraft, planMark, readBuildNow } from './draft-plan.ts';
import { type ImportChoice, type ImportTaking, takeFromPlan } from './import-choice.ts';
import type { ImportLine, ImportPlan, PartDraft } from './import-types.ts';
import { textKey } from './import-types.ts';
import { mayHoldParts } from './part.ts';
import { partNumberKey } from './part-number.ts';
import type { Reader } from './store.ts';

export interface Taken {
  added: number;
  changed: number;
  uses: number;
  /** rows and uses that were not taken, with the reason */
  left: { line: number; reason: string }[];
}

/**
 * Takes a list into the build: all that was chosen, or nothing.
 *
 * The plan is made again from the build as it is in this transaction. Each part added or changed is one row of the
 * log, and the import one more.
 *
 * @param input.mark  of the plan the person saw (planMark)
 * @throws Refused    build-changed: the plan is not what was seen any more; has-bad-rows, nothing-to-take
 */
export async function takeDraft(
  act: Act,
  input: { draftId: number; table: DraftTable & { ok: true }; choice: ImportChoice; mark: string },
): Promise<Taken> {
  const { tx } = act;
  const build = await readBuildNow(tx);
  const plan = planDraft(input.table, build);
  if (planMark(plan) !== input.mark) {
    refuse(
      'build-changed',
      'The build was changed since this list was looked at. What it would do now is shown below; look at it and take it again.',
    );
  }
  const taking = await mayTake(tx, plan, build, input.choice);
  const ids = await writeParts(act, taking, build);
  const logged = partEntries(taking, build, ids);
  await writeUses(act, taking, ids);
  await insertRows(
    tx,
    'Act',
    [...logged].map(([partId, { before, after }]) => ({
      at: storedMoment(act.at),
      kind: 'import-part',
      personId: act.actor.personId,
      partId,
      thingType: 'import',
      thingId: input.draftId,
      before: JSON.stringify(before),
      after: JSON.stringify(after),
    })),
  );
  const added = taking.assemblies.length + taking.parts.filter(({ partId }) => partId === null).length;
  const changed = logged.size - added;
  await tx.importDraft.update({ where: { id: input.draftId }, data: { takenAt: act.at } });
  await act.log({
    kind: 'import-parts',
    thing: { type: 'import', id: input.draftId },
    after: { added, changed, uses: taking.uses.length, left: taking.left.length },
  });
  return { added, changed, uses: taking.uses.length, left: taking.left };
}

/** What is taken, less what the build's own rules do not let in whatever the person says. */
async function mayTake(
  tx: Reader,
  plan: ImportPlan,
  build: BuildNow,
  choice: ImportChoice,
): Promise<ImportTaking> {
  const barred = await barredLines(tx, plan, build);
  const read = takeFromPlan(plan, { ...choice, leaveOut: [...choice.leaveOut, ...barred.keys()] });
  if (!read.ok) refuse(read.code, read.sentence);
  const { taking } = read;
  const kinds = new Map<string, PartDraft['kind']>();
  for (const { line, part } of taking.parts) if (part) kinds.set(`line ${line}`, part.kind);
  const uses: ImportTaking['uses'] = [];
  const left = taking.left.map(({ line, reason }) => ({ line, reason: barred.get(line) ?? reason }));
  for (const one of taking.uses) {
    const { parent, parentNumber } = one.use;
    const row = plan.lines.find((line) => 'part' in parent && line.partId === parent.part && line.part);
    const kind =
      'line' in parent
        ? kinds.get(`line ${parent.line}`)
        : 'part' in parent
          ? (kinds.get(`line ${row?.line}`) ?? build.parts.get(parent.part)?.kind)
          : 'assembly';
    if (kind === undefined || mayHoldParts(kind)) uses.push(one);
    else {
      const reason = `${parentNumber} is ${kind}: parts go into assemblies and made parts.`;
      left.push({ line: one.line.line, reason });
    }
  }
  return { ...taking, uses, left };
}

/** Lines that would break what other quantities and lines rely on. */
async function barredLines(tx: Reader, plan: ImportPlan, build: BuildNow): Promise<Map<number, string>> {
  const holders = new Set(build.known.uses.map(({ parentId }) => parentId));
  const used = new Set(build.known.uses.map(({ childId }) => childId));
  const barred = new Map<number, string>();
  for (const { line, partId, part, changes } of plan.lines) {
    if (!part) continue;
    if (part.kind === 'assembly' && part.unit !== 'piece') {
      barred.set(line, 'Assemblies are counted in pieces.');
    }
    if (partId === null) continue;
    if (!mayHoldParts(part.kind) && holders.has(partId)) {
      barred.set(line, `Parts go into ${part.number}: it cannot be ${part.kind}.`);
    }
    if (changes.some(({ field }) => field === 'unit')) {
      const there = build.parts.get(partId);
      const jobs = await tx.job.count({ where: { partId } });
      if (used.has(partId) || jobs > 0 || (there?.shelfMilli ?? 0) > 0) {
        barred.set(line, `The unit of ${part.number} stays: quantities are told in it already.`);
      }
    }
  }
  return barred;
}

/** Writes assemblies and parts. @returns the id of every part by its number's key */
async function writeParts(act: Act, taking: ImportTaking, build: BuildNow): Promise<Map<string, number>> {
  const { tx } = act;
  const ids = new Map<string, number>();
  const materialIds = await libraryIds(taking, 'material', build.materials, (name) =>
    tx.material.upsert({ where: { name }, create: { name }, update: {} }),
  );
  const processIds = await libraryIds(taking, 'process', build.processes, (name) =>
    tx.process.upsert({ where: { name }, create: { name }, update: {} }),
  );
  const rowOf = ({ material, process, ...part }: PartDraft) => ({
    ...part,
    materialId: materialIds.get(textKey(material)) ?? null,
    processId: processIds.get(textKey(process)) ?? null,
  });
  const added: Record<string, BulkValue>[] = [
    ...taking.assemblies.map(({ number, name }) => rowOf({ ...assemblyDraft, number, name })),
    ...taking.parts.flatMap(({ partId, part }) => (partId === null && part ? [rowOf(part)] : [])),
  ].map((row) => ({ ...row, numberKey: partNumberKey(row.number), createdAt: storedMoment(act.at) }));
  await insertRows(tx, 'Part', added);
  // What the list says nothing of is as it was.
  const changed = taking.parts.flatMap(({ partId, part, changes }) => {
    const before = partId === null ? undefined : build.parts.get(partId);
    if (!part || !before) return [];
    const fields = new Set<string>(changes.map(({ field }) => columnOf[field] ?? field));
    const after = Object.entries(rowOf(part)).map(([column, value]) => [
      column,
      fields.has(column) ? value : before[column as keyof typeof before],
    ]);
    return [{ id: before.id, ...(Object.fromEntries(after) as Record<string, BulkValue>) }];
  });
  await updateRows(tx, 'Part', ['id'], changed);
  const rows = await tx.part.findMany({ select: { id: true, numberKey: true } });
  for (const { id, numberKey } of rows) ids.set(numberKey, id);
  return ids;
}

/** Columns called otherwise than what a list says. */
const columnOf: Partial<Record<string, string>> = { material: 'materialId', process: 'processId' };

/** An assembly that a list only names. */
const assemblyDraft: Omit<PartDraft, 'number' | 'name'> = {
  kind: 'assembly',
  unit: 'piece',
  note: '',
  supplier: '',
  supplierNumber: '',
  packMilli: null,
  priceCents: null,
  massGrams: null,
  material: '',
  process: '',
  listedMilli: null,
};

/** Ids of the library's entries by name; a name it does not have becomes an entry without figures. */
async function libraryIds(
  taking: ImportTaking,
  field: 'material' | 'process',
  library: ReadonlyMap<string, { id: number }>,
  create: (name: string) => Promise<{ id: number }>,
): Promise<Map<string, number>> {
  const ids = new Map<string, number>();
  for (const { part } of taking.parts) {
    const name = part?.[field] ?? '';
    const key = textKey(name);
    if (name === '' || ids.has(key)) continue;
    ids.set(key, library.get(key)?.id ?? (await create(name)).id);
  }
  return ids;
}

async function writeUses(act: Act, taking: ImportTaking, ids: ReadonlyMap<string, number>): Promise<void> {
  const rows = taking.uses.map(({ line, use }) => ({
    parentId: idOf(ids, use.parentNumber),
    childId: childIdOf(line, taking, ids),
    milli: use.quantityMilli,
    isNew: use.beforeMilli === null,
  }));
  const lines = (isNew: boolean) =>
    rows.filter((row) => row.isNew === isNew).map(({ isNew: _, ...row }) => row);
  await insertRows(act.tx, 'Use', lines(true));
  await updateRows(act.tx, 'Use', ['parentId', 'childId'], lines(false));
}

function idOf(ids: ReadonlyMap<string, number>, number: string): number {
  return found(ids.get(partNumberKey(number)), `There is no part ${number}.`);
}

/** The part a row is about: its own, or that of the row that describes it. */
function childIdOf(line: ImportLine, taking: ImportTaking, ids: ReadonlyMap<string, number>): number {
  if (line.partId !== null) return line.partId;
  const describing = line.part ? line : taking.parts.find((one) => one.line === line.sameAsLine);
  return idOf(ids, describing?.part?.number ?? '');
}

interface Entry {
  before: Record<string, unknown>;
  after: Record<string, unknown> & { uses?: { parent: string; milli: number }[] };
}

/** One entry for each part added or changed, or put into something new. */
function partEntries(
  taking: ImportTaking,
  build: BuildNow,
  ids: ReadonlyMap<string, number>,
): Map<number, Entry> {
  const entries = new Map<number, Entry>();
  for (const { number, name } of taking.assemblies) {
    entries.set(idOf(ids, number), { before: {}, after: { number, name, kind: 'assembly', unit: 'piece' } });
  }
  for (const { partId, part, changes } of taking.parts) {
    if (!part) continue;
    const { number, name, kind, unit } = part;
    const before = Object.fromEntries(changes.map((change) => [change.field, change.before]));
    const after = Object.fromEntries(changes.map((change) => [change.field, change.after]));
    entries.set(
      partId ?? idOf(ids, number),
      partId === null ? { before: {}, after: { number, name, kind, unit } } : { before, after },
    );
  }
  for (const { line, use } of taking.uses) {
    const childId = childIdOf(line, taking, ids);
    const entry = entries.get(childId) ?? {
      before: { number: build.parts.get(childId)?.number ?? '' },
      after: {},
    };
    entry.after.uses = [...(entry.after.uses ?? []), { parent: use.parentNumber, milli: use.quantityMilli }];
    entries.set(childId, entry);
  }
  return entries;
}
