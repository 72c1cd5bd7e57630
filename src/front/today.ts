import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import {
  type ClaimFacts,
  cardNamesReader,
  factsReader,
  isOver,
  type JobFacts,
  jobCards,
  momentReader,
} from '../jobs/index.ts';
import type { Context } from '../platform/context.ts';
import { type Day, dayIn, daysBetween, dayWords } from '../platform/day.ts';
import type { SignedIn } from '../platform/http/types.ts';
import {
  LEAST_DAMAGE_DAYS,
  type LeadStep,
  leadSteps,
  type OutlookService,
  type Schedule,
  type ScheduleService,
  type StartableStep,
  spreadOf,
  startableSteps,
} from '../schedule/index.ts';
import { finishSentence, movedSinceAWeek, plannedLines, simulatedLines, spreadLines } from './today-view.ts';

const STEPS_SHOWN = 12;

/** A claim whose maker has said nothing for longer than the build's setting. */
interface SilentClaim {
  jobId: number;
  title: string;
  maker: string;
  makerId: number;
  days: number;
}

/** What other domains have to say on the first page; app.ts hands them in. */
export interface TodayParts {
  schedule: ScheduleService;
  outlooks: OutlookService;
  /** parcels that have come and are not inspected whole */
  parcelsHere(): Promise<{ href: string; text: string; since: string }[]>;
  decisionsWaiting(): Promise<{ href: string; text: string; note: string }[]>;
}

/** The first page: for the lead what to do next, for a maker what is asked of them, for a visitor what this is. */
export function todayRoutes(app: FastifyInstance, context: Context, parts: TodayParts): void {
  const { db, clock } = context;
  const facts = factsReader(db);
  const cardNames = cardNamesReader(db);
  const moment = momentReader(db);

  // The same schedule has the same steps: they are worked out once for each, not for each look at the page.
  let kept: { of: Schedule; startable: StartableStep[]; lead: LeadStep[] } | null = null;
  function stepsOf(now: Schedule) {
    if (kept?.of !== now) {
      const startable = startableSteps(now);
      kept = { of: now, startable, lead: leadSteps(now, startable) };
    }
    return kept;
  }

  async function readBuild() {
    const build = await db.read.build.findUniqueOrThrow({ where: { id: 1 } });
    return { build, today: dayIn(build.timeZone, clock.now()) };
  }

  const isOpen = (claim: ClaimFacts) =>
    claim.milli - claim.backMilli > claim.travellingMilli + claim.arrivedMilli;

  function silentClaims(
    jobs: readonly JobFacts[],
    names: ReadonlyMap<number, string>,
    today: Day,
    { timeZone, silentAfterDays }: { timeZone: string; silentAfterDays: number },
  ): SilentClaim[] {
    return jobs
      .filter(({ droppedAt, heldAt }) => !droppedAt && !heldAt)
      .flatMap((job) =>
        job.claims.filter(isOpen).map((claim) => ({
          jobId: job.id,
          title: job.title,
          maker: names.get(claim.personId) ?? 'somebody',
          makerId: claim.personId,
          days: daysBetween(dayIn(timeZone, new Date(claim.lastWordAt)), today),
        })),
      )
      .filter(({ days }) => days > silentAfterDays)
      .sort((a, b) => b.days - a.days);
  }

  async function shopPage(request: FastifyRequest, reply: FastifyReply) {
    const { build, today } = await readBuild();
    const { schedule } = parts;
    const { schedule: now, trouble } = schedule.snapshot();
    const weekAgo = schedule.weekAgo();
    const { startable, lead } = now ? stepsOf(now) : { startable: [], lead: [] };
    const { outlook, isCurrent } = parts.outlooks.now();
    const steps = now === null ? 0 : (outlook?.next ?? lead).length;
    const next =
      now === null
        ? []
        : outlook
          ? simulatedLines(outlook, STEPS_SHOWN)
          : plannedLines(now, lead, STEPS_SHOWN);
    const people = await db.read.person.findMany({ select: { id: true, name: true } });
    const names = new Map(people.map(({ id, name }) => [id, name]));
    const queries = await db.read.query.findMany({
      where: { answer: null, job: { droppedAt: null } },
      include: { job: { select: { title: true } } },
      orderBy: { id: 'asc' },
    });
    const strangers =
      request.person?.role === 'lead' ? await db.read.strangerOffer.count({ where: { settledAt: null } }) : 0;
    return reply.page('front/today.njk', {
      page: { title: 'Today', nav: '/' },
      empty: now === null || now.facts.parts.size + now.facts.jobs.length === 0,
      trouble,
      finish: finishSentence(now?.finishOn ?? null, weekAgo?.finishOn ?? null, today),
      spreadFinish: outlook?.finish && {
        at50: dayWords(outlook.finish.at50, today),
        at80: dayWords(outlook.finish.at80, today),
        moved: movedSinceAWeek(weekAgo?.at80On ?? null, outlook.finish.at80),
        at95: dayWords(outlook.finish.at95, today),
      },
      isSimulated: outlook !== null,
      isCurrent,
      late: (outlook?.late ?? []).filter(({ damageDays }) => damageDays >= LEAST_DAMAGE_DAYS).length,
      next,
      more: Math.max(0, steps - STEPS_SHOWN),
      parcels: await parts.parcelsHere(),
      queries: queries.map(({ jobId, question, askedById, askedAt, job }) => ({
        href: `/jobs/${jobId}#queries`,
        jobId,
        title: job.title,
        question: question.length > 160 ? `${question.slice(0, 159)}…` : question,
        who: names.get(askedById) ?? 'somebody',
        days: daysBetween(dayIn(build.timeZone, askedAt), today),
      })),
      silent: silentClaims(facts.all(), names, today, build),
      silentAfterDays: build.silentAfterDays,
      strangers,
      decisions: await parts.decisionsWaiting(),
      spread: spreadLines(spreadOf(startable)),
      total: startable.length,
    });
  }

  /** The cards of a person's open jobs, what is asked of them first. */
  function ownCards(person: SignedIn) {
    const own = facts.all().filter((job) => job.claims.some((claim) => claim.personId === person.id));
    const viewer = { personId: person.id, role: person.role };
    return jobCards(own, cardNames(), parts.schedule, viewer, moment(clock.now()))
      .filter(({ stage }) => !isOver(stage))
      .sort((a, b) => Number(b.ask?.whom === 'you') - Number(a.ask?.whom === 'you') || a.number - b.number);
  }

  async function makerPage(person: SignedIn, reply: FastifyReply) {
    const { today } = await readBuild();
    const { schedule: now } = parts.schedule.snapshot();
    return reply.page('front/maker.njk', {
      page: { title: 'Today', nav: '/' },
      finish: finishSentence(now?.finishOn ?? null, parts.schedule.weekAgo()?.finishOn ?? null, today),
      cards: ownCards(person),
    });
  }

  async function visitorPage(reply: FastifyReply) {
    const { build } = await readBuild();
    const bulletin = await db.read.bulletin.findFirst({
      where: { publishedAt: { not: null } },
      orderBy: { week: 'desc' },
    });
    return reply.page('front/visitor.njk', {
      page: { title: build.name, nav: '/' },
      about: build.about,
      bulletin: bulletin && { week: bulletin.week, title: bulletin.title },
    });
  }

  app.get('/', (request, reply) => {
    const { person } = request;
    if (!person) return visitorPage(reply);
    return person.role === 'maker' ? makerPage(person, reply) : shopPage(request, reply);
  });
}
