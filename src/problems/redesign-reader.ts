import type { FactsReader, JobTimes } from '../jobs/index.ts';
import { historyLines, noted, readLog } from '../log/index.ts';
import { partPath, type Unit } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { found } from '../platform/refusal.ts';
import type { LengthUnit } from '../specs/index.ts';
import type { Moment } from './moment.ts';
import { peopleNames, problemLines } from './problem-reader.ts';
import { readChanges } from './redesign-changes.ts';
import { type ChangedPart, readImpact } from './redesign-impact-reader.ts';
import { impactSentences } from './redesign-impact-words.ts';
import { isEarly, mayClose, mayRelease, redesignState } from './redesign-rules.ts';
import { lastChange } from './store.ts';

/** A redesign as lists show it. */
export interface RedesignLine {
  id: number;
  href: string;
  title: string;
  state: string;
  line: string;
  problems: number;
  parts: string;
  trial: { title: string; href: string; word: string } | null;
  openedOn: string;
  endedOn: string;
}

const STATE_LINES: Record<string, string> = {
  'under way': 'thick',
  released: 'chain',
  closed: 'double',
  dropped: 'struck',
};

/** How a trial stands, in a word. */
export function trialWord(passed: boolean | null): 'planned' | 'passed' | 'failed' {
  return passed === null ? 'planned' : passed ? 'passed' : 'failed';
}

/** All redesigns: those under way first, the newest on top. */
export async function redesignLists(read: Database['read'], moment: Moment) {
  const rows = await read.redesign.findMany({
    include: { problems: { where: { removedAt: null }, select: { id: true } }, parts: true },
    orderBy: { id: 'desc' },
  });
  const parts = await read.part.findMany({
    where: { id: { in: [...new Set(rows.flatMap((row) => row.parts.map(({ partId }) => partId)))] } },
    orderBy: { numberKey: 'asc' },
    select: { id: true, number: true },
  });
  const trials = await read.trial.findMany({
    where: { id: { in: rows.flatMap(({ trialId }) => (trialId === null ? [] : [trialId])) } },
    select: { id: true, title: true, passed: true },
  });
  const lines = rows.map((row): RedesignLine => {
    const state = redesignState(row);
    const trial = trials.find(({ id }) => id === row.trialId);
    const ended = row.closedAt ?? row.droppedAt;
    return {
      id: row.id,
      href: `/redesigns/${row.id}`,
      title: row.title,
      state,
      line: STATE_LINES[state] ?? 'thin',
      problems: row.problems.length,
      parts: parts
        .filter(({ id }) => row.parts.some(({ partId }) => partId === id))
        .map(({ number }) => number)
        .join(', '),
      trial: trial
        ? { title: trial.title, href: `/trials/${trial.id}`, word: trialWord(trial.passed) }
        : null,
      openedOn: moment.words(row.openedAt),
      endedOn: ended ? moment.words(ended) : '',
    };
  });
  return {
    open: lines.filter(({ state }) => state === 'under way' || state === 'released'),
    over: lines.filter(({ state }) => state === 'closed' || state === 'dropped'),
  };
}

type Rows = Awaited<ReturnType<typeof readRows>>;

async function readRows(read: Database['read'], id: number) {
  const redesign = found(
    await read.redesign.findUnique({ where: { id }, include: { problems: true, parts: true } }),
    `There is no redesign ${id}.`,
  );
  const parts = await read.part.findMany({
    where: { id: { in: redesign.parts.map(({ partId }) => partId) } },
    orderBy: { numberKey: 'asc' },
    select: {
      id: true,
      number: true,
      name: true,
      unit: true,
      removedAt: true,
      revisions: {
        select: { id: true, letter: true, state: true, version: true, releasedAt: true },
        orderBy: { id: 'asc' },
      },
    },
  });
  const trial = redesign.trialId ? await read.trial.findUnique({ where: { id: redesign.trialId } }) : null;
  const others = await read.redesignPart.findMany({
    where: {
      partId: { in: parts.map((part) => part.id) },
      redesignId: { not: id },
      redesign: { closedAt: null, droppedAt: null },
    },
    select: { partId: true, revisionId: true, redesign: { select: { id: true, title: true } } },
    orderBy: { redesignId: 'asc' },
  });
  return { redesign, parts, trial, others };
}

/** The part of a redesign, with its revisions, and the other redesigns that are under way on it. */
function touchedPart({ redesign, others }: Rows, part: Rows['parts'][number]) {
  const revisionId = redesign.parts.find(({ partId }) => partId === part.id)?.revisionId ?? null;
  const begun = part.revisions.find(({ id }) => id === revisionId) ?? null;
  // The one that was in force before the redesign's own: the newest that had been released until then.
  const before = part.revisions.filter(
    ({ id, state }) =>
      id !== revisionId && (state === 'released' || state === 'superseded') && (!begun || id < begun.id),
  );
  const present = before.at(-1) ?? null;
  const named = (revision: Rows['parts'][number]['revisions'][number] | null) =>
    revision && { ...revision, href: `/revisions/${revision.id}` };
  const draft = begun ? null : (part.revisions.find(({ state }) => state === 'draft') ?? null);
  return {
    id: part.id,
    number: part.number,
    name: part.name,
    unit: part.unit as Unit,
    href: partPath(part.number),
    removed: part.removedAt !== null,
    present: named(present),
    begun: named(begun),
    /** another draft that is open: it is taken when the revision is begun, unless another redesign has begun it */
    draft: named(draft),
    others: others
      .filter(({ partId }) => partId === part.id)
      .map(({ redesign: other, revisionId }) => ({
        id: other.id,
        title: other.title,
        href: `/redesigns/${other.id}`,
        draws: draft !== null && revisionId === draft.id,
      })),
  };
}

/** A part as what it touches is worked out: from the revision that was in force, to the one begun. */
function changedPart(
  { id, number, name, unit, removed, present, begun }: ReturnType<typeof touchedPart>,
  isUnderWay: boolean,
): ChangedPart {
  const to = begun?.state === 'withdrawn' ? null : begun;
  // In a second round what was released in the first stays as it is.
  const stays = isUnderWay && to !== null && to.state !== 'draft';
  const from = stays ? to : present;
  return {
    id,
    number,
    name,
    unit,
    removed,
    fromId: from?.id ?? null,
    toId: to?.id ?? null,
    toLetter: to?.letter ?? '',
    toReleasedAt: to?.releasedAt ?? null,
    pending: isUnderWay && !stays,
  };
}

/** Everything the page of a redesign shows. @throws NotFound */
export async function readRedesignPage(
  { read, hot }: Pick<Database, 'read' | 'hot'>,
  sources: { facts: FactsReader; times: JobTimes },
  id: number,
  moment: Moment,
  lengthUnit: LengthUnit,
) {
  const rows = await readRows(read, id);
  const { redesign, trial } = rows;
  const state = redesignState(redesign);
  const over = state === 'closed' || state === 'dropped';
  const problems = await problemLines(read, { redesignId: id }, moment);
  const touched = rows.parts.map((part) => touchedPart(rows, part));
  const changed = touched.map((part) => changedPart(part, state === 'under way'));
  const changes = await readChanges(
    read,
    touched.flatMap(({ present, begun }) =>
      present && begun ? [{ fromId: present.id, toId: begun.id }] : [],
    ),
    lengthUnit,
  );
  const parts = touched.map((part) => ({ ...part, changes: changes.get(part.begun?.id ?? 0) ?? null }));
  const impact = await readImpact({ read, hot }, sources, { state, parts: changed }, moment);
  const merged = await problemLines(read, { sameAsId: { in: problems.map((one) => one.id) } }, moment);
  const people = await peopleNames(read, [redesign.openedById]);
  const notBegun = parts.filter(({ begun }) => begun === null || begun.state === 'withdrawn');
  const drafts = parts.filter(({ begun }) => begun?.state === 'draft');
  const named = trial && {
    id: trial.id,
    title: trial.title,
    href: `/trials/${trial.id}`,
    word: trialWord(trial.passed),
    plannedOn: trial.plannedOn,
    doneOn: trial.doneAt && moment.words(trial.doneAt),
    /** it was made on something else than what was released, or before the redesign was opened */
    early: isEarly(redesign, trial),
  };
  const release = mayRelease(
    redesign,
    parts.map(({ number, begun }) => ({ number, revision: begun })),
  );
  const close = mayClose(redesign, parts.length, trial);
  return {
    id,
    title: redesign.title,
    change: redesign.change,
    state,
    line: STATE_LINES[state] ?? 'thin',
    over,
    openedOn: moment.words(redesign.openedAt),
    openedBy: people.get(redesign.openedById ?? 0) ?? '',
    releasedOn: redesign.releasedAt && moment.words(redesign.releasedAt),
    hours: redesign.hours,
    closedOn: redesign.closedAt && moment.words(redesign.closedAt),
    /** why a trial that was made before the release counted when it was closed */
    earlyReason: redesign.closedAt ? await earlyReason(read, id) : '',
    dropped: redesign.droppedAt && { on: moment.words(redesign.droppedAt), ...(await droppedWith(read, id)) },
    problems,
    merged,
    parts,
    changed,
    impact: impact && { ...impact, sentences: impactSentences(impact) },
    /** the drafts that are released, as they stand: 12.3 for version 3 of revision 12 */
    seenDrafts: drafts.map(({ begun }) => `${begun?.id}.${begun?.version}`).join(' '),
    trial: named,
    checklist: checklist({ over, problems: problems.length, parts, notBegun, redesign, trial, drafts }),
    begin: over || redesign.releasedAt ? [] : notBegun.filter(({ removed }) => !removed),
    again:
      !over && redesign.releasedAt !== null && trial?.passed !== true
        ? parts.filter(({ removed }) => !removed)
        : [],
    drafts,
    mayRelease: release === null,
    mayClose: close === null,
    seen: await lastChange(read, 'redesign', id),
    history: historyLines(
      readLog({ hot }, { thing: { type: 'redesign', id } }, { limit: 30 }),
      moment.timeZone,
    ).map((line) => ({ ...line, href: null })),
  };
}

export type RedesignPage = Awaited<ReturnType<typeof readRedesignPage>>;

async function earlyReason(read: Database['read'], id: number): Promise<string> {
  const row = await read.act.findFirst({
    where: { kind: 'close-redesign', thingType: 'redesign', thingId: id },
    orderBy: { id: 'desc' },
    select: { after: true },
  });
  const { reason } = noted(row?.after ?? null);
  return typeof reason === 'string' ? reason : '';
}

/** What a redesign had gathered when it was dropped, and why, as the log has it. */
async function droppedWith(read: Database['read'], id: number) {
  const row = await read.act.findFirst({
    where: { kind: 'drop-redesign', thingType: 'redesign', thingId: id },
    orderBy: { id: 'desc' },
    select: { before: true, after: true },
  });
  const { problems } = noted(row?.before ?? null);
  const { reason } = noted(row?.after ?? null);
  const ids = Array.isArray(problems) ? problems.filter((one): one is number => typeof one === 'number') : [];
  return {
    reason: typeof reason === 'string' ? reason : '',
    problems: await read.problem.findMany({
      where: { id: { in: ids }, removedAt: null },
      select: { id: true, title: true },
    }),
  };
}

type Part = ReturnType<typeof touchedPart>;

/** What must hold before the problems count as cured. */
function checklist({
  over,
  problems,
  parts,
  notBegun,
  drafts,
  redesign,
  trial,
}: {
  over: boolean;
  problems: number;
  parts: readonly Part[];
  notBegun: readonly Part[];
  drafts: readonly Part[];
  redesign: Rows['redesign'];
  trial: Rows['trial'];
}) {
  if (over) return [];
  const change = { href: `/redesigns/${redesign.id}/change` };
  const numbers = (list: readonly Part[]) => list.map(({ number }) => number).join(', ');
  const revisions = parts.length > 0 && [
    {
      word: 'New revisions begun',
      holds: notBegun.length === 0,
      note: notBegun.length ? `not of ${numbers(notBegun)}` : `of ${numbers(parts)}`,
    },
    {
      word: 'All of them released',
      holds: redesign.releasedAt !== null,
      note: redesign.releasedAt
        ? 'in one act'
        : drafts.length
          ? `${numbers(drafts)} ${drafts.length === 1 ? 'is a draft' : 'are drafts'}`
          : '',
    },
  ];
  return [
    {
      word: 'Problems gathered',
      holds: problems > 0,
      note: problems ? `${problems}` : 'none any more',
      fix: { ...change, label: 'Choose them' },
    },
    ...(revisions || []),
    {
      word: 'A trial named that is to show the cure',
      holds: trial !== null,
      note: trial?.title ?? 'none yet',
      fix: { href: `/trials/new?redesign=${redesign.id}`, label: 'Plan one' },
    },
    {
      word: 'The trial passed',
      holds: trial?.passed === true,
      note: trial ? (trial.passed === null ? 'not made yet' : trial.passed ? '' : 'it failed') : '',
      ...(trial && trial.passed === null
        ? { fix: { href: `/trials/${trial.id}`, label: 'Write its result down' } }
        : {}),
    },
  ];
}
