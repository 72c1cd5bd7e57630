import type { Impact } from './redesign-impact-reader.ts';

/** A number with its word: '1 maker', '3 makers'. */
export const some = (count: number, word: string, more = `${word}s`) =>
  `${count} ${count === 1 ? word : more}`;

/** The whole of it in a few sentences, gravest first. */
export function impactSentences({ before, fits, makers, units, holders }: Impact): string[] {
  const said: string[] = [];
  const known = fits.total - fits.unknown;
  if (fits.worse > 0) {
    said.push(
      `${fits.worse} of ${some(fits.total, 'fit or chain', 'fits and chains')} ${fits.worse === 1 ? 'gets' : 'get'} worse.`,
    );
  } else if (known > 0) {
    said.push(
      `No fit and no chain gets worse${fits.better > 0 ? `, ${fits.better} ${fits.better === 1 ? 'gets' : 'get'} better` : ''}, of ${known}.`,
    );
  }
  if (fits.unknown > 0) {
    said.push(
      `${some(fits.unknown, 'fit or chain', 'fits and chains')} can be judged when the new revisions are begun.`,
    );
  }
  const waiting = makers.filter(({ waits }) => waits).length;
  if (before && makers.length > 0) {
    said.push(
      `${some(makers.length, 'share of a maker', 'shares of makers')} ${makers.length === 1 ? 'is' : 'are'} under way: the release tells each, who takes the new revision up or is told by the lead to finish the old one.`,
    );
  } else if (waiting > 0) {
    said.push(`${some(waiting, 'maker')} ${waiting === 1 ? 'has' : 'have'} not answered yet.`);
  }
  const decide = units.filter(({ decide: milli }) => milli !== '');
  if (before && decide.length > 0) {
    const amounts = decide.map((unit) => `${unit.decide} of ${unit.part.number}`).join(', ');
    said.push(`Accepted, and listed by the release to be used, reworked or scrapped: ${amounts}.`);
  }
  const undecided = units.flatMap(({ decided }) => decided.filter(({ as }) => as === '')).length;
  if (undecided > 0)
    said.push(
      `${some(undecided, 'lot')} of accepted units ${undecided === 1 ? 'waits' : 'wait'} for a decision.`,
    );
  if (holders.total > 0) {
    said.push(
      `The parts end up in ${some(holders.total, 'assembly', 'assemblies')}${holders.fitted > 0 ? `, ${holders.fitted} of them fitted together already` : ''}.`,
    );
  }
  return said;
}
