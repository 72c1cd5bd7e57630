import { describe, expect, it } from 'vitest';
import { changeCharacteristic } from '../../src/drawings/index.ts';
import { turnOf, verdictSteps } from '../../src/fits/index.ts';
import { VERDICTS } from '../../src/fits/verdict.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { type AReleasedPart, aDraft, aReleasedPart } from '../support/drawings.ts';
import { asPerson } from '../support/jobs.ts';

/** 25 H7 and 25 g6: 0.007 to 0.041 mm of play (ISO 286-1), wanted 0 to 0.1 mm. */
async function fitted(): Promise<{ app: TestApp; hole: AReleasedPart; shaft: AReleasedPart }> {
  const app = await startApp();
  const lead = await app.as('lead');
  const hole = await aReleasedPart(app, { characteristics: ['25 H7'] });
  const shaft = await aReleasedPart(app, { characteristics: ['25 g6'] });
  const { status } = await lead.post('/fits', {
    holePart: hole.number,
    holePosition: '1',
    shaftPart: shaft.number,
    shaftPosition: '1',
    wanted: 'figures',
    wantedMin: '0',
    wantedMax: '0.1',
    lowCelsius: '20',
    highCelsius: '20',
  });
  expect(status).toBe(303);
  return { app, hole, shaft };
}

/** The next revision of a part as a draft, with its one size as said. */
async function changed(app: TestApp, part: AReleasedPart, text: string): Promise<number> {
  const draft = await aDraft(app, { partId: part.partId });
  await asPerson(app, 'lead', async (act) => {
    const { version } = await act.tx.revision.findUniqueOrThrow({ where: { id: draft.revisionId } });
    await changeCharacteristic(act, {
      characteristicId: draft.characteristicIds[0]!,
      version,
      label: '',
      text,
      isKey: false,
    });
  });
  return draft.revisionId;
}

describe('turnOf', () => {
  it('is worse one way and better the other, for every two verdicts', () => {
    for (const was of VERDICTS) {
      expect(turnOf(was, was)).toBe('same');
      for (const is of VERDICTS) {
        if (was === is) continue;
        expect([turnOf(was, is), turnOf(is, was)].sort()).toEqual(['better', 'worse']);
      }
    }
    expect(turnOf('fits', 'not known')).toBe('worse');
    expect(turnOf('does not fit', 'not known')).toBe('better');
  });
});

describe('verdictSteps', () => {
  it('judges a hole and its shaft that both change as they will meet', async () => {
    const { app, hole, shaft } = await fitted();
    const { read } = app.context.db;
    const holeStep = {
      partId: hole.partId,
      fromId: hole.revisionId,
      toId: await changed(app, hole, '30 H7'),
    };
    const shaftStep = {
      partId: shaft.partId,
      fromId: shaft.revisionId,
      toId: await changed(app, shaft, '30 g6'),
    };
    const [both] = await verdictSteps(read, [holeStep, shaftStep]);
    expect(both).toMatchObject({
      kind: 'fit',
      href: '/fits/1',
      partIds: [hole.partId, shaft.partId],
      was: { word: 'fits' },
      is: { word: 'fits' },
      turn: 'same',
    });
    expect(both!.was.margin).toBeCloseTo(0.007, 9);
    // 30 H7/g6 has the same play as 25 H7/g6: both lie in the step of 18 to 30 mm.
    expect(both!.is!.margin).toBeCloseTo(0.007, 9);
    // Alone the hole leaves 5 mm: the draft of the shaft beside it is not of this change.
    const [alone] = await verdictSteps(read, [holeStep]);
    expect(alone).toMatchObject({ was: { word: 'fits' }, is: { word: 'does not fit' }, turn: 'worse' });
    expect(alone!.is!.margin).toBeCloseTo(0.1 - 5.041, 9);
  });

  it('has no second verdict while nothing is begun, and none for parts in no fit', async () => {
    const { app, hole } = await fitted();
    const { read } = app.context.db;
    await changed(app, hole, '30 H7');
    const step = { partId: hole.partId, fromId: hole.revisionId, toId: null };
    expect(await verdictSteps(read, [step])).toMatchObject([
      { was: { word: 'fits' }, is: null, turn: 'same' },
    ]);
    const other = await aReleasedPart(app);
    expect(
      await verdictSteps(read, [{ partId: other.partId, fromId: other.revisionId, toId: null }]),
    ).toEqual([]);
    expect(await verdictSteps(read, [])).toEqual([]);
  });

  it('looks at what was before and after a release too', async () => {
    const { app, hole } = await fitted();
    const toId = await changed(app, hole, '25.02 ±0.001');
    const { write, read } = app.context.db;
    await write.revision.update({ where: { id: hole.revisionId }, data: { state: 'superseded' } });
    await write.revision.update({ where: { id: toId }, data: { state: 'released' } });
    const [step] = await verdictSteps(read, [{ partId: hole.partId, fromId: hole.revisionId, toId }]);
    // 25.019 - 24.993 = 0.026, 25.021 - 24.980 = 0.041
    expect(step!.was.margin).toBeCloseTo(0.007, 9);
    expect(step!.is!.margin).toBeCloseTo(0.026, 9);
  });

  it('carries a fit’s change into the chains it is a link of, the worse first', async () => {
    const { app, hole } = await fitted();
    const lead = await app.as('lead');
    const head = { wantedMin: '0', wantedMax: '0.03', lowCelsius: '20', highCelsius: '20' };
    await lead.post('/chains', { ...head, title: 'end float' });
    await lead.post('/chains/1/links', { text: '10.015 ±0.001', direction: '1' });
    await lead.post('/chains/1/links', { text: '10 ±0.001', direction: '-1' });
    await lead.post('/chains/1/links', { fitId: '1', direction: '1' });
    const toId = await changed(app, hole, '25 G7');
    const steps = await verdictSteps(app.context.db.read, [
      { partId: hole.partId, fromId: hole.revisionId, toId },
    ]);
    expect(steps.map(({ kind }) => kind).sort()).toEqual(['chain', 'fit']);
    const chain = steps.find(({ kind }) => kind === 'chain')!;
    expect(chain).toMatchObject({ name: 'end float', partIds: [hole.partId] });
    // The play grows by 0.007 mm (25 G7 is 25.007 to 25.028), half of it to each side.
    expect(chain.is!.margin! - chain.was.margin!).toBeCloseTo(-0.0035, 9);
  });
});
