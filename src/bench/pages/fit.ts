import type { FitAnswer, FitQuestion, FitSide } from '../../specs/pure/index.ts';
import { bandDrawing } from '../band-drawing.ts';
import type { BenchPage, Shop } from '../calculator.ts';
import { figure, figures, percent, signed } from '../figures.ts';
import type { Typed } from '../typed.ts';

const sides = ['hole', 'shaft'] as const;
type Side = (typeof sides)[number];

/** Will this shaft go into this hole, here and when it is warm? */
export const fitPage: BenchPage<FitQuestion, FitAnswer> = {
  method: 'get',
  example: { nominal: '25', holeZone: 'H7', shaftZone: 'g6' },
  read(typed, shop) {
    const nominal = typed.number('nominal', 'Type the nominal size.');
    const hole = sideTyped(typed, 'hole');
    const shaft = sideTyped(typed, 'shaft');
    const temperature = temperatureTyped(typed, shop);
    return {
      request: { nominal, hole, shaft, ...(temperature ? { temperature } : {}) },
      fieldOf: (path) => (path === 'hole' || path === 'shaft' ? `${path}Zone` : path),
    };
  },
  blame(sentence, { holeZone, shaftZone }) {
    for (const [side, zone] of Object.entries({ hole: holeZone, shaft: shaftZone })) {
      const named = typeof zone === 'string' && zone.trim() !== '' && sentence.startsWith(`${zone.trim()}:`);
      if (named || sentence.startsWith(`${side}:`)) return zone ? `${side}Zone` : `${side}Upper`;
    }
    if (sentence.includes('°C')) return 'celsius';
    return 'nominal';
  },
  form: (_values, { materials }) => ({
    materials: materials.map(({ key, name, family, expansion }) => ({
      value: key,
      label: `${name}: ${figure(expansion, 2)} · 10⁻⁶/K`,
      group: family,
    })),
  }),
  show(request, reply) {
    const { minClearance: least, maxClearance: greatest, character } = reply;
    const nominal = `${figure(request.nominal, 6)} mm`;
    const name = (side: Side) => {
      const { [side]: asked } = request;
      return typeof asked === 'string' ? `${side} ${asked}` : side;
    };
    const [upperHole, upperShaft] = figures([reply.hole.upperLimit, reply.shaft.upperLimit]);
    const [lowerHole, lowerShaft] = figures([reply.hole.lowerLimit, reply.shaft.lowerLimit]);
    const row = (what: string, hole: string | undefined, shaft: string | undefined) => ({
      what,
      hole,
      shaft,
    });
    const zones = [request.hole, request.shaft].filter((side) => typeof side === 'string');
    return {
      size: zones.length === 2 ? `${figure(request.nominal, 6)} ${zones.join('/')}: ` : '',
      character,
      sentence: sentenceOf(least, greatest),
      clearances: [gap('Tightest', least), gap('Loosest', greatest), gap('Middle', (least + greatest) / 2)],
      chance: percent(reply.chanceOfInterference),
      temperature: request.temperature,
      rows: [
        row('Upper limit', upperHole, upperShaft),
        row('Lower limit', lowerHole, lowerShaft),
        row('Upper deviation', signed(reply.hole.upperDeviation), signed(reply.shaft.upperDeviation)),
        row('Lower deviation', signed(reply.hole.lowerDeviation), signed(reply.shaft.lowerDeviation)),
      ],
      drawing: bandDrawing(
        sides.map((side) => ({
          name: name(side),
          upper: reply[side].upperDeviation,
          lower: reply[side].lowerDeviation,
          fill: side === 'hole' ? 'hatch' : 'cross',
        })),
        'mm',
        nominal,
      ),
    };
  },
};

/** Millimetres of clearance in words: below zero it is interference. */
function gap(what: string, clearance: number) {
  const word = clearance < 0 ? 'interference' : 'clearance';
  return { what, word, value: figures([Math.abs(clearance)])[0] };
}

function sentenceOf(least: number, greatest: number): string {
  if (least >= 0) return 'The shaft is never larger than the hole: it goes in by hand.';
  if (greatest <= 0) return 'The shaft is never smaller than the hole: it is pressed or shrunk in.';
  return 'Some pairs go together by hand, others need pressing.';
}

function sideTyped(typed: Typed, side: Side): FitSide {
  const zone = typed.text(`${side}Zone`, 12);
  const upperDeviation = typed.optionalNumber(`${side}Upper`);
  const lowerDeviation = typed.optionalNumber(`${side}Lower`);
  const some = upperDeviation !== undefined || lowerDeviation !== undefined;
  if (zone && some) typed.wrong(`${side}Zone`, 'A zone or deviations, not both: empty one of them.');
  if (!zone && !some) {
    const example = side === 'hole' ? 'H7' : 'g6';
    typed.wrong(`${side}Zone`, `Type a zone such as ${example}, or both deviations.`);
  }
  if (zone) return zone;
  if (some && upperDeviation === undefined) typed.wrong(`${side}Upper`, 'Type the upper deviation too.');
  if (some && lowerDeviation === undefined) typed.wrong(`${side}Lower`, 'Type the lower deviation too.');
  return { upperDeviation: upperDeviation ?? Number.NaN, lowerDeviation: lowerDeviation ?? Number.NaN };
}

function temperatureTyped(typed: Typed, shop: Shop): FitQuestion['temperature'] {
  const celsius = typed.optionalNumber('celsius');
  const [holeExpansion, shaftExpansion] = sides.map((side) => expansionTyped(typed, side, shop));
  if (celsius === undefined) {
    if (holeExpansion !== undefined || shaftExpansion !== undefined) {
      typed.wrong('celsius', 'Type the temperature; without one the sizes hold at 20 °C.');
    }
    return undefined;
  }
  for (const [at, side] of sides.entries()) {
    if ([holeExpansion, shaftExpansion][at] === undefined) {
      typed.wrong(`${side}Material`, `Choose what the ${side} is made of, or type its expansion.`);
    }
  }
  return {
    celsius,
    holeExpansion: holeExpansion ?? Number.NaN,
    shaftExpansion: shaftExpansion ?? Number.NaN,
  };
}

function expansionTyped(typed: Typed, side: Side, { materials }: Shop): number | undefined {
  const key = typed.choice(
    `${side}Material`,
    materials.map((material) => material.key),
  );
  const expansion = typed.optionalNumber(`${side}Expansion`);
  if (key && expansion !== undefined) {
    typed.wrong(`${side}Expansion`, 'A material or a number, not both: empty one of them.');
  }
  return expansion ?? materials.find((material) => material.key === key)?.expansion;
}
