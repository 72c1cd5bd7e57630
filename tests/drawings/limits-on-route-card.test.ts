import { describe, expect, it } from 'vitest';
import { startApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { anOfferedJob } from '../support/jobs.ts';

/** The limits table of a route card, a line of text for each row. */
function limitsOn(page: string): string[] {
  const table = /<table class="limits">[\s\S]*?<\/table>/.exec(page)?.[0] ?? '';
  return table
    .split('</tr>')
    .map((row) =>
      row
        .replace(/<[^>]+>/g, ' ')
        .replace(/\s+/g, ' ')
        .trim(),
    )
    .filter(Boolean);
}

describe('GET /jobs/:id, the limits', () => {
  it('are computed for each characteristic, in the unit of the maker, with the drawing’s own beside', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, {
      part: {
        generalTolerance: 'm',
        characteristics: [
          { text: '25 H7', label: 'bore', isKey: true },
          '12,5 +0,1 -0',
          '40 ±0.2',
          '3/8 in',
          '1 1/4 in',
          '40',
          'deburr all edges',
        ],
      },
    });
    const maker = await app.as('imre');
    const metric = (await maker.get(`/jobs/${jobId}`)).text;
    expect(limitsOn(metric)).toEqual([
      'No. On the drawing Lower limit Upper limit Unit',
      '1 25 H7 key 25 25.021 mm',
      'bore · 0 / +0.021 mm, ISO 286-1:2010, H7',
      '2 12.5 +0.1 0 12.5 12.6 mm',
      '0 / +0.1 mm, as written on the drawing',
      '3 40 ±0.2 39.8 40.2 mm',
      '−0.2 / +0.2 mm, as written on the drawing',
      '4 0.375 in 9.325 9.725 mm',
      'on the drawing 0.36713 to 0.38287 in · −0.2 / +0.2 mm, ISO 2768-1:1989, class m, linear',
      '5 1.25 in 31.45 32.05 mm',
      'on the drawing 1.23819 to 1.26181 in · −0.3 / +0.3 mm, ISO 2768-1:1989, class m, linear',
      '6 40 39.7 40.3 mm',
      '−0.3 / +0.3 mm, ISO 2768-1:1989, class m, linear',
      '7 deburr all edges',
    ]);
    expect(metric).toContain('Sizes drawn in inches are converted by exactly 25.4 mm an inch');

    const where = { id: castId.imre };
    await app.context.db.write.person.update({ where, data: { lengthUnit: 'in' } });
    const inches = (await maker.get(`/jobs/${jobId}`)).text;
    expect(limitsOn(inches).slice(1, 5)).toEqual([
      '1 25 H7 mm key 0.98426 0.98507 in',
      'bore · on the drawing 25 to 25.021 mm · 0 / +0.00082 in, ISO 286-1:2010, H7',
      '2 12.5 +0.1 0 mm 0.49213 0.49606 in',
      'on the drawing 12.5 to 12.6 mm · 0 / +0.00393 in, as written on the drawing',
    ]);
    expect(inches).toContain('Sizes drawn in millimetres are converted by exactly 25.4 mm an inch');
    // marked by word and by line, not by colour
    expect(inches.match(/<tr class="is-key">/g)).toHaveLength(1);
    expect(inches).toContain('Key, with a double line: it matters for fit or function');
    expect(inches).toContain('Nothing here promises strength');
    // the other maker goes on reading millimetres
    expect(limitsOn((await (await app.as('sunniva')).get(`/jobs/${jobId}`)).text)[1]).toContain('25.021 mm');
  });
});
