import { isSpent } from '../drawings/index.ts';
import { type VerdictStep, verdictSteps } from '../fits/index.ts';
import { type FactsReader, type JobTimes, stageOf } from '../jobs/index.ts';
import { formatMoney, formatQuantity, partPath, structureGraph, type Unit } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { addDays, dayWords } from '../platform/day.ts';
import type { Moment } from './moment.ts';
import { peopleNames } from './problem-reader.ts';
import { type Holder, holdersOf, lotKey, type PartImpact, partImpact } from './redesign-impact.ts';
import type { RedesignState } from './redesign-rules.ts';

/** A part of a redesign, with the revision before and the one begun for it. */
export interface ChangedPart {
  id: number;
  number: string;
  name: string;
  unit: Unit;
  removed: boolean;
  /** the revision in force before, and the new one; null where there is none yet */
  fromId: number | null;
  toId: number | null;
  toLetter: string;
  /** when its new revision was released */
  toReleasedAt: Date | null;
  /** whether the release of its new revision is still to come */
  pending: boolean;
}

/** More rows than this nobody reads; the top is always shown. */
const MOST_HOLDERS = 40;
const MOST_FITS = 60;

/** What a redesign touches, as its page shows it; null for one that touches no part, or was dropped. */
export async function readImpact(
  { read, hot }: Pick<Database, 'read' | 'hot'>,
  { facts, times }: { facts: FactsReader; times: JobTimes },
  { state, parts }: { state: RedesignState; parts: readonly ChangedPart[] },
  moment: Moment,
) {
  if (parts.length === 0 || state === 'dropped') return null;
  const graph = structureGraph(hot);
  const ids = parts.map(({ id }) => id);
  const bare = holdersOf(graph.structure, ids, new Map());
  const fitted = await fittedTogether(read, [...bare.map(({ partId }) => partId), ...ids]);
  const holders = bare.map((one): Holder => ({ ...one, fittedMilli: fitted.get(one.partId) ?? 0 }));
  const jobs = new Map(parts.map(({ id }) => [id, facts.ofPart(id)]));
  const claimIds = [...jobs.values()].flat().flatMap((job) => job.claims.map(({ id }) => id));
  const listed = await read.oldUnits.findMany({
    where: { claimId: { in: claimIds } },
    orderBy: { id: 'asc' },
  });
  const impacts = parts.map((part) => {
    const impact = partImpact(
      graph.structure,
      {
        id: part.id,
        toId: part.toId,
        shelfMilli: graph.parts.get(part.id)?.shelfMilli ?? 0,
        jobs: jobs.get(part.id) ?? [],
      },
      new Set(listed.filter(({ decidedAs }) => isSpent(decidedAs)).map(lotKey)),
      fitted,
    );
    return part.pending ? impact : { ...impact, asked: [], lots: [] };
  });
  const names = await peopleNames(read, [
    ...impacts.flatMap(({ asked, lots }) => [
      ...asked.map(({ claim }) => claim.personId),
      ...lots.map(({ personId }) => personId),
    ]),
  ]);
  const letters = await lettersOf(read, impacts);
  const open = await read.notice.findMany({
    where: {
      claimId: { in: impacts.flatMap(({ asked }) => asked.map(({ claim }) => claim.id)) },
      settledAt: null,
    },
    select: { claimId: true, revision: { select: { letter: true } } },
  });
  const unanswered = new Map(open.map(({ claimId, revision }) => [claimId, revision.letter]));
  const context = { parts, names, letters, unanswered, moment };
  const steps = await verdictSteps(
    read,
    parts.map(({ id, fromId, toId }) => ({ partId: id, fromId, toId })),
  );
  const before = state === 'under way';
  return {
    before,
    fits: fitsView(steps, parts),
    makers: before ? impacts.flatMap((impact) => askedRows(context, impact)) : await toldRows(read, context),
    jobs: impacts.flatMap((impact) => jobRows(context, impact, times, before)),
    units: await unitRows(read, context, { impacts, listed, before, cost: graph.cost() }),
    holders: holderRows(holders, parts, graph),
    /** for the schedule: claims to settle and lots to decide on */
    asked: impacts.reduce((sum, { asked }) => sum + asked.length, 0),
    lots: impacts.reduce((sum, { lots }) => sum + lots.length, 0),
  };
}

export type Impact = NonNullable<Awaited<ReturnType<typeof readImpact>>>;

interface Naming {
  parts: readonly ChangedPart[];
  names: ReadonlyMap<number, string>;
  letters: ReadonlyMap<number, string>;
  /** by claim: the letter about which its maker was asked before, and has not answered */
  unanswered: ReadonlyMap<number, string>;
  moment: Moment;
}

/** How much of each part has been fitted together by finished jobs. */
async function fittedTogether(
  read: Database['read'],
  partIds: readonly number[],
): Promise<ReadonlyMap<number, number>> {
  const rows = await read.job.groupBy({
    by: ['partId'],
    where: { partId: { in: [...partIds] }, kind: 'fit-up', finishedAt: { not: null }, droppedAt: null },
    _sum: { milli: true },
  });
  return new Map(rows.map(({ partId, _sum }) => [partId ?? 0, _sum.milli ?? 0]));
}

async function lettersOf(read: Database['read'], impacts: readonly PartImpact[]) {
  const ids = impacts.flatMap(({ asked, lots }) => [
    ...asked.map(({ claim }) => claim.revisionId ?? 0),
    ...lots.map(({ revisionId }) => revisionId),
  ]);
  const rows = await read.revision.findMany({
    where: { id: { in: [...new Set(ids)] } },
    select: { id: true, letter: true },
  });
  return new Map(rows.map(({ id, letter }) => [id, letter]));
}

const named = ({ number, name }: Pick<ChangedPart, 'number' | 'name'>) => ({
  number,
  name,
  href: partPath(number),
});

function fitsView(steps: readonly VerdictStep[], parts: readonly ChangedPart[]) {
  const shown = steps.slice(0, MOST_FITS);
  const moved = ({ was, is }: VerdictStep) => is !== null && is.margin !== was.margin;
  return {
    total: steps.length,
    worse: steps.filter(({ turn }) => turn === 'worse').length,
    better: steps.filter(({ turn }) => turn === 'better').length,
    unknown: steps.filter(({ is }) => is === null).length,
    left: steps.length - shown.length,
    rows: shown.map((step) => ({
      ...step,
      parts: parts.filter(({ id }) => step.partIds.includes(id)).map(({ number }) => number),
      moved: moved(step),
    })),
  };
}

/** Before the release: whom it will ask, and what they have in hand. */
function askedRows({ parts, names, letters, unanswered, moment }: Naming, { partId, asked }: PartImpact) {
  const part = parts.find(({ id }) => id === partId)!;
  return asked.map(({ claim, job, withMakerMilli, onTheWayMilli }) => {
    const promised = addDays(moment.dayOf(new Date(claim.claimedAt)), claim.likelyDays);
    return {
      part: named(part),
      maker: names.get(claim.personId) ?? '',
      job: { id: job.id, href: `/jobs/${job.id}` },
      letter: letters.get(claim.revisionId ?? 0) ?? '',
      withMaker: withMakerMilli > 0 ? formatQuantity(withMakerMilli, part.unit) : '',
      onTheWay: onTheWayMilli > 0 ? formatQuantity(onTheWayMilli, part.unit) : '',
      promised: withMakerMilli > 0 ? dayWords(promised, moment.today) : '',
      begun: claim.startedAt !== null || claim.doneMilli > 0,
      unanswered: unanswered.get(claim.id) ?? '',
      answer: '',
      waits: false,
    };
  });
}

/** After the release: who was told, and what they answered. */
async function toldRows(read: Database['read'], { parts, moment }: Naming) {
  const toIds = parts.flatMap(({ toId }) => toId ?? []);
  const notices = await read.notice.findMany({
    where: { revisionId: { in: toIds } },
    include: { revision: { select: { partId: true } } },
    orderBy: [{ settledAt: 'asc' }, { id: 'asc' }],
  });
  const claims = await read.claim.findMany({
    where: { id: { in: notices.map(({ claimId }) => claimId) } },
    select: { id: true, personId: true, jobId: true, milli: true, backMilli: true },
  });
  const names = await peopleNames(
    read,
    claims.map(({ personId }) => personId),
  );
  const olds = await read.revision.findMany({
    where: { id: { in: notices.map(({ oldRevisionId }) => oldRevisionId) } },
    select: { id: true, letter: true },
  });
  return notices.flatMap((notice) => {
    const part = parts.find(({ id }) => id === notice.revision.partId);
    const claim = claims.find(({ id }) => id === notice.claimId);
    if (!part || !claim) return [];
    return [
      {
        part: named(part),
        maker: names.get(claim.personId) ?? '',
        job: { id: claim.jobId, href: `/jobs/${claim.jobId}` },
        letter: olds.find(({ id }) => id === notice.oldRevisionId)?.letter ?? '',
        withMaker: formatQuantity(Math.max(0, claim.milli - claim.backMilli), part.unit),
        onTheWay: '',
        promised: '',
        begun: false,
        unanswered: '',
        answer: notice.settledAt
          ? `${notice.settledAs === 'taken up' ? `takes ${part.toLetter} up` : 'finishes the old one'}, ${moment.words(notice.settledAt)}`
          : '',
        waits: notice.settledAt === null,
      },
    ];
  });
}

function jobRows({ parts }: Naming, { partId, jobs }: PartImpact, times: JobTimes, before: boolean) {
  const part = parts.find(({ id }) => id === partId)!;
  const to = part.toLetter || 'the new revision';
  return jobs.map(({ job, movesMilli, losesFirstPiece }) => {
    const words = [
      movesMilli > 0 && `${formatQuantity(movesMilli, part.unit)} that nobody has claimed: made to ${to}`,
      losesFirstPiece && `its first piece is to be approved again, of ${to}`,
    ].filter(Boolean);
    return {
      id: job.id,
      title: job.title,
      href: `/jobs/${job.id}`,
      part: named(part),
      stage: stageOf(job, times.of(job.id)?.ready ?? true),
      what: before ? words.join('; ') || 'goes on as it is' : '',
    };
  });
}

/** Accepted units of each part, and what they cost, where that is known. */
async function unitRows(
  read: Database['read'],
  { parts, names, letters, moment }: Naming,
  {
    impacts,
    listed,
    before,
    cost,
  }: {
    impacts: readonly PartImpact[];
    listed: readonly {
      at: Date;
      milli: number;
      decidedAs: string | null;
      decidedAt: Date | null;
    }[];
    before: boolean;
    cost: ReadonlyMap<number, { value: number | null; unknownParts: number }>;
  },
) {
  const { currency } = await read.build.findUniqueOrThrow({ where: { id: 1 }, select: { currency: true } });
  const claimIds = impacts.flatMap(({ lots }) => lots.map(({ claimId }) => claimId));
  const hours = await read.report.groupBy({
    by: ['claimId'],
    where: { claimId: { in: claimIds } },
    _sum: { hours: true },
  });
  const hoursOf = (claimId: number) => hours.find((row) => row.claimId === claimId)?._sum.hours ?? 0;
  return impacts.map((impact) => {
    const part = parts.find(({ id }) => id === impact.partId)!;
    const quantity = (milli: number) => (milli > 0 ? formatQuantity(milli, part.unit) : '');
    const decideMilli = impact.lots.reduce((sum, { milli }) => sum + milli, 0);
    const each = cost.get(part.id);
    const known = each?.value ?? null;
    const spent = impact.lots.reduce((sum, { claimId }) => sum + hoursOf(claimId), 0);
    // All that a release lists bears its moment: lots of every older drawing, not of the one before alone.
    const old = before ? [] : listed.filter(({ at }) => at.getTime() === part.toReleasedAt?.getTime());
    return {
      part: named(part),
      accepted: quantity(impact.acceptedMilli),
      shelf: quantity(impact.shelfMilli),
      fitted: quantity(impact.fittedMilli),
      decide: quantity(decideMilli),
      lots: impact.lots.map((lot) => ({
        job: { id: lot.jobId, href: `/jobs/${lot.jobId}` },
        maker: names.get(lot.personId) ?? '',
        letter: letters.get(lot.revisionId) ?? '',
        amount: formatQuantity(lot.milli, part.unit),
      })),
      cost:
        decideMilli > 0 && known !== null
          ? `${each?.unknownParts ? 'at least ' : ''}${formatMoney(Math.round((known * decideMilli) / 1000), currency)}`
          : '',
      hours: spent > 0 ? `${Number(spent.toFixed(1))} h` : '',
      /** what was listed by the release, and what was decided */
      decided: old.map(({ milli, decidedAs, decidedAt }) => ({
        amount: formatQuantity(milli, part.unit),
        as: decidedAs ?? '',
        on: decidedAt ? moment.words(decidedAt) : '',
      })),
      revisionHref: part.toId ? `/revisions/${part.toId}` : '',
    };
  });
}

function holderRows(
  holders: readonly Holder[],
  parts: readonly ChangedPart[],
  graph: ReturnType<typeof structureGraph>,
) {
  const tops = holders.filter(({ top }) => top);
  const shown = [...holders.filter(({ top }) => !top).slice(0, MOST_HOLDERS), ...tops.slice(0, MOST_HOLDERS)];
  return {
    total: holders.length,
    left: holders.length - shown.length,
    fitted: holders.filter(({ fittedMilli }) => fittedMilli > 0).length,
    rows: shown.map((holder) => {
      const row = graph.parts.get(holder.partId)!;
      return {
        ...named(row),
        direct: holder.direct,
        top: holder.top,
        holds: holder.holds
          .map(({ partId, milli }) => {
            const part = parts.find(({ id }) => id === partId)!;
            return `${formatQuantity(milli, part.unit)} of ${part.number}`;
          })
          .join(', '),
        needed: formatQuantity(graph.required().get(holder.partId) ?? 0, row.unit),
        fitted: holder.fittedMilli > 0 ? formatQuantity(holder.fittedMilli, row.unit) : '',
      };
    }),
  };
}
