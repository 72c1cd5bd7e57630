import type { Tx } from '../platform/database.ts';
import { storedWords } from './kinds.ts';
import {
  answerLetter,
  gatheringMovedLetter,
  gatheringOffLetter,
  type LetterText,
  type NamedJob,
  queryLetter,
  revisionLetter,
  type ToldGathering,
} from './letter-text.ts';
import type { Reader } from './store.ts';

/** A row of the log, as telling needs it. */
export interface ToldAct {
  id: number;
  at: Date;
  kind: string;
  personId: number | null;
  partId: number | null;
  jobId: number | null;
  aboutId: number | null;
  thingId: number | null;
  before: string | null;
  after: string | null;
}

/** A letter to be put into the outbox. */
export interface NewLetter {
  key: string;
  kind: 'invitation' | 'query' | 'answer' | 'revision' | 'bulletin' | 'gathering';
  personId: number | null;
  ticketId?: number;
  subject: string;
  body: string;
}

const noted = (json: string | null) => (json === null ? {} : (JSON.parse(json) as Record<string, unknown>));
const word = (value: unknown) => (typeof value === 'string' ? value : '');

/** With the moment of the act: after a restored backup another act may have its number. */
const keyOf = (kind: string, { id, at }: ToldAct, personId: number) =>
  `${kind}:${id}.${at.getTime().toString(36)}:${personId}`;

/**
 * The letters that acts call for. Whoever did the act is not written to about it. What was done in one act to one person
 * is one letter.
 *
 * @param readers  everybody with an open account and an address
 */
export async function lettersFor(
  tx: Tx,
  acts: readonly ToldAct[],
  readers: readonly Reader[],
  baseUrl: string,
): Promise<NewLetter[]> {
  const letters: NewLetter[] = [];
  const may = new Map(readers.map((reader) => [reader.id, new Set(storedWords(reader.mailOff))]));
  const to = (
    kind: NewLetter['kind'],
    act: ToldAct,
    people: Iterable<number>,
    { subject, text }: LetterText,
  ) => {
    for (const personId of new Set(people)) {
      if (personId === act.personId || may.get(personId)?.has(kind) !== false) continue;
      letters.push({ key: keyOf(kind, act, personId), kind, personId, subject, body: text });
    }
  };
  for (const act of acts) {
    const after = noted(act.after);
    if (act.kind === 'invite' && act.thingId) {
      const ticket = await tx.ticket.findUnique({ where: { id: act.thingId } });
      if (ticket?.email) {
        letters.push({
          key: keyOf('invitation', act, 0),
          kind: 'invitation',
          personId: null,
          ticketId: ticket.id,
          subject: 'Invitation',
          body: '',
        });
      }
    } else if (act.kind === 'ask-query') {
      const query = await readQuery(tx, act);
      if (!query) continue;
      const shop = readers.filter(({ role }) => role !== 'maker').map(({ id }) => id);
      to('query', act, shop, queryLetter(query.job, query.question, baseUrl));
    } else if (act.kind === 'answer-query') {
      const query = await readQuery(tx, act);
      if (!query?.answer) continue;
      const text = answerLetter(query.job, query.question, query.answer, baseUrl);
      to('answer', act, [query.askedById, ...(await peopleOn(tx, query.job.id))], text);
    } else if (act.kind === 'publish-bulletin') {
      const week = word(after.week);
      const key = (personId: number) => `bulletin:${week}:${personId}`;
      for (const { id, mailOff } of readers) {
        if (storedWords(mailOff).includes('bulletin')) continue;
        letters.push({
          key: key(id),
          kind: 'bulletin',
          personId: id,
          subject: `Bulletin of the week to ${week}`,
          body: '',
        });
      }
    } else if (act.kind === 'change-gathering' || act.kind === 'drop-gathering') {
      const gathering = await tx.gathering.findUnique({ where: { id: act.thingId ?? 0 } });
      if (!gathering) continue;
      const text =
        act.kind === 'drop-gathering'
          ? gatheringOffLetter(gathering, word(after.reason), baseUrl)
          : movedLetter(gathering, noted(act.before), after, baseUrl);
      if (text) to('gathering', act, await comersOf(tx, gathering.id), text);
    }
  }
  letters.push(...(await revisionLetters(tx, acts, may, baseUrl)));
  return letters;
}

async function readQuery(tx: Tx, { thingId }: ToldAct) {
  const query = await tx.query.findUnique({
    where: { id: thingId ?? 0 },
    include: { job: { select: { id: true, title: true } } },
  });
  return query;
}

/** Makers with something of the job in hand or behind them, and who else does it. */
async function peopleOn(tx: Tx, jobId: number): Promise<number[]> {
  const claims = await tx.claim.findMany({ where: { jobId, endedAt: null }, select: { personId: true } });
  const job = await tx.job.findUnique({ where: { id: jobId }, select: { personId: true } });
  return [...claims.map(({ personId }) => personId), ...(job?.personId ? [job.personId] : [])];
}

async function comersOf(tx: Tx, gatheringId: number): Promise<number[]> {
  const comers = await tx.comer.findMany({
    where: { gatheringId, cancelledAt: null },
    select: { personId: true },
  });
  return comers.map(({ personId }) => personId);
}

/** Other days as the act found and left them; the row may have moved on since. Null when neither days nor place changed. */
function movedLetter(
  gathering: ToldGathering,
  before: Record<string, unknown>,
  after: Record<string, unknown>,
  baseUrl: string,
): LetterText | null {
  const moved = before.fromOn !== undefined || before.untilOn !== undefined;
  const placeChanged = after.placeChanged === true;
  if (!moved && !placeChanged) return null;
  const { fromOn, untilOn } = gathering;
  const now = { fromOn: word(after.fromOn) || fromOn, untilOn: word(after.untilOn) || untilOn };
  const was = { fromOn: word(before.fromOn) || now.fromOn, untilOn: word(before.untilOn) || now.untilOn };
  return gatheringMovedLetter(
    { ...gathering, ...now },
    { before: moved ? was : null, placeChanged },
    baseUrl,
  );
}

/** What several revisions, released as one act, mean to one maker comes in one letter. */
async function revisionLetters(
  tx: Tx,
  acts: readonly ToldAct[],
  may: ReadonlyMap<number, ReadonlySet<string>>,
  baseUrl: string,
): Promise<NewLetter[]> {
  const groups = new Map<string, ToldAct[]>();
  for (const act of acts) {
    if (act.kind !== 'tell-maker-of-revision' || act.aboutId === null || act.aboutId === act.personId)
      continue;
    if (may.get(act.aboutId)?.has('revision') !== false) continue;
    const key = `${act.aboutId} ${act.at.getTime()} ${act.personId}`;
    groups.set(key, [...(groups.get(key) ?? []), act]);
  }
  const letters: NewLetter[] = [];
  for (const group of groups.values()) {
    const told = [];
    for (const act of group) {
      const revision = await tx.revision.findUnique({
        where: { id: act.thingId ?? 0 },
        include: { part: { select: { number: true, name: true } } },
      });
      const job: NamedJob | null = await tx.job.findUnique({
        where: { id: act.jobId ?? 0 },
        select: { id: true, title: true },
      });
      if (!revision || !job) continue;
      const { part, letter, change } = revision;
      told.push({ partNumber: part.number, partName: part.name, letter, change, job });
    }
    const [first] = group;
    if (told.length === 0 || !first?.aboutId) continue;
    const { subject, text } = revisionLetter(told, baseUrl);
    const key = keyOf('revision', first, first.aboutId);
    letters.push({ key, kind: 'revision', personId: first.aboutId, subject, body: text });
  }
  return letters;
}
