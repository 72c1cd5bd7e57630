import { publishedBulletins } from '../bulletin/index.ts';
import { quantitiesOf, readJob, stageOf } from '../jobs/index.ts';
import { formatQuantity } from '../parts/index.ts';
import type { Tx } from '../platform/database.ts';
import { type Day, daysBetween } from '../platform/day.ts';
import type { HookKind } from './kinds.ts';
import type { ToldAct } from './tell-letters.ts';

/** Something that happened, as hooks are told it: nothing personal. */
export interface HookEvent {
  /** what it tells: told once to each hook */
  key: string;
  type: HookKind;
  /** the moment it happened */
  at: Date;
  data: Record<string, string | number | null>;
}

const noted = (json: string | null) => (json === null ? {} : (JSON.parse(json) as Record<string, unknown>));
const word = (value: unknown) => (typeof value === 'string' ? value : '');

/** Acts after which something of a job may be open that was not, and the reverse. */
const OPENING = new Set(['offer-job', 'hand-back', 'end-claim', 'resume-job', 'change-job']);
const CLOSING = new Set(['claim-job', 'withdraw-offer', 'hold-job', 'drop-job', 'take-stranger']);

/** What the rows of one act mean to hooks. */
export async function eventsFor(tx: Tx, acts: readonly ToldAct[], baseUrl: string): Promise<HookEvent[]> {
  const events: HookEvent[] = [];
  for (const act of acts) {
    const event = await eventFor(tx, act, baseUrl);
    if (event) events.push({ ...event, key: `${event.type}:${act.id}`, at: act.at });
  }
  const jobs = new Set(acts.flatMap(({ kind, jobId }) => (jobId && isAboutOffer(kind) ? [jobId] : [])));
  for (const jobId of jobs) {
    const about = acts.filter((act) => act.jobId === jobId && isAboutOffer(act.kind));
    const event = await offerEvent(tx, jobId, about, baseUrl);
    const last = about.at(-1);
    if (event && last) events.push({ ...event, key: `${event.type}:${last.id}`, at: last.at });
  }
  return events;
}

type Told = Pick<HookEvent, 'type' | 'data'>;

const isAboutOffer = (kind: string) => OPENING.has(kind) || CLOSING.has(kind);

async function eventFor(tx: Tx, act: ToldAct, baseUrl: string): Promise<Told | null> {
  const after = noted(act.after);
  switch (act.kind) {
    case 'publish-bulletin': {
      const week = word(after.week);
      const [bulletin] = await publishedBulletins(tx, { limit: 1, baseUrl, week });
      if (!bulletin) return null;
      return { type: 'bulletin.published', data: { week, title: bulletin.title, href: bulletin.address } };
    }
    case 'release-revision': {
      const part = await tx.part.findUnique({ where: { id: act.partId ?? 0 } });
      if (!part) return null;
      const href = `${baseUrl}/parts/${encodeURIComponent(part.number)}`;
      const data = { part: part.number, name: part.name, revision: word(after.letter), href };
      return { type: 'revision.released', data };
    }
    case 'see-problem':
    case 'cure-problem': {
      const part = act.partId ? await tx.part.findUnique({ where: { id: act.partId } }) : null;
      const problem = act.thingId;
      return {
        type: act.kind === 'see-problem' ? 'problem.seen' : 'problem.cured',
        data: {
          problem,
          title: word(after.title),
          part: part?.number ?? null,
          href: `${baseUrl}/problems/${problem}`,
        },
      };
    }
    case 'plan-gathering':
    case 'change-gathering':
    case 'drop-gathering': {
      const before = noted(act.before);
      const moved = before.fromOn !== undefined || before.untilOn !== undefined;
      if (act.kind === 'change-gathering' && !moved) return null;
      const row = await tx.gathering.findUnique({ where: { id: act.thingId ?? 0 } });
      if (!row) return null;
      const types = {
        'plan-gathering': 'gathering.planned',
        'change-gathering': 'gathering.moved',
        'drop-gathering': 'gathering.called_off',
      } as const;
      return {
        type: types[act.kind],
        data: {
          gathering: row.id,
          title: word(after.title) || row.title,
          from: word(after.fromOn) || row.fromOn,
          until: word(after.untilOn) || row.untilOn,
          href: `${baseUrl}/gatherings`,
        },
      };
    }
    default:
      return null;
  }
}

/** Only what strangers may see is told of. */
async function offerEvent(
  tx: Tx,
  jobId: number,
  acts: readonly ToldAct[],
  baseUrl: string,
): Promise<Told | null> {
  const { facts, unit } = await readJob(tx, jobId);
  if (facts.kind !== 'fabricate' || !facts.strangers) return null;
  const part = await tx.part.findUnique({ where: { id: facts.partId ?? 0 }, select: { number: true } });
  const revision = await tx.revision.findUnique({
    where: { id: facts.revisionId ?? 0 },
    select: { letter: true },
  });
  const data = { job: jobId, title: facts.title, part: part?.number ?? null };
  const open = stageOf(facts, true) === 'offered';
  if (open && acts.some((act) => opens(act))) {
    return {
      type: 'offer.opened',
      data: {
        ...data,
        revision: revision?.letter ?? null,
        openQuantity: formatQuantity(quantitiesOf(facts).open, unit),
        href: `${baseUrl}/offers/${jobId}`,
      },
    };
  }
  const wasOffered = facts.offeredAt !== null || acts.some(({ kind }) => kind === 'withdraw-offer');
  if (!open && wasOffered && acts.some(({ kind }) => CLOSING.has(kind))) {
    return { type: 'offer.closed', data: { ...data, href: `${baseUrl}/offers` } };
  }
  return null;
}

/** A changed job opens an offer only when its quantity grew. */
function opens({ kind, before, after }: ToldAct): boolean {
  if (kind !== 'change-job') return OPENING.has(kind);
  const was = noted(before).milli;
  const is = noted(after).milli;
  return typeof was === 'number' && typeof is === 'number' && is > was;
}

/** A day's last computed finish. */
export interface DayFinish {
  day: Day;
  finishOn: Day;
}

/**
 * What it means that the finish is another than on the day before. Days that are over only: a finish may move to and
 * fro while people work.
 *
 * @param records  newest first
 */
export function finishEvent(
  records: readonly DayFinish[],
  today: Day,
  now: Date,
  baseUrl: string,
): HookEvent | null {
  const [last, before] = records.filter(({ day }) => day < today);
  if (!last || !before || last.finishOn === before.finishOn) return null;
  return {
    key: `finish.moved:${last.day}`,
    type: 'finish.moved',
    at: now,
    data: {
      day: last.day,
      finish: last.finishOn,
      before: before.finishOn,
      days: daysBetween(before.finishOn, last.finishOn),
      href: `${baseUrl}/schedule`,
    },
  };
}

/** A call's body, as the open specification Standard Webhooks shapes it: type, timestamp, data. */
export function payloadOf({ type, at, data }: { type: string; at: Date; data: HookEvent['data'] }): string {
  return JSON.stringify({ type, timestamp: at.toISOString(), data });
}
