import { chainVerdictLine } from './chain-list.ts';
import type { ChainReading } from './chain-reading.ts';
import { chainSimulation } from './chain-simulation.ts';
import { loosenings } from './chain-verdict.ts';
import { conditionWords, surroundingsWords } from './conditions.ts';
import { chanceWords, growthWords, mmWords } from './fit-view.ts';

/** What each link's tolerance is loosened by in the table, in mm. */
const LOOSENED_BY = 0.1;

const ends = ({ min, max }: { min: number; max: number }) => `${mmWords(min)} to ${mmWords(max)} mm`;

/** Everything the page of a chain shows. */
export function chainView(reading: ChainReading) {
  const { row, current, wanted, range, draft } = reading;
  const links = reading.links.map(({ row: link, label, side, fit }) => {
    const at = side?.current ?? null;
    return {
      id: link.id,
      label,
      href: fit ? `/fits/${fit.row.id}` : (side?.part?.href ?? ''),
      direction: fit ? 'either way' : link.direction === 1 ? 'opens' : 'closes',
      text: at?.read.ok ? at.read.size.text : '',
      missing: at && !at.read.ok ? at.read.sentence : '',
      inches: at?.read.ok ? at.read.size.unit === 'in' : false,
      expansion: at && at.movement.expansion !== null ? String(at.movement.expansion) : '',
      expansionSource: at?.expansionSource ?? '',
      growth: at ? growthWords(at) : '',
      growthSource: at?.swellingSource ?? '',
      waterNote: at?.waterNote ?? '',
    };
  });
  const base = {
    id: row.id,
    title: row.title,
    note: row.note,
    verdict: chainVerdictLine(current),
    changes: reading.changes,
    draft: draft && chainVerdictLine(draft),
    wanted: ends(wanted),
    range: surroundingsWords(range),
    ownRange: reading.ownRange,
    links,
  };
  if (!current.known) return { ...base, rows: [], shares: [], loosened: null, simulation: null };
  const { verdict } = current;
  const loosened = loosenings(current.links, wanted, verdict, LOOSENED_BY);
  const simulation = chainSimulation(current.links, wanted, range);
  const top = Math.max(1, ...(simulation?.counts ?? []));
  return {
    ...base,
    rows: verdict.rows.map(({ condition, answer, chanceInside, spareTight, spareLoose }) => ({
      condition: conditionWords(condition),
      worst: ends(answer.worstCase),
      likely: ends(answer.rootSumSquare),
      inside: chanceWords(chanceInside),
      met: spareTight >= 0 && spareLoose >= 0,
    })),
    shares: (verdict.rows[0]?.answer.shares ?? []).map(({ label, share }) => ({
      label,
      share,
      words: `${(share * 100).toFixed(1)} %`,
    })),
    loosened: loosened && {
      by: LOOSENED_BY,
      at: conditionWords(loosened.condition),
      room: loosened.room > 0 ? `${mmWords(loosened.room)} mm` : '',
      lines: loosened.lines.map(({ label, before, after, wider, perMm }) => ({
        label,
        perMm: perMm === null ? '' : `${mmWords(perMm)} mm`,
        wider: `${mmWords(wider)} mm`,
        before: chanceWords(before),
        after: chanceWords(after),
      })),
    },
    simulation: simulation && {
      runs: simulation.runs,
      seed: simulation.seed,
      inside: chanceWords(simulation.inside),
      tooTight: chanceWords(simulation.tooTight),
      tooLoose: chanceWords(simulation.tooLoose),
      low: mmWords(simulation.low),
      high: mmWords(simulation.high),
      mean: mmWords(simulation.mean),
      from: mmWords(simulation.from),
      to: mmWords(simulation.to),
      bars: simulation.counts.map((count, at) => ({
        x: 8 + at * 12,
        height: Math.round((count / top) * 100),
      })),
    },
  };
}
