import type { JobFacts } from '../jobs/index.ts';
import { type LogRow, noted } from '../log/index.ts';
import type { BuildFacts, Closure, GatheringFacts, RevisionFacts } from './build-facts.ts';
import { weekdaysOf } from './calendar.ts';
import { type Beside, type Notes, Undoing } from './finish-moved-undoing.ts';

type Undo = (state: Undoing, row: LogRow, before: Notes, after: Notes) => void;

const num = (value: unknown): number => (typeof value === 'number' ? value : 0);
const milliOf = (row: LogRow): number => row.milli ?? 0;
const isKept = (disposition: unknown) => disposition === 'accept' || disposition === 'concession';
const isShown = (kind: unknown) => kind === 'drawing' || kind === 'model';

/** How each kind of act is taken back. Rows come newest first. */
const UNDO: Readonly<Record<string, Undo>> = {
  'change-settings': ({ build }, _row, before) => {
    if (typeof before.weekdays === 'string') build.weekdays = weekdaysOf(before.weekdays);
    if (typeof before.timeZone === 'string') build.timeZone = before.timeZone;
    if (typeof before.country === 'string') build.country = before.country;
    if (typeof before.leadWeeklyHours === 'number') build.leadWeeklyHours = before.leadWeeklyHours;
  },
  'add-closure': (state, row) => {
    state.closures = state.closures.filter(({ id }) => id !== row.thingId);
  },
  'remove-closure': (state, row, before) => {
    state.closures.push({ id: row.thingId!, ...(before as Omit<Closure, 'id'>) });
  },
  'add-away': (state, row, _before, after) => {
    const ranges = state.awayOf(row.aboutId!);
    const at = ranges.findLastIndex(
      ({ fromOn, untilOn }) => fromOn === after.fromOn && untilOn === after.untilOn,
    );
    if (at !== -1) ranges.splice(at, 1);
  },
  'remove-away': (state, row) => {
    const gone = state.beside.away.get(row.thingId!);
    if (gone) state.awayOf(gone.personId).push(gone);
  },
  'change-role': (state, row, before) => state.person(row.aboutId, { role: String(before.role) }),
  'open-account': (state, row) => state.person(row.aboutId, { active: false }),
  'close-account': (state, row) => state.person(row.aboutId, { active: true }),

  'create-part': (state, row) => state.dropPart(row.partId!),
  'restore-part': (state, row) => state.dropPart(row.partId!),
  'remove-part': (state, row) => {
    const gone = state.beside.parts.get(row.partId!);
    if (!gone) return;
    state.parts.set(gone.id, gone);
    const lines = state.beside.uses.filter(({ parentId, childId }) => [parentId, childId].includes(gone.id));
    state.uses.push(...lines.filter(({ id }) => !state.uses.some((use) => use.id === id)));
    state.restructured = true;
  },
  'change-part': (state, row, before) => state.part(row.partId, before),
  'import-part': (state, row, before, after) => {
    if (after.number !== undefined && before.number === undefined) state.dropPart(row.partId!);
    else state.part(row.partId, before);
  },
  'set-shelf': (state, row, before, after) => state.shelf(row.partId, num(before.milli) - num(after.milli)),
  'add-use': (state, row) => {
    state.uses = state.uses.filter(({ parentId, childId }) => !isLine(row, parentId, childId));
    state.restructured = true;
  },
  'change-use': (state, row, before) => {
    state.uses = state.uses.map((use) =>
      isLine(row, use.parentId, use.childId) ? { ...use, milli: num(before.milli) } : use,
    );
    state.restructured = true;
  },
  'remove-use': (state, row, before) => {
    const line = { parentId: row.partId!, childId: row.thingId!, milli: num(before.milli), note: '' };
    state.uses.push({ id: -row.id, ...line });
    state.restructured = true;
  },

  'start-revision': (state, row) => {
    const left = state.revisionsOf(row.partId!).filter(({ id }) => id !== row.thingId);
    if (left.length > 0) state.revisions.set(row.partId!, left);
    else state.revisions.delete(row.partId!);
  },
  'release-revision': (state, row) => state.revision(row, { state: 'draft' }),
  'supersede-revision': (state, row) => state.revision(row, { state: 'released' }),
  'withdraw-revision': (state, row, before) =>
    state.revision(row, { state: before.state as RevisionFacts['state'] }),
  'change-revision': (state, row, before) => {
    if ('processId' in before) state.revision(row, { processId: before.processId as number | null });
  },
  'add-document': (state, row, _before, after) => {
    if (!isShown(after.kind)) return;
    const documents = state.documentsOf(row.thingId!);
    documents.delete(num(after.documentId));
    state.revision(row, { drawn: documents.size > 0 });
  },
  'remove-document': (state, row, before) => {
    if (!isShown(before.kind)) return;
    state.documentsOf(row.thingId!).add(num(before.documentId));
    state.revision(row, { drawn: true });
  },
  'decide-old-units': (state, row, _before, after) => {
    if (after.decision === 'use') return;
    const left = (state.undoneMilli.get(row.partId!) ?? 0) - milliOf(row);
    if (left > 0) state.undoneMilli.set(row.partId!, left);
    else state.undoneMilli.delete(row.partId!);
  },
  'move-job-to-revision': (state, row, before) =>
    state.job(row, { revisionId: before.revisionId as number | null }),
  'take-up-revision': (state, row, before, after) => {
    if (milliOf(row) === 0) return;
    const own = state.claim(row, num(before.claimId));
    if (own && before.claimId === after.claimId) own.revisionId = before.revisionId as number | null;
    if (before.claimId === after.claimId) return;
    const split = state.claim(row, num(after.claimId));
    if (own && split) {
      own.milli += split.milli;
      own.doneMilli += split.doneMilli;
    }
    state.dropClaim(row, num(after.claimId));
  },

  'create-job': (state, row) => {
    state.jobs.delete(row.jobId!);
    state.links = state.links.filter(({ fromId, toId }) => fromId !== row.jobId && toId !== row.jobId);
  },
  'change-job': (state, row, before) => state.job(row, before as Partial<JobFacts>),
  'offer-job': (state, row) => state.job(row, { offeredAt: null }),
  'withdraw-offer': (state, row) => state.takeUp(row, 'offeredAt'),
  'hold-job': (state, row) => state.job(row, { heldAt: null }),
  'resume-job': (state, row) => state.takeUp(row, 'heldAt'),
  'drop-job': (state, row) => state.job(row, { droppedAt: null }),
  'start-job': (state, row) => state.job(row, { startedAt: null }),
  'finish-job': (state, row) => state.job(row, { finishedAt: null }),
  'order-purchase': (state, row, before) =>
    state.job(
      row,
      'promisedOn' in before
        ? { promisedOn: before.promisedOn as string | null }
        : { orderedAt: null, promisedOn: null },
    ),
  'receive-purchase': (state, row, before) => {
    state.job(row, { milli: num(before.toComeMilli), finishedAt: null });
    state.shelf(row.partId, -milliOf(row));
  },
  'approve-first-piece': (state, row) => state.job(row, { firstApprovedAt: null }),
  'end-first-piece-approval': (state, row) => state.takeUp(row, 'firstApprovedAt'),
  'link-jobs': (state, _row, _before, after) => {
    const { fromId, toId, type } = after;
    const at = state.links.findIndex(
      (link) => link.fromId === fromId && link.toId === toId && link.type === type,
    );
    if (at !== -1) state.links.splice(at, 1);
  },
  'unlink-jobs': (state, _row, before) => {
    const { fromId, toId, type, lag } = before as unknown as BuildFacts['links'][number];
    state.links.push({ fromId, toId, type, lag });
  },

  'claim-job': (state, row) => state.dropClaim(row, row.thingId!),
  'hand-back': (state, row) => state.handedBack(row),
  'end-claim': (state, row) => state.handedBack(row),
  'renew-promise': (state, row, before) => {
    const claim = state.claim(row, row.thingId!);
    if (!claim) return;
    claim.soonestDays = num(before.soonestDays);
    claim.likelyDays = num(before.likelyDays);
    claim.latestDays = num(before.latestDays);
    if (state.beside.firstRenewals.get(claim.id) === row.id) state.firstPromises.delete(claim.id);
  },
  'start-work': (state, row) => {
    const claim = state.claim(row, row.thingId!);
    if (claim) claim.startedAt = null;
  },
  'report-work': (state, row, _before, after) => {
    const claim = state.claim(row, num(after.claimId));
    if (!claim) return;
    claim.doneMilli -= milliOf(row);
    // Work that was not said to have begun before began with this report.
    if (claim.startedAt === row.at) claim.startedAt = null;
  },
  'correct-report': (state, row) => {
    const claim = state.claim(row, row.thingId!);
    if (claim) claim.doneMilli += milliOf(row);
  },
  'post-parcel': (state, row, _before, after) => {
    state.changeItems(row, num(after.claimId), (items) =>
      items.filter(({ parcelId }) => parcelId !== row.thingId),
    );
    state.dropParcel(row.thingId!);
  },
  'receive-parcel': (state, row, _before, after) => {
    state.unarrive(row.thingId!);
    // Counted as posted when it came: that has no row of its own. A parcel that was written off before stays so.
    state.changeItems(row, num(after.claimId), (items) =>
      items.map((item) =>
        item.parcelId === row.thingId && item.countedMilli === item.milli
          ? { ...item, countedMilli: null }
          : item,
      ),
    );
  },
  'count-parcel': (state, row, before, after) => {
    // Nothing of it came, and it was counted as it came: that has no row of its own either.
    if (state.parcels.get(row.thingId!)?.arrivedAt === row.at && milliOf(row) === 0) {
      state.unarrive(row.thingId!);
    }
    state.changeItems(row, num(after.claimId), (items) =>
      items.map((item) =>
        item.parcelId === row.thingId
          ? { ...item, countedMilli: before.countedMilli as number | null }
          : item,
      ),
    );
  },
  'inspect-units': (state, row, _before, after) => {
    const claim = state.claim(row, num(after.claimId));
    if (claim) claim[isKept(after.disposition) ? 'acceptedMilli' : 'rejectedMilli'] -= milliOf(row);
  },
  'correct-inspection': (state, row, before, after) => {
    const claim = state.claim(row, num(after.claimId));
    if (!claim) return;
    claim[isKept(after.disposition) ? 'acceptedMilli' : 'rejectedMilli'] -= milliOf(row);
    claim[isKept(before.disposition) ? 'acceptedMilli' : 'rejectedMilli'] += milliOf(row);
  },

  'plan-gathering': (state, row) => void state.gatherings.delete(row.thingId!),
  'change-gathering': (state, row, before) => {
    const gathering = state.gatherings.get(row.thingId!);
    if (!gathering) return;
    const { title, fromOn, untilOn, places, dayHours } = {
      ...gathering,
      ...(before as Partial<GatheringFacts>),
    };
    state.gatherings.set(row.thingId!, { ...gathering, title, fromOn, untilOn, places, dayHours });
  },
  'drop-gathering': (state, row) => {
    const gone = state.beside.gatherings.get(row.thingId!);
    // Who comes moves no plan without limits.
    if (gone) state.gatherings.set(row.thingId!, { ...gone, comers: new Map() });
  },
};

/** Kinds of act that may move dates and cannot be taken back from what is logged of them: they log no values. */
export const NOT_UNDONE = ['change-person', 'forget-person'] as const;

/**
 * Kinds of act that can be taken back. On all others no date rests: the schedule waits for no answer and no decision;
 * nobody's coming moves a date before they take something on; revisions, jobs and parts that an act brings along have rows
 * of their own.
 */
export const UNDONE: readonly string[] = Object.keys(UNDO);

/**
 * The facts of a build as they would be without some acts of its log.
 *
 * Not brought back, because no date rests on it: queries, decisions, who has a tool, whether strangers see an offer, a
 * maker's last word, new people, and the notes and numbers of structure lines. A list taken in keeps the quantities it
 * changed in lines that were there before it: the log does not have the old ones.
 *
 * @param facts   as they are, after the acts
 * @param rows    the acts, oldest first; what was done later to the same things is among them
 * @param beside  the tables at the moment of the facts
 * @throws StructureLoop  without these acts alone the structure would close a circle
 */
export function undone(facts: BuildFacts, rows: readonly LogRow[], beside: Beside): BuildFacts {
  const state = new Undoing(facts, beside);
  for (let at = rows.length - 1; at >= 0; at--) {
    const row = rows[at]!;
    UNDO[row.kind]?.(state, row, noted(row.before), noted(row.after));
  }
  return state.facts();
}

const isLine = (row: LogRow, parentId: number, childId: number) =>
  parentId === row.partId && childId === row.thingId;
