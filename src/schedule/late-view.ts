import { type Day, dayWords } from '../platform/day.ts';
import { count } from './durations.ts';
import type { Help, LateClaim, Outlook } from './outlook.ts';

/** A promise that may come late, as the page lists it. */
export interface LateRow {
  claimId: number;
  jobId: number;
  href: string;
  maker: string;
  makerHref: string;
  what: string;
  needBy: string;
  promised: string;
  expected: string;
  at80: string;
  chance: string;
  chanceShare: number;
  damage: string;
  silent: string;
  onHold: boolean;
  helps: { label: string; gain: string; because: string; worth: boolean }[];
}

const HELP_WORDS: Readonly<Record<Help['kind'], string>> = {
  reminder: 'A reminder',
  'second maker': 'A second maker',
  'later gathering': 'A later gathering',
  'other order': 'Another order of fitting',
};

/** Days to one decimal, a minus where it is later. */
export function daysText(days: number): string {
  const rounded = Math.round(days * 10) / 10;
  return `${rounded < 0 ? '−' : ''}${Math.abs(rounded)}`;
}

export function percentText(share: number): string {
  if (share > 0 && share < 0.005) return 'under 1 %';
  if (share < 1 && share > 0.995) return 'over 99 %';
  return `${Math.round(share * 100)} %`;
}

export function lateRow(claim: LateClaim, { schedule: { facts, network } }: Outlook): LateRow {
  const { today } = facts;
  const words = (day: Day) => dayWords(day, today);
  const step = network.nodes[claim.step]!;
  return {
    claimId: claim.claimId,
    jobId: claim.jobId,
    href: `/jobs/${claim.jobId}`,
    maker: facts.people.get(claim.personId)?.name ?? 'somebody',
    makerHref: `/makers/${claim.personId}`,
    what: step.part?.name ?? step.job?.title ?? '',
    needBy: words(claim.needByOn),
    promised: words(claim.promisedOn),
    expected: words(claim.at50On),
    at80: words(claim.at80On),
    chance: percentText(claim.chance),
    chanceShare: claim.chance,
    damage: daysText(claim.damageDays),
    silent: count(claim.silentDays, 'day'),
    onHold: claim.onHold,
    helps: claim.helps.map(({ kind, gainDays, because }) => ({
      label: HELP_WORDS[kind],
      gain: daysText(gainDays),
      because,
      worth: gainDays >= 0.05,
    })),
  };
}
