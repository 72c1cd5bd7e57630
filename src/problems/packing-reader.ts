import { formatQuantity, type PartRow } from '../parts/index.ts';
import { dayWords } from '../platform/day.ts';
import type { SignedIn } from '../platform/http/types.ts';
import type { GatheringTask, GatheringWork } from '../schedule/index.ts';
import { type AgendaSources, readAgenda } from './agenda-reader.ts';
import { listWords } from './agenda-view.ts';
import { mayPack } from './gathering-rules.ts';
import type { Moment } from './moment.ts';
import { type PartWhereabouts, packingKey, partsToPack, processesToPack } from './packing.ts';
import { peopleNames } from './problem-reader.ts';

/** A line of a packing list as its page shows it. */
export interface PackingView {
  key: string;
  kind: 'part' | 'tool' | 'drawing' | 'typed';
  what: string;
  href: string | null;
  /** how much; '' for what is not counted */
  quantity: string;
  /** where it is now */
  where: string;
  /** what on the agenda needs it */
  use: string;
  bringerId: number | null;
  packed: string;
  /** was packed, but nothing on the agenda asks for it now */
  isIdle: boolean;
  mayPack: boolean;
}

/** The lines with one who brings them, or those that nobody does. */
export interface PackingGroup {
  name: string;
  personId: number | null;
  own: boolean;
  /** said to bring them, and comes no more */
  isGone: boolean;
  lines: PackingView[];
  packed: number;
}

const ORDER = ['part', 'tool', 'drawing', 'typed'] as const;

type Line = Omit<PackingView, 'packed' | 'isIdle' | 'mayPack'>;

/** Everything the page of a packing list shows. @throws NotFound  also for who may not see it */
export async function readPackingPage(sources: AgendaSources, id: number, person: SignedIn, moment: Moment) {
  const { read } = sources.db;
  const {
    row,
    comers,
    comes,
    isShop,
    isOpen,
    work,
    asked: agenda,
    plan,
    trouble,
  } = await readAgenda(sources, id, person, moment);
  const stored = await read.packingLine.findMany({
    where: { gatheringId: id, removedAt: null },
    orderBy: { id: 'asc' },
  });
  const tasks = plan.agenda.placed.flatMap(({ key }) => agenda.tasks.get(key) ?? []);
  const storedNames = await peopleNames(
    read,
    stored.flatMap(({ personId, packedById }) => [personId, packedById]),
  );
  const names = new Map<number, string>([
    ...[...(work?.schedule.facts.people ?? [])].map(([key, { name }]): [number, string] => [key, name]),
    ...storedNames,
    ...comers.map((comer): [number, string] => [comer.id, comer.name]),
  ]);
  const tools = await read.tool.findMany({
    where: { personId: { in: comers.map((comer) => comer.id) }, removedAt: null, processId: { not: null } },
    orderBy: { id: 'asc' },
    select: { id: true, name: true, personId: true, processId: true },
  });
  const asked = work ? askedLines(work, tasks, { tools, names, today: moment.today, comers }) : null;
  const lines = new Map((asked?.lines ?? []).map((line) => [line.key, line]));
  for (const one of stored) {
    const about = packingKey(one.key);
    const isTold = about?.kind === 'typed' || one.packedAt !== null || !isOpen;
    if (!about || lines.has(one.key) || !isTold) continue;
    lines.set(one.key, {
      key: one.key,
      kind: about.kind,
      what: one.words,
      href: null,
      quantity: '',
      where: '',
      use: '',
      bringerId: one.personId,
    });
  }
  const byKey = new Map(stored.map((one) => [one.key, one]));
  const groups = new Map<number | null, PackingView[]>();
  for (const line of lines.values()) {
    const one = byKey.get(line.key);
    const bringerId = one?.personId ?? line.bringerId;
    const packed = one?.packedAt
      ? `packed by ${names.get(one.packedById ?? 0) ?? 'somebody'} on ${moment.words(one.packedAt)}`
      : '';
    const isAsked = line.kind === 'typed' || (asked?.lines.some(({ key }) => key === line.key) ?? false);
    const mine = mayPack({ personId: person.id, role: person.role }, comes, bringerId) === null;
    groups.set(bringerId, [
      ...(groups.get(bringerId) ?? []),
      { ...line, bringerId, packed, isIdle: isOpen && !isAsked, mayPack: isOpen && mine },
    ]);
  }
  const rank = (id: number | null) => (id === person.id ? 0 : id === null ? 1 : 2);
  const list = [...groups]
    .sort(([a], [b]) => rank(a) - rank(b) || (names.get(a ?? 0) ?? '').localeCompare(names.get(b ?? 0) ?? ''))
    .map(
      ([personId, own]): PackingGroup => ({
        name: personId === null ? '' : (names.get(personId) ?? 'somebody'),
        personId,
        own: personId === person.id,
        isGone: personId !== null && !comers.some((comer) => comer.id === personId),
        lines: own.sort((a, b) => ORDER.indexOf(a.kind) - ORDER.indexOf(b.kind)),
        packed: own.filter(({ packed }) => packed !== '').length,
      }),
    );
  const count = list.reduce((sum, { lines: own }) => sum + own.length, 0);
  return {
    id,
    title: row.title,
    fromOn: row.fromOn,
    untilOn: row.untilOn,
    isOpen,
    isOff: row.droppedAt !== null,
    trouble,
    groups: list,
    /** its lines to choose from */
    choices: list.flatMap(({ lines: own }) => own.map(({ key, what }) => ({ value: key, label: what }))),
    count,
    packed: list.reduce((sum, { packed }) => sum + packed, 0),
    without: asked?.without ?? [],
    comers: comers.map((comer) => ({ value: comer.id, label: comer.name })),
    may: { write: isOpen && (isShop || comes), assign: isOpen && isShop, take: isOpen && comes },
    /** what a line is called, for the log and for when the agenda no longer asks for it */
    wordsOf: (key: string) => {
      const line = lines.get(key);
      return !line || line.kind === 'typed' ? '' : [line.what, line.quantity].filter(Boolean).join(', ');
    },
  };
}

interface Known {
  tools: readonly { id: number; name: string; personId: number; processId: number | null }[];
  names: ReadonlyMap<number, string>;
  today: string;
  comers: readonly { id: number }[];
}

/** What the agenda asks for, and ways of working that nobody who comes has a tool for. */
function askedLines(
  work: GatheringWork,
  tasks: readonly GatheringTask[],
  { tools, names, today, comers }: Known,
) {
  const { facts, network } = work.schedule;
  const { calendar, nodes } = network;
  const lines: Line[] = [];
  const titles = (steps: readonly number[]) =>
    listWords([...new Set(steps.map((step) => nodes[step]!.label))], 4);
  for (const { partId, milli, where, steps } of partsToPack(work, tasks)) {
    const part = facts.parts.get(partId)!;
    // What a single maker who comes has in hand can come with them.
    const [only, more] = where;
    const comesWith =
      more === undefined && only?.kind === 'with a maker' && comers.some(({ id }) => id === only.personId);
    lines.push({
      key: `part:${partId}`,
      kind: 'part',
      what: `${part.number} ${part.name}`,
      href: `/parts/${encodeURIComponent(part.number)}`,
      quantity: formatQuantity(milli, part.unit),
      where: where.map((one) => whereWords(part, one)).join('; '),
      use: titles(steps),
      bringerId: comesWith ? only.personId : null,
    });
  }
  const without: string[] = [];
  for (const { processId, steps } of processesToPack(work, tasks)) {
    const name = facts.processes.get(processId) ?? 'a way of working';
    const own = tools.filter((tool) => tool.processId === processId);
    if (own.length === 0) without.push(`${name}, for ${titles(steps)}`);
    for (const tool of own) {
      lines.push({
        key: `tool:${tool.id}`,
        kind: 'tool',
        what: tool.name,
        href: null,
        quantity: '',
        where: `for ${name}`,
        use: titles(steps),
        bringerId: tool.personId,
      });
    }
  }
  const drawn = new Set<number>();
  for (const { partId, kind, step } of tasks) {
    const part = partId === null ? undefined : facts.parts.get(partId);
    if (!part || kind === 'inspect' || drawn.has(part.id)) continue;
    const revision = (facts.revisions.get(part.id) ?? []).findLast(
      ({ state, drawn: is }) => state === 'released' && is,
    );
    if (!revision) continue;
    drawn.add(part.id);
    lines.push({
      key: `drawing:${part.id}`,
      kind: 'drawing',
      what: `Drawing of ${part.number} ${part.name}, revision ${revision.letter}`,
      href: `/revisions/${revision.id}`,
      quantity: '',
      where: 'on paper, or on a tablet with the files',
      use: titles([step]),
      bringerId: null,
    });
  }
  return { lines, without };

  function whereWords({ unit }: PartRow, { kind, milli, personId, expected }: PartWhereabouts): string {
    const who = personId === null ? '' : (names.get(personId) ?? 'somebody');
    const on = expected === null ? '' : `, expected ${dayWords(calendar.dayAt(expected), today)}`;
    const words: Record<PartWhereabouts['kind'], string> = {
      'on the shelf': 'on the shelf',
      'to inspect': 'here, to inspect',
      'in the post': `in the post from ${who}${on}`,
      'with a maker': `with ${who}${on}`,
      'on order': `on order${on}`,
      'with nobody': 'not promised by anybody yet',
    };
    return `${formatQuantity(milli, unit)} ${words[kind]}`;
  }
}
