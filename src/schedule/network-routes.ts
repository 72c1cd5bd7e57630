import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { dayWords } from '../platform/day.ts';
import { shop } from '../platform/http/guards.ts';
import { type NearChain, nearChain, neighboursOf, networkBoxes, stateOf } from './near-chain.ts';
import { networkRails, networkStrips } from './network-drawing.ts';
import type { Schedule } from './schedule.ts';
import type { ScheduleService } from './service.ts';
import { scheduleTabs } from './tabs.ts';
import { type StepRow, stepRow } from './view.ts';

const ROWS = 60;
/** Working days of float that a step beside the chain may have. */
const WITHIN = [0, 5, 10, 20, 40];

// What can't be read is not asked: the page itself is always there.
const Asked = z.object({
  within: z.coerce
    .number()
    .refine((days) => WITHIN.includes(days))
    .nullable()
    .catch(null),
  page: z.coerce.number().int().min(1).max(10_000).catch(1),
});

/** A step in the table beside the drawing, with what sets its start and what it holds up first. */
interface NetworkRow extends StepRow {
  state: string;
  onChain: boolean;
  waitsFor: { label: string; href: string } | null;
  holds: { label: string; href: string } | null;
}

/** GET /schedule/network: the chain that sets the finish, and what runs beside it with little float. */
export function networkRoutes(app: FastifyInstance, service: ScheduleService): void {
  app.get('/schedule/network', { preHandler: shop }, async (request, reply) => {
    const { schedule } = service.snapshot();
    const head = {
      page: { title: 'Network', sheet: 'Schedule, network', nav: '/schedule' },
      tabs: scheduleTabs('/schedule/network'),
    };
    if (!schedule || schedule.finishOn === null) return reply.page('schedule/network.njk', head);
    const asked = Asked.parse(request.query);
    const { within, near } =
      asked.within === null ? firstNeighbours(schedule) : askedFor(schedule, asked.within);
    const { boxes, left } = networkBoxes(schedule, near);
    const { earlyStarts, floats } = schedule.dates;
    const all = [...near.chain, ...near.beside].sort(
      (a, b) => earlyStarts[a]! - earlyStarts[b]! || floats[a]! - floats[b]! || a - b,
    );
    const pages = Math.max(1, Math.ceil(all.length / ROWS));
    const page = Math.min(asked.page, pages);
    const address = (to: number) => `/schedule/network?within=${within}&page=${to}#table`;
    return reply.page('schedule/network.njk', {
      ...head,
      finish: dayWords(schedule.finishOn, schedule.facts.today),
      form: { values: { within }, errors: {} },
      within,
      choices: WITHIN.map((days) => ({
        value: days,
        label: days === 0 ? 'no float' : `up to ${days} days of float`,
      })),
      strips: networkStrips(boxes),
      rails: networkRails(boxes),
      left,
      rows: tableRows(schedule, all.slice((page - 1) * ROWS, page * ROWS), new Set(near.chain)),
      counts: { chain: near.chain.length, beside: near.beside.length },
      pager: {
        page,
        pages,
        prev: page > 1 ? address(page - 1) : '',
        next: page < pages ? address(page + 1) : '',
        text: `${all.length} steps`,
      },
    });
  });
}

function askedFor(schedule: Schedule, within: number): { within: number; near: NearChain } {
  return { within, near: nearChain(schedule, within) };
}

/** Where nobody said how much float: as little as shows that anything runs beside the chain. */
function firstNeighbours(schedule: Schedule): { within: number; near: NearChain } {
  const widening = WITHIN.map((within) => askedFor(schedule, within));
  return widening.find(({ near }) => near.beside.length > 0) ?? widening.at(-1)!;
}

function tableRows(schedule: Schedule, steps: readonly number[], chain: ReadonlySet<number>): NetworkRow[] {
  const { before, after } = neighboursOf(schedule);
  const named = (found: { at: number } | null) => {
    if (!found) return null;
    const { label, href } = stepRow(schedule, found.at);
    return { label, href };
  };
  return steps.map((at) => ({
    ...stepRow(schedule, at),
    state: stateOf(schedule, at),
    onChain: chain.has(at),
    waitsFor: named(before(at)),
    holds: named(after(at)),
  }));
}
