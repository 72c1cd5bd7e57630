import type { FastifyInstance } from 'fastify';
import { cardNamesReader, factsReader, JOB_KINDS, jobCards, momentReader } from '../jobs/index.ts';
import type { Context } from '../platform/context.ts';
import { dayWords } from '../platform/day.ts';
import { signedIn } from '../platform/http/guards.ts';
import { finishMoved, type ScheduleService } from '../schedule/index.ts';
import { BoardAddress, type BoardFilter, boardPath, isAskedFor, partAndBelow } from './filter.ts';
import { type BoardJob, countsInWords, inReadingOrder, PAGE_ROWS, zonesOf } from './zones.ts';

/** GET /board: all jobs by stage, filtered by what stands in the address; the page follows the acts as they come. */
export function boardRoutes(app: FastifyInstance, { db, clock }: Context, service: ScheduleService): void {
  const facts = factsReader(db);
  const readNames = cardNamesReader(db);
  const momentOf = momentReader(db);

  app.get('/board', { preHandler: signedIn }, async (request, reply) => {
    const { id: personId, role } = request.person!;
    const filter = BoardAddress.parse(request.query);
    const { schedule } = service.snapshot();
    const jobs = schedule?.facts.jobs ?? facts.all();
    const names = readNames();
    const moment = momentOf(clock.now());
    const times = {
      of: (jobId: number) => schedule?.jobTimes.get(jobId) ?? null,
      ofPart: (partId: number) => schedule?.partTimes.get(partId) ?? null,
      finishOn: () => schedule?.finishOn ?? null,
    };
    const cards = jobCards(jobs, names, times, { personId, role }, moment);
    const all = cards.map((card, at): BoardJob => ({ card, job: jobs[at]!, unit: names.unitOf(jobs[at]!) }));
    const below =
      filter.assembly !== null && schedule ? partAndBelow(schedule.facts.structure, filter.assembly) : null;
    const asked = all.filter(({ card, job }) => isAskedFor(card, job, filter, below));
    const makerId = role === 'maker' ? personId : null;

    const shown =
      filter.stage === null
        ? { zones: zonesOf(asked, makerId), only: null }
        : { zones: [], only: onePage(asked, filter, makerId) };
    const weekAgo = service.weekAgo();
    return reply.page('board/board.njk', {
      page: { title: 'Board', sheet: filter.stage ? `Board, ${filter.stage}` : 'Board', nav: '/board' },
      here: boardPath(filter),
      ...shown,
      empty: all.length === 0,
      nothing: asked.length === 0,
      yours: makerId === null ? [] : askedOf(asked),
      told: toldOf(asked),
      finish: schedule?.finishOn && {
        day: dayWords(schedule.finishOn, moment.today),
        moved: weekAgo ? finishMoved(schedule.finishOn, weekAgo, moment.today) : null,
      },
      filter,
      filtered: boardPath({ ...filter, stage: null, page: 1 }) !== '/board',
      whole: boardPath({ ...filter, stage: null, page: 1 }),
      stagePath: (stage: BoardFilter['stage']) => boardPath({ ...filter, stage, page: 1 }),
      form: { values: { ...filter }, errors: {} },
      choices: choicesOf(all, schedule?.facts.parts),
    });
  });
}

/** What is asked of a maker, before anything else. */
function askedOf(jobs: readonly BoardJob[]) {
  return inReadingOrder(
    jobs.filter(({ card }) => card.ask?.whom === 'you'),
    null,
  ).map(({ card }) => card);
}

function onePage(jobs: readonly BoardJob[], filter: BoardFilter, makerId: number | null) {
  const inOrder = inReadingOrder(jobs, makerId);
  const pages = Math.max(1, Math.ceil(inOrder.length / PAGE_ROWS));
  const page = Math.min(filter.page, pages);
  return {
    stage: filter.stage,
    counts: countsInWords(jobs),
    cards: inOrder.slice((page - 1) * PAGE_ROWS, page * PAGE_ROWS).map(({ card }) => card),
    pager: {
      page,
      pages,
      prev: page > 1 ? boardPath({ ...filter, page: page - 1 }) : '',
      next: page < pages ? boardPath({ ...filter, page: page + 1 }) : '',
      text: `${inOrder.length} jobs`,
    },
  };
}

/** The line under the heading: how many jobs are open, in whose hands, and how many wait for the reader. */
function toldOf(jobs: readonly BoardJob[]) {
  let open = 0;
  let withMakers = 0;
  let offered = 0;
  let yours = 0;
  for (const { card } of jobs) {
    if (card.stage === 'accepted' || card.stage === 'finished' || card.stage === 'dropped') continue;
    open += 1;
    if (card.stage === 'promised' || (card.stage === 'in work' && card.kind === 'fabricate')) withMakers += 1;
    if (card.stage === 'offered') offered += 1;
    if (card.ask?.whom === 'you') yours += 1;
  }
  return { open, withMakers, offered, yours };
}

/** What the filters can be set to: only what some job has. */
function choicesOf(
  jobs: readonly BoardJob[],
  parts: ReadonlyMap<number, { id: number; number: string; name: string; kind: string }> | undefined,
) {
  const makers = new Map<number, string>();
  const processes = new Set<string>();
  for (const { card } of jobs) {
    for (const { personId, name } of card.who) makers.set(personId, name);
    if (card.process) processes.add(card.process);
  }
  const assemblies = [...(parts?.values() ?? [])].filter(({ kind }) => kind === 'assembly');
  return {
    assemblies: assemblies.map(({ id, number, name }) => ({ value: id, label: `${name}, ${number}` })),
    makers: [...makers]
      .map(([value, label]) => ({ value, label }))
      .sort((a, b) => a.label.localeCompare(b.label)),
    processes: [...processes].sort(),
    kinds: [...JOB_KINDS],
  };
}
