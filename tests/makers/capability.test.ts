import { describe, expect, it } from 'vitest';
import { capabilityGroups, heldGrade } from '../../src/makers/capability-groups.ts';
import { capabilityLine, verdictOfCpk } from '../../src/makers/capability-view.ts';
import type { MeasuredAt } from '../../src/receiving/index.ts';
import { startApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { measuredPieces } from '../support/measured.ts';

const bore = (id: number, nominal: number, width: number): MeasuredAt['dimension'] => ({
  id,
  label: 'bore',
  text: `${nominal} +${width} 0`,
  isKey: true,
  nominal,
  unit: 'mm',
  limits: {
    lowerLimit: nominal,
    upperLimit: nominal + width,
    lowerDeviation: 0,
    upperDeviation: width,
    unit: 'mm',
    source: '',
  },
});

const at = (
  dimension: MeasuredAt['dimension'],
  value: number,
  rest: Partial<MeasuredAt> = {},
): MeasuredAt => ({
  value,
  dimension,
  suspicion: null,
  personId: 3,
  jobId: 1,
  lineId: 1,
  unitNo: 1,
  processId: 7,
  partNumber: 'OR-1',
  letter: 'A',
  ...rest,
});

const near = bore(1, 25, 0.02);
const wide = bore(2, 80, 0.2);
const four = [0.3, 0.4, 0.6, 0.7];

describe('capabilityGroups', () => {
  it('takes dimensions together by the place of each value between its own limits', () => {
    const values = [
      ...four.map((share) => at(near, 25 + share * 0.02)),
      ...four.map((share) => at(wide, 80 + share * 0.2)),
    ];
    const [group, ...others] = capabilityGroups(values);
    expect(others).toEqual([]);
    expect(group).toMatchObject({ personId: 3, processId: 7, count: 8, outside: 0, suspect: 0 });
    expect(group!.places!.mean).toBeCloseTo(0, 9);
    // places -0.4, -0.2, 0.2, 0.4, each twice: their squares add up to 0.8
    expect(group!.places!.deviation).toBeCloseTo(Math.sqrt(0.8 / 7), 9);
    expect(group!.places!.cpk).toBeCloseTo(1 / (3 * Math.sqrt(0.8 / 7)), 9);
    expect(group!.dimensions.map(({ count, capability }) => [count, capability])).toEqual([
      [4, null],
      [4, null],
    ]);
  });

  it('keeps makers and processes apart, leaves out what looks like a slip, and what has no limits', () => {
    const groups = capabilityGroups([
      at(near, 25.01),
      at(near, 250.1, { suspicion: 'Ten times off' }),
      at(near, 25.01, { personId: 4 }),
      at(near, 25.03, { processId: null }),
      at({ ...near, limits: null }, 24),
    ]);
    expect(
      groups.map(({ personId, processId, count, outside, suspect }) => [
        personId,
        processId,
        count,
        outside,
        suspect,
      ]),
    ).toEqual([
      [3, 7, 1, 0, 1],
      [4, 7, 1, 0, 0],
      [3, null, 1, 1, 0],
    ]);
    expect(capabilityLine(groups[0]!, new Map([[7, 'turning']]))).toMatchObject({
      process: 'turning',
      cpk: '',
      interval: '',
      note: '1 of the 8 values that a figure needs; 1 value looks like another unit or a slipped point and is left out',
    });
    expect(capabilityGroups([])).toEqual([]);
  });

  it('counts a value on a limit as inside, however the place is rounded', () => {
    const values = [25, 25.02, 25, 25.02, 25, 25.02, 25, 25.02].map((value) => at(near, value));
    expect(capabilityGroups(values)[0]).toMatchObject({ outside: 0, places: { outside: 0 } });
  });
});

describe('heldGrade', () => {
  it('counts values on dimensions of the asked grade and finer ones, of the process alone', () => {
    const values = [
      at(near, 25.01),
      at(near, 25.05),
      at(wide, 80.1),
      at(near, 25.01, { processId: 8 }),
      at(near, 250, { suspicion: 'Ten times off' }),
    ];
    // 0.02 on 25 mm asks for IT6, 0.2 on 80 mm for IT11
    expect(heldGrade(values, 7, 7)).toEqual({ count: 2, inside: 1 });
    expect(heldGrade(values, 7, 11)).toEqual({ count: 3, inside: 2 });
    expect(heldGrade(values, 7, 5)).toEqual({ count: 0, inside: 0 });
  });
});

describe('verdictOfCpk', () => {
  it('goes by the whole interval', () => {
    expect(verdictOfCpk({ cpk: 1.6, interval: { low: 1.1, high: 2.1 } })).toBe('holds its limits');
    expect(verdictOfCpk({ cpk: 1.2, interval: { low: 0.7, high: 1.7 } })).toContain('seems to hold');
    expect(verdictOfCpk({ cpk: 0.8, interval: { low: 0.4, high: 1.2 } })).toContain('may not hold');
    expect(verdictOfCpk({ cpk: 0.5, interval: { low: 0.2, high: 0.8 } })).toContain('does not hold');
    expect(verdictOfCpk({ cpk: null, interval: null })).toBe('');
  });
});

describe('capability on the pages', () => {
  const spread = [25.004, 25.006, 25.008, 25.01, 25.012, 25.014, 25.016, 25.018];

  it('stands on the maker’s page and on the lead’s table, from eight values on', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    expect((await lead.get('/makers/capability')).text).toContain('Nothing measured yet');
    await measuredPieces(test, { values: spread });
    await measuredPieces(test, { who: 'farid', values: spread.slice(0, 3) });
    // mean 25.011, limits 25 to 25.021: 0.5 of 10.5 µm high; standard deviation 4.899 µm, so Cpk 10 / 14.7 = 0.680, and
    // 1.96 sqrt(1/72 + 0.680^2/14) = 0.425 either way
    for (const path of ['/makers/capability', `/makers/${castId.imre}`]) {
      const { status, text } = await lead.get(path);
      expect(status).toBe(200);
      expect(text).toContain('5 % high');
      expect(text).toContain('0.68');
      expect(text).toContain('0.26 to 1.11');
      expect(text).not.toMatch(/ style=/);
    }
    expect((await lead.get('/makers/capability')).text).toContain('3 of the 8 values');
    const own = (await (await test.as('imre')).get(`/makers/${castId.imre}`)).text;
    expect(own).toContain('0.26 to 1.11');
    expect(own).toContain('0.0005 mm high');
  });

  it('is for the lead, and of oneself', async () => {
    const test = await startApp();
    for (const who of ['crew', 'imre'] as const)
      expect((await (await test.as(who)).get('/makers/capability')).status).toBe(403);
    expect((await (await test.as('imre')).get(`/makers/${castId.farid}`)).status).toBe(403);
    expect((await (await test.as('imre')).get(`/makers/${castId.imre}`)).text).toContain(
      'has been measured against limits yet',
    );
  });

  it('leaves out a value in another unit, and people who are forgotten', async () => {
    const test = await startApp();
    await measuredPieces(test, { values: [0.98425, 250.1], scrap: true });
    const lead = await test.as('lead');
    expect((await lead.get('/makers/capability')).text).toContain('2 values look like another unit');
    await test.context.db.write.person.update({
      where: { id: castId.imre },
      data: { forgottenAt: new Date() },
    });
    expect((await lead.get('/makers/capability')).text).toContain('Nothing measured yet');
  });
});
