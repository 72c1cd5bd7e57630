import type { FastifyInstance } from 'fastify';
import { partPath } from '../parts/index.ts';
import type { Context } from '../platform/context.ts';
import { shop } from '../platform/http/guards.ts';
import { type CheckCode, soundnessFindings } from './checks.ts';
import { factorFindings, matingFindings, needlessFindings } from './fit-checks.ts';
import { readModelFindings } from './model-checks.ts';
import { readBuildSpecs } from './reader.ts';

/** So many findings of one check stand on the page; when they are put right the others follow. */
const MOST_OF_A_CHECK = 60;

/** The checks in the order of the page: what each looks for, what to do, and when there is nothing. */
const CHECKS: readonly { code: CheckCode; title: string; advice: string; sound: string }[] = [
  {
    code: 'measured',
    title: 'Measured values in another unit',
    advice:
      'Look at the piece again. A value put down wrongly counts for nothing in the capability of its maker.',
    sound: 'No measured value looks like another unit or a slipped point.',
  },
  {
    code: 'shelf',
    title: 'Limits that changed while units of the old drawing are kept',
    advice: 'Measure those units against the new limits, then decide: use, rework or scrap.',
    sound: 'No kept unit was made to other limits than those of the released drawing.',
  },
  {
    code: 'model',
    title: 'Models that do not agree with their drawing',
    advice:
      'Each revision says what to do about it, under the model and the sizes. A part that lies askew in its file may be found wrongly.',
    sound:
      'No model or flat pattern disagrees with its sizes, its process, its material or the revision before.',
  },
  {
    code: 'tolerance',
    title: 'Tolerances the process does not hold',
    advice: 'Widen the tolerance where the function allows it, or name a finer process for the part.',
    sound: 'No dimension asks for more than its process holds at its best.',
  },
  {
    code: 'mating',
    title: 'Mating parts with no fit',
    advice:
      'A hole and a shaft of one size in one assembly: if they meet, make the fit, and it is judged from then on; if they do not, leave it.',
    sound: 'No hole and shaft of one size stand in one assembly without a fit.',
  },
  {
    code: 'needless',
    title: 'Tolerances tighter than any fit or chain needs',
    advice:
      'Each costs a maker evenings. Draw a new revision with the coarser one, one size at a time, or make the fit or chain that needs it.',
    sound: 'No tolerance is tighter than its fits and chains need.',
  },
  {
    code: 'units',
    title: 'Units that look mixed',
    advice: 'Write all sizes of a drawing in one unit, and compare the figures with the model.',
    sound:
      'No drawing has sizes in both units, none changed by 25.4 or by ten times, and no two that belong together are so far apart.',
  },
  {
    code: 'material',
    title: 'Made parts without material',
    advice: 'Choose the material: no drawing is released without it, and neither mass nor cautions follow.',
    sound: 'Every made part names its material.',
  },
];

/** Whether the specs of the build hold together: what does not look sound, and what to do about it. */
export function soundnessRoutes(app: FastifyInstance, { db }: Pick<Context, 'db'>): void {
  app.get('/specs/soundness', { preHandler: shop }, async (_request, reply) => {
    const { parts, values, finest, counts, fitFacts } = await readBuildSpecs(db);
    const findings = [
      ...soundnessFindings(parts, values, finest),
      ...needlessFindings(parts, fitFacts),
      ...matingFindings(parts, fitFacts),
      ...factorFindings(parts, fitFacts),
      ...(await readModelFindings(
        db,
        parts.flatMap(({ number, drawing }) =>
          drawing ? [{ part: number, revisionId: drawing.revisionId }] : [],
        ),
      )),
    ];
    return reply.page('soundness/soundness.njk', {
      page: { title: 'Soundness of specs', nav: '/fits' },
      counts,
      total: findings.length,
      checks: CHECKS.map(({ code, ...check }) => {
        const all = findings.filter((finding) => finding.check === code);
        return {
          ...check,
          code,
          count: all.length,
          more: Math.max(0, all.length - MOST_OF_A_CHECK),
          lines: all.slice(0, MOST_OF_A_CHECK).map(({ part, says, revisionId, lineId, link }) => ({
            part,
            partHref: partPath(part),
            says,
            href: link
              ? link.href
              : lineId
                ? `/receiving/lines/${lineId}`
                : revisionId
                  ? `/revisions/${revisionId}`
                  : partPath(part),
            label: link
              ? link.label
              : lineId
                ? 'Look at the piece'
                : revisionId
                  ? 'Open the drawing'
                  : 'Open the part',
          })),
        };
      }),
    });
  });
}
