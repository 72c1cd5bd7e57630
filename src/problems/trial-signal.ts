import { NEGLIGIBLE_ABOVE, type SignalAboveNoise, signalComparison, TRUSTED_ABOVE } from '../specs/index.ts';
import { chanceWords, figure, pWords } from './trial-figures.ts';
import type { Row, TrialData } from './trial-finding.ts';

export interface SignalWords {
  rows: Row[];
  shows: string;
  /** how far the levels without their noise can be believed */
  trust: string;
  source: string;
}

/** The signal above its noise before and after; null unless both were measured on both sides. */
export function signalWords(data: TrialData): SignalWords | null {
  const { before, after, noiseBefore, noiseAfter, unit } = data;
  if ([before, after, noiseBefore, noiseAfter].some(({ length }) => length === 0)) return null;
  const answer = signalComparison({ before, noiseBefore, after, noiseAfter });
  const sides = [
    { name: 'before', side: answer.before },
    { name: 'after', side: answer.after },
  ];
  const rows = sides.flatMap(({ name, side }) => [
    {
      label: `Without its noise, ${name}`,
      value: side.corrected === null ? 'no figure' : `${figure(side.corrected, 1)} ${unit}`,
      hint: `measured ${figure(side.measured, 1)} ${unit}, noise ${figure(side.noise, 1)} ${unit}`,
    },
    {
      label: `Above its noise, ${name}`,
      value: side.ratio === null ? 'no figure' : `${figure(side.ratio, 1)} dB`,
      hint: TRUST[side.trust],
    },
  ]);
  const { change, interval95, pValue } = answer;
  if (change !== null) {
    rows.push({
      label: 'Change above noise',
      value: `${figure(change, 1)} dB`,
      hint: interval95
        ? `after minus before; 95 % interval ${bound(interval95.low)} to ${bound(interval95.high)}`
        : 'two values or more of each are needed for an interval',
    });
  }
  if (pValue !== null)
    rows.push({ label: 'p-value', value: pWords(pValue), hint: 'two-sided, of the change above noise' });
  return { rows, shows: shows(answer), trust: trust(sides), source: answer.source };
}

const bound = (value: number | null) => (value === null ? 'no limit' : figure(value, 1));

const TRUST: Readonly<Record<SignalAboveNoise['trust'], string>> = {
  lost: 'the noise is as loud as what was measured',
  bound: `at most this: measured no more than ${TRUSTED_ABOVE} dB above the noise`,
  corrected: 'corrected for the noise',
  clear: `measured ${NEGLIGIBLE_ABOVE} dB or more above the noise: it changes next to nothing`,
};

function shows({ change, interval95, pValue }: ReturnType<typeof signalComparison>): string {
  if (change === null) {
    return 'Above the noise nothing can be compared: on one side the noise is as loud as what was measured.';
  }
  const word = change > 0 ? 'further above' : 'closer to';
  const size = `${figure(Math.abs(change), 1)} dB`;
  if (!interval95 || pValue === null) {
    return `The signal stands ${size} ${word} its noise; whether chance alone makes that can’t be told from these values.`;
  }
  const { low, high } = interval95;
  const shown = pValue < 0.05 && ((low !== null && low > 0) || (high !== null && high < 0));
  return shown
    ? `The signal stands ${size} ${word} its noise after the change. ${chanceWords(pValue)}`
    : `That the signal stands further from its noise is not shown: the change fits anything from ${bound(low)} to ${bound(high)} dB. ${chanceWords(pValue)}`;
}

function trust(sides: { name: string; side: SignalAboveNoise }[]): string {
  const weak = sides.filter(({ side }) => side.trust === 'bound').map(({ name }) => name);
  return weak.length > 0
    ? `The noise lies within ${TRUSTED_ABOVE} dB of what was measured ${weak.join(' and ')}: what is left after taking it off is an upper bound. Measure where it is quieter.`
    : '';
}
