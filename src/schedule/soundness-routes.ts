import type { FastifyInstance } from 'fastify';
import type { Context } from '../platform/context.ts';
import { dayWords } from '../platform/day.ts';
import { shop } from '../platform/http/guards.ts';
import type { ScheduleService } from './service.ts';
import { type Finding, PRACTICES, soundnessOf, type Verdict, worstOf } from './soundness.ts';
import { aroundReader } from './soundness-reader.ts';
import { scheduleTabs } from './tabs.ts';

/** So many of what a check found stand open on the page; more are folded. */
const SHOWN = 6;

/** GET /schedule/soundness: whether the plan can be trusted, and what to do where it can't. */
export function soundnessRoutes(app: FastifyInstance, context: Context, service: ScheduleService): void {
  const around = aroundReader(context.db);

  app.get('/schedule/soundness', { preHandler: shop }, (request, reply) => {
    const { schedule, trouble } = service.snapshot();
    const head = {
      page: { title: 'Soundness of the plan', sheet: 'Schedule, soundness', nav: '/schedule' },
      trouble,
      tabs: scheduleTabs('/schedule/soundness'),
    };
    if (!schedule) return reply.page('schedule/soundness.njk', { ...head, state: 'trouble' });
    if (schedule.finishOn === null) {
      const empty = schedule.facts.parts.size === 0 && schedule.facts.jobs.length === 0;
      return reply.page('schedule/soundness.njk', { ...head, state: empty ? 'empty' : 'done' });
    }
    const findings = soundnessOf(schedule, around());
    const isLead = request.person?.role === 'lead';
    const count = (verdict: Verdict) => findings.filter((one) => one.verdict === verdict).length;
    return reply.page('schedule/soundness.njk', {
      ...head,
      state: 'open',
      finish: dayWords(schedule.finishOn),
      counts: { act: count('act'), look: count('look'), ok: count('ok'), all: findings.length },
      first: findings.filter(({ verdict }) => verdict === 'act').map((one) => checkView(one, isLead)),
      practices: PRACTICES.map(({ key, name }, at) => {
        const own = findings.filter(({ practice }) => practice === key);
        return {
          number: at + 1,
          key,
          name,
          verdict: worstOf(own),
          checks: own.map((one) => checkView(one, isLead)),
        };
      }),
    });
  });
}

function checkView({ key, title, verdict, said, advice, items, found }: Finding, isLead: boolean) {
  // A maker's page is the lead's alone: others read the name.
  const seen = items.map((item) =>
    item.href.startsWith('/makers/') && !isLead ? { ...item, href: '' } : item,
  );
  return {
    key,
    title,
    verdict,
    said,
    advice,
    shown: seen.slice(0, SHOWN),
    folded: seen.slice(SHOWN),
    rest: found - seen.length,
  };
}
