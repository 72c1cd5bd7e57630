import { isDeepStrictEqual } from 'node:util';
import { expect } from 'vitest';
import { type LogRow, readLog } from '../../src/log/index.ts';
import type { BuildFacts } from '../../src/schedule/build-facts.ts';
import { buildFactsReader } from '../../src/schedule/facts-reader.ts';
import { besideReader } from '../../src/schedule/finish-moved-reader.ts';
import { undone } from '../../src/schedule/finish-moved-undo.ts';
import type { TestApp } from '../support/app.ts';
import { todayIn } from '../support/receiving.ts';

/** The facts as they are committed now. */
export async function factsNow(app: TestApp): Promise<BuildFacts> {
  return buildFactsReader(app.context.db)(await todayIn(app))!;
}

/** The log since an act, oldest first. */
export function rowsSince({ context }: TestApp, actId: number): LogRow[] {
  return readLog(context.db, {}, { limit: 1000 })
    .filter(({ id }) => id > actId)
    .reverse();
}

export const lastAct = ({ context }: TestApp): number =>
  context.db.hot.prepare<[], number | null>('SELECT MAX(id) FROM Act').pluck().get() ?? 0;

/**
 * Facts as dates rest on them, in an order of their own: without queries, decisions, tools, the last word of a maker,
 * who sees an offer, and the notes and numbers of lines. The structure's arrays follow from parts and lines.
 */
export function datedFacts(facts: BuildFacts) {
  const { structure, queries, decisions, toolsFor, processes, ...rest } = facts;
  const byKey = <T>(map: ReadonlyMap<number, T>) => [...map].sort(([a], [b]) => a - b);
  return {
    ...rest,
    parts: byKey(facts.parts),
    required: byKey(facts.required),
    tops: [...facts.tops].sort((a, b) => a - b),
    uses: facts.uses
      .map(({ parentId, childId, milli }) => [parentId, childId, milli] as const)
      .sort(([a, b], [c, d]) => a - c || b - d),
    placed: structure.ids.length,
    revisions: byKey(facts.revisions),
    undoneMilli: byKey(facts.undoneMilli),
    away: byKey(facts.away),
    people: byKey(facts.people),
    gatherings: byKey(facts.gatherings).map(([id, { comers: _, ...gathering }]) => [id, gathering]),
    firstPromises: byKey(facts.firstPromises),
    links: facts.links.map((link) => JSON.stringify(Object.entries(link).sort())).sort(),
    jobs: facts.jobs.map(({ strangers: _, claims, ...job }) => ({
      ...job,
      claims: claims.map(({ lastWordAt: __, ...claim }) => claim),
    })),
  };
}

/** Kinds of act that were taken back so far, in this file of tests. */
export const toldKinds = new Set<string>();

/** The runner's own comparison is slow, and says what differs: it is asked where something does. */
function same(told: unknown, expected: unknown, words: string): void {
  if (!isDeepStrictEqual(told, expected)) expect(told, words).toEqual(expected);
}

/**
 * Does acts one after another, a quarter of an hour apart, and takes them back: each by itself after it was done, and at
 * the end all from each of them on. What comes out must be the facts as they were.
 */
export async function story(app: TestApp, chapters: readonly [string, () => Promise<unknown>][]) {
  const read = besideReader(app.context.db);
  const marks = [lastAct(app)];
  const states = [await factsNow(app)];
  for (const [name, act] of chapters) {
    app.passDays(1 / 96);
    await act();
    const facts = await factsNow(app);
    const rows = rowsSince(app, marks.at(-1)!);
    expect(rows.length, name).toBeGreaterThan(0);
    for (const { kind } of rows) toldKinds.add(kind);
    same(datedFacts(undone(facts, rows, read(rows))), datedFacts(states.at(-1)!), name);
    marks.push(lastAct(app));
    states.push(facts);
  }
  for (let from = chapters.length - 1; from >= 0; from--) {
    const rows = rowsSince(app, marks[from]!);
    const before = datedFacts(undone(states.at(-1)!, rows, read(rows)));
    same(before, datedFacts(states[from]!), `all since ${chapters[from]![0]}`);
  }
}

/** A new kind of act is put here, unless it changes what the schedule is derived from. */
export const noDates = [
  'set-up-build',
  'invite',
  'take-back-link',
  'accept-invitation',
  'make-sign-in-link',
  'follow-sign-in-link',
  'set-password',
  'sign-out-everywhere',
  'add-tool',
  'remove-tool',
  'keep-baseline',
  'rename-baseline',
  'remove-baseline',
  'import-parts',
  'name-product',
  'add-characteristic',
  'change-characteristic',
  'remove-characteristic',
  'say-unit',
  'tell-maker-of-revision',
  'finish-old-revision',
  'list-old-units',
  'ask-query',
  'answer-query',
  'take-sample',
  'end-sample',
  'offer-to-make',
  'take-stranger',
  'decline-stranger',
  'add-fit',
  'change-fit',
  'remove-fit',
  'add-chain',
  'change-chain',
  'remove-chain',
  'add-to-chain',
  'change-in-chain',
  'take-from-chain',
  'set-temperatures',
  'add-material',
  'change-material',
  'add-process',
  'change-process',
  'see-problem',
  'change-problem',
  'accept-problem',
  'merge-problems',
  'cure-problem',
  'open-redesign',
  'change-redesign',
  'release-redesign',
  'close-redesign',
  'drop-redesign',
  'plan-trial',
  'change-trial',
  'finish-trial',
  'ask-decision',
  'take-decision',
  'drop-decision',
  'renew-calendar-address',
  'come-to-gathering',
  'leave-gathering',
  'edit-bulletin',
  'publish-bulletin',
  'correct-bulletin',
  'upload-list',
  'read-list',
  'say-thanks-words',
  'remove-thanks-words',
  'change-decision',
  'write-packing-line',
  'drop-packing-line',
  'bring-to-gathering',
  'pack-for-gathering',
  'unpack-for-gathering',
  'change-mail',
  'ask-test-letter',
  'try-letters',
  'settle-letter',
  'settle-letters',
  'choose-letters',
  'add-hook',
  'change-hook',
  'pause-hook',
  'resume-hook',
  'remove-hook',
  'renew-hook-key',
  'try-hook',
];
