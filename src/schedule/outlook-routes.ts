import type { FastifyInstance } from 'fastify';
import { partPath } from '../parts/index.ts';
import { dayWords } from '../platform/day.ts';
import { shop } from '../platform/http/guards.ts';
import { driversDrawing } from './drivers-drawing.ts';
import { lateRow, percentText } from './late-view.ts';
import { hoursThisWeek, leadWeek } from './lead-week.ts';
import { nextRow, weekRows } from './next-view.ts';
import { LEAST_DAMAGE_DAYS, type Outlook } from './outlook.ts';
import type { OutlookService, Told } from './outlook-service.ts';
import { sCurveDrawing } from './s-curve-drawing.ts';
import type { ScheduleService } from './service.ts';
import { scheduleTabs } from './tabs.ts';
import { stepPath } from './view.ts';

/** A page waits so long for a simulation that is under way; then it shows the one before, and says so. */
const PATIENCE_MS = 1500;
const NEXT_SHOWN = 60;
const LATE_SHOWN = 100;
const PARTS_SHOWN = 60;

/** GET /schedule/risk, /schedule/next, /schedule/late: what the simulation says. */
export function outlookRoutes(
  app: FastifyInstance,
  schedules: ScheduleService,
  outlooks: OutlookService,
): void {
  const titles = { risk: 'Risk', next: 'Release next', late: 'Late promises' };

  /** What every page of the simulation needs to know: is there anything, and is it of now. */
  function head(name: keyof typeof titles, { outlook, isCurrent }: Told) {
    const { schedule, trouble } = schedules.snapshot();
    return {
      page: { title: titles[name], sheet: `Schedule, ${titles[name].toLowerCase()}`, nav: '/schedule' },
      tabs: scheduleTabs(`/schedule/${name}`),
      trouble,
      isCurrent,
      state: trouble
        ? 'trouble'
        : !schedule || schedule.finishOn === null
          ? schedule && schedule.facts.parts.size + schedule.facts.jobs.length > 0
            ? 'done'
            : 'empty'
          : outlook?.finish
            ? 'open'
            : 'soon',
      runs: outlook?.outcome.runs ?? 0,
    };
  }

  app.get('/schedule/risk', { preHandler: shop }, async (_request, reply) => {
    const told = await outlooks.within(PATIENCE_MS);
    const shown = head('risk', told);
    const { outlook } = told;
    if (shown.state !== 'open' || !outlook?.finish) return reply.page('schedule/risk.njk', shown);
    const { schedule, finish } = outlook;
    const { today } = schedule.facts;
    return reply.page('schedule/risk.njk', {
      ...shown,
      finish: {
        likely: dayWords(schedule.finishOn!, today),
        at50: dayWords(finish.at50, today),
        at80: dayWords(finish.at80, today),
        at95: dayWords(finish.at95, today),
      },
      curve: sCurveDrawing({
        points: finish.curve,
        at50: finish.at50,
        at80: finish.at80,
        at95: finish.at95,
        likely: schedule.finishOn,
        today,
      }),
      drivers: driversDrawing(driversOf(outlook)),
      ...partsReady(outlook),
      strength: schedule.network.history.strength,
    });
  });

  app.get('/schedule/next', { preHandler: shop }, async (_request, reply) => {
    const told = await outlooks.within(PATIENCE_MS);
    const shown = head('next', told);
    const { outlook } = told;
    if (shown.state !== 'open' || !outlook) return reply.page('schedule/next.njk', shown);
    const { schedule, next } = outlook;
    const week = hoursThisWeek(schedule.facts);
    const { plan, left } = leadWeek(next, week.hours);
    return reply.page('schedule/next.njk', {
      ...shown,
      rows: next.slice(0, NEXT_SHOWN).map((step) => nextRow(step, schedule)),
      more: Math.max(0, next.length - NEXT_SHOWN),
      week: { ...week, left, rows: weekRows(plan, schedule) },
    });
  });

  app.get('/schedule/late', { preHandler: shop }, async (_request, reply) => {
    const told = await outlooks.within(PATIENCE_MS);
    const shown = head('late', told);
    const { outlook } = told;
    if (shown.state !== 'open' || !outlook) return reply.page('schedule/late.njk', shown);
    const { late } = outlook;
    const hurting = late.filter(({ damageDays, chance }) => damageDays >= LEAST_DAMAGE_DAYS || chance >= 0.5);
    return reply.page('schedule/late.njk', {
      ...shown,
      rows: hurting.slice(0, LATE_SHOWN).map((claim) => lateRow(claim, outlook)),
      more: Math.max(0, hurting.length - LATE_SHOWN),
      harmless: late.length - hurting.length,
      total: late.length,
    });
  });
}

function driversOf({ schedule, outcome }: Outlook) {
  return schedule.network.nodes.flatMap((step, at) => {
    const criticality = outcome.criticality[at]!;
    if (step.kind === 'mark' || criticality === 0) return [];
    const sensitivity = step.duration.spread ? outcome.sensitivity[at]! : Number.NaN;
    return [{ label: step.label, href: stepPath(step.key), criticality, sensitivity }];
  });
}

/** When each assembly is ready, by plan and at 50 and 80 of a hundred runs; the latest first. */
function partsReady({ schedule, outcome }: Outlook) {
  const { network, facts, dates } = schedule;
  const { calendar } = network;
  const rows = [...network.readyMarks]
    .map(([partId, mark]) => ({ part: facts.parts.get(partId)!, mark }))
    .filter(({ part }) => part.kind === 'assembly')
    .sort((a, b) => outcome.at80[b.mark]! - outcome.at80[a.mark]! || a.part.id - b.part.id);
  const words = (moment: number) => dayWords(calendar.dayAt(moment), facts.today);
  // The moment of being ready may lie beside the chain that its fit-up is on: of all its steps the one that drives most.
  const drives = (partId: number) =>
    network.nodes.reduce(
      (most, step, at) => (step.partId === partId ? Math.max(most, outcome.criticality[at]!) : most),
      0,
    );
  return {
    assemblies: rows.slice(0, PARTS_SHOWN).map(({ part, mark }) => ({
      number: part.number,
      name: part.name,
      href: partPath(part.number),
      likely: words(dates.earlyEnds[mark]!),
      at50: words(outcome.at50[mark]!),
      at80: words(outcome.at80[mark]!),
      critical: percentText(drives(part.id)),
    })),
    moreAssemblies: Math.max(0, rows.length - PARTS_SHOWN),
  };
}
