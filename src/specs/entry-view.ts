import { plainNumber } from './characteristic-text-written.ts';
import { PROPERTIES, PROPERTY_RULES, type ProcessSource, type PropertyName } from './entry-forms.ts';
import type { KeptProperty, MaterialEntry } from './materials.ts';
import type { ProcessEntry } from './processes.ts';

/** A figure as a page shows it: value and range, unit, and where it is from. */
export interface Figure {
  label: string;
  value: string;
  unit: string;
  source: string;
}

function rangeText(low: number | undefined, high: number | undefined): string {
  if (low === undefined && high === undefined) return '';
  if (low === undefined) return `up to ${plainNumber(high!)}`;
  if (high === undefined) return `from ${plainNumber(low)}`;
  return low === high ? plainNumber(low) : `${plainNumber(low)} to ${plainNumber(high)}`;
}

/** A value's figure, unit and source in one piece of small print: `12 10⁻⁶/K, EN 1993-1-1`. */
export function valueSource(name: PropertyName, kept: KeptProperty): string {
  const { unit } = PROPERTY_RULES[name];
  return `${plainNumber(kept.typical)} ${unit}, ${sourceText(kept, unit)}`;
}

function sourceText({ source, confidence, direction, across, between }: KeptProperty, unit: string): string {
  const held = [
    direction,
    across === undefined ? null : `${plainNumber(across)} ${unit} across it`,
    between && `measured ${between.replace(/\bC\b/, '°C')}`,
  ].filter(Boolean);
  const words = held.length ? `${held.join(', ')}. ` : '';
  return `${words}${source || 'no source named'}${confidence === 'memory' && !/memory/.test(source) ? ' (from memory)' : ''}`;
}

/** The properties of a material, with what is not known left out. */
export function materialFigures(entry: MaterialEntry): Figure[] {
  return PROPERTIES.flatMap((name) => {
    const kept = entry.properties[name];
    const { label, unit } = PROPERTY_RULES[name];
    if (!kept) return [];
    const range = rangeText(kept.low, kept.high);
    const value = plainNumber(kept.typical);
    return [
      {
        label,
        value: range && range !== value ? `${value} (${range})` : value,
        unit,
        source: sourceText(kept, unit),
      },
    ];
  });
}

/** A row of the list of materials: the usual value of each property, with its source on hover. */
export function materialRow(entry: MaterialEntry) {
  return {
    id: entry.id,
    name: entry.name,
    figures: PROPERTIES.map((name) => {
      const kept = entry.properties[name];
      const { unit } = PROPERTY_RULES[name];
      return {
        value: kept ? plainNumber(kept.typical) : '',
        source: kept ? sourceText(kept, unit) : '',
      };
    }),
  };
}

/** The figures of a process, with what is not known left out. */
export function processFigures(entry: ProcessEntry): Figure[] {
  const { grade, plusMinus, kerf, angle, smallest, envelope } = entry;
  const figures: Figure[] = [];
  const add = (of: ProcessSource, label: string, value: string, unit = '', note = '') => {
    const source = entry.sources[of] || entry.source || 'no source named';
    if (value) figures.push({ label, value, unit, source: note ? `${note}. ${source}` : source });
  };
  const grades = [
    ['usually', grade.usual],
    ['with care', grade.best],
    ['at its coarsest', grade.coarsest],
  ] as const;
  const held = grades.flatMap(([when, one]) => (one === null ? [] : [`IT${one} ${when}`]));
  add('grade', 'ISO 286 grade it holds', held.join(', '));
  const about = 'Either way, on parts of about 100 mm';
  add('plusMinus', 'Everyday tolerance', plusMinusText(plusMinus), 'mm', about);
  add('kerf', 'Width of the cut', rangeText(kerf?.low, kerf?.high), 'mm');
  add('angle', 'Everyday tolerance of an angle', angle ? `± ${rangeText(angle.low, angle.high)}` : '', '°');
  add('smallest', 'Smallest feature', rangeText(smallest?.low, smallest?.high), 'mm', smallest?.what);
  add('envelope', 'Largest piece', envelopeText(envelope), 'mm', envelope?.what);
  return figures;
}

/** Length, width and height in one piece of text: 400 × 250 × 150. */
function envelopeText(envelope: ProcessEntry['envelope']): string {
  if (!envelope) return '';
  const { x, y, z } = envelope;
  return [x, y, z]
    .filter((side) => side !== undefined)
    .map(plainNumber)
    .join(' × ');
}

/** The everyday tolerance in one piece of text: ±0.025, or ±0.1 to 0.5. */
export function plusMinusText(plusMinus: ProcessEntry['plusMinus']): string {
  if (!plusMinus) return '';
  const { low, typical, high } = plusMinus;
  const range = rangeText(low, high);
  if (typical === undefined) return range && `± ${range}`;
  return `± ${plainNumber(typical)}${range ? ` (${range})` : ''}`;
}

/** A row of the list of processes. */
export function processRow(entry: ProcessEntry) {
  const { grade } = entry;
  return {
    id: entry.id,
    name: entry.name,
    usual: grade.usual === null ? '' : `IT${grade.usual}`,
    span: [grade.best, grade.coarsest]
      .filter((one) => one !== null)
      .map((one) => `IT${one}`)
      .join(' to '),
    plusMinus: plusMinusText(entry.plusMinus),
    smallest: rangeText(entry.smallest?.low, entry.smallest?.high),
    envelope: envelopeText(entry.envelope),
    source: entry.source,
  };
}
