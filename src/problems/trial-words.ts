import type { Finding, TrialData } from './trial-finding.ts';
import { measuredFinding } from './trial-measured.ts';
import { rateFinding, rateUnit } from './trial-rates.ts';
import { shareFinding } from './trial-shares.ts';
import { type SignalWords, signalWords } from './trial-signal.ts';
import { type WantedWords, wantedWords } from './trial-wanted.ts';

export interface TrialWords {
  /** null when nothing was measured */
  finding: Finding | null;
  wanted: WantedWords | null;
  signal: SignalWords | null;
}

/** The unit of what is wanted and worthwhile: that of the values, % of runs, or failures in 100 runs. */
export function wantedUnit({ kind, unit, runsUnit }: Pick<TrialData, 'kind' | 'unit' | 'runsUnit'>): string {
  if (kind === 'yes-no') return '%';
  return kind === 'failures' ? rateUnit({ runsUnit }) : unit;
}

/** All that the values of a trial say, by its kind. */
export function trialWords(data: TrialData): TrialWords {
  const finding = findingOf(data);
  return {
    finding,
    wanted: wantedWords(data, finding, wantedUnit(data)),
    signal: data.kind === 'level' ? signalWords(data) : null,
  };
}

function findingOf(data: TrialData): Finding | null {
  if (data.before.length === 0 && data.after.length === 0) return null;
  if (data.kind === 'yes-no') return shareFinding(data);
  return data.kind === 'failures' ? rateFinding(data) : measuredFinding(data);
}
