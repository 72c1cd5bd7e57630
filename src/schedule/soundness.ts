import type { Schedule } from './schedule.ts';
import { type Around, type Finding, PRACTICES, type Verdict } from './soundness-finding.ts';
import { keepingFindings } from './soundness-keeping.ts';
import { logicFindings } from './soundness-logic.ts';
import { peopleFindings } from './soundness-people.ts';
import { timeFindings } from './soundness-times.ts';

export { type Around, type Finding, type FindingItem, PRACTICES, type Verdict } from './soundness-finding.ts';

/** Nothing known beside the schedule itself. */
export const NOTHING_AROUND: Around = {
  estimates: [],
  baselines: [],
  lastActOn: null,
  comers: [],
  silentAfterDays: 14,
};

/**
 * Looks whether a plan can be trusted: checks after the ten best practices of GAO-16-89G, and the usual metrics of
 * schedule health (their limits: common practice, no source), in the order of the practices.
 *
 * Linear in the network and the facts, but for each top assembly in what lies before it.
 */
export function soundnessOf(schedule: Schedule, around: Around = NOTHING_AROUND): Finding[] {
  const looked = { schedule, around };
  const all = [
    ...logicFindings(looked),
    ...peopleFindings(looked),
    ...timeFindings(looked),
    ...keepingFindings(looked),
  ];
  return PRACTICES.flatMap(({ key }) => all.filter(({ practice }) => practice === key));
}

/** The worst verdict of some findings. */
export function worstOf(findings: readonly Finding[]): Verdict {
  const verdicts = findings.map(({ verdict }) => verdict);
  return verdicts.includes('act') ? 'act' : verdicts.includes('look') ? 'look' : 'ok';
}
