import { describe, expect, it } from 'vitest';
import { type Driver, driversDrawing } from '../../src/schedule/drivers-drawing.ts';
import { drawn } from '../support/drawn.ts';

const driver = (label: string, criticality: number, sensitivity: number): Driver => ({
  label,
  href: `/schedule/nodes/${encodeURIComponent(label)}`,
  criticality,
  sensitivity,
});

describe('driversDrawing', () => {
  it('keeps its drawing, typed text as text', async () => {
    const d = driversDrawing([
      driver('Make Saturn arm', 0.91, 0.68),
      driver('<b>Post</b> & "inspect"', 0.5, -0.25),
      driver('صنع الحلقة', 0.333_333, 0.1),
      driver('x'.repeat(200), 0.02, Number.NaN),
      driver('Sweep', 0, 0),
    ]);
    await expect(drawn('schedule/_drivers.njk', 'drivers(d)', { d })).toMatchFileSnapshot(
      'drawn/drivers.txt',
    );
  });

  it('shows the strongest, and says how many are left', () => {
    const many = Array.from({ length: 500 }, (_, k) => driver(`step ${k}`, (k % 100) / 100, k / 500));
    const d = driversDrawing(many);
    expect(d.rows).toHaveLength(12);
    expect(d.more).toBe(488);
    expect(d.rows[0]).toMatchObject({ label: 'step 499', chance: { width: 99, text: '99 %' } });
    // equal chances: the one that moves the finish more stands first
    expect(d.rows.slice(0, 6).map(({ label }) => label)).toEqual(
      [499, 399, 299, 199, 99, 498].map((k) => `step ${k}`),
    );
  });

  it('draws the correlation from the middle to its side', () => {
    const pull = (value: number) => driversDrawing([driver('a', 0.5, value)]).rows[0]!.pull;
    expect(pull(1)).toEqual({ at: 50, width: 50, text: '1.00' });
    expect(pull(-0.5)).toEqual({ at: 25, width: 25, text: '−0.50' });
    expect(pull(0)).toEqual({ at: 50, width: 0, text: '0.00' });
    expect(pull(-0.001)?.text).toBe('0.00');
    expect(pull(Number.NaN)).toBeNull();
  });

  it('leaves out what never drives the finish', () => {
    expect(driversDrawing([])).toEqual({ rows: [], more: 0 });
    expect(driversDrawing([driver('a', 0, 0), driver('b', 0, Number.NaN)])).toEqual({ rows: [], more: 2 });
  });
});
