import type { Day } from '../platform/day.ts';
import type { OutlookService } from './outlook-service.ts';

/**
 * How other pages ask by which day a part is ready to fit in 80 of 100 runs of the simulation.
 *
 * @returns for a part: that day; null without a simulation, and where the part has nothing to go
 */
export function readyAt80Reader(outlooks: OutlookService): (partId: number) => Day | null {
  return (partId) => {
    const { outlook } = outlooks.known();
    if (!outlook) return null;
    const { network } = outlook.schedule;
    const mark = network.readyMarks.get(partId);
    return mark === undefined ? null : network.calendar.dayAt(outlook.outcome.at80[mark]!);
  };
}
