import { expect } from 'vitest';
import { Workers } from '../../src/platform/workers.ts';
import { FinishMovedService, ScheduleService, type WhyMoved } from '../../src/schedule/index.ts';
import type { TestApp } from '../support/app.ts';

/** A schedule and why it moved, apart from those of the app; `close` expects that nothing went wrong. */
export function services({ context }: TestApp) {
  const faults: unknown[] = [];
  const report = (fault: unknown) => void faults.push(fault);
  const schedules = new ScheduleService({ ...context, report });
  const moved = new FinishMovedService({ schedules, db: context.db, workers: new Workers(), report });
  const close = async () => {
    await moved.close();
    await schedules.close();
    expect(faults).toEqual([]);
  };
  return { schedules, moved, close };
}

/** The words of all lines, people by their id. */
export const said = (lines: WhyMoved['facts']) =>
  lines.map(({ words }) =>
    words.map((word) => (typeof word === 'string' ? word : `<${word.person}>`)).join(''),
  );
