import {
  fromMm,
  GENERAL_CLASSES,
  type LimitsAnswer,
  type LimitsQuestion,
  toMm,
} from '../../specs/pure/index.ts';
import { bandDrawing } from '../band-drawing.ts';
import type { BenchPage } from '../calculator.ts';
import { figure, figures, placesOf, signed } from '../figures.ts';

const classWords = { f: 'f, fine', m: 'm, medium', c: 'c, coarse', v: 'v, very coarse' };
const kinds = [
  { value: 'linear', label: 'a length' },
  { value: 'radius', label: 'an outside radius or a chamfer' },
  { value: 'angle', label: 'an angle, by its shorter side' },
];

/** Limits of one size, by zone or by class. */
export const limitsPage: BenchPage<LimitsQuestion, LimitsAnswer> = {
  method: 'get',
  fresh: { unit: 'mm', kind: 'linear' },
  example: { nominal: '25', unit: 'mm', zone: 'H7' },
  read(typed) {
    const nominal = typed.number('nominal', 'Type the nominal size.');
    const unit = typed.choice('unit', ['mm', 'in']) ?? 'mm';
    const zone = typed.text('zone', 12);
    const generalClass = typed.choice('generalClass', GENERAL_CLASSES);
    const kind = typed.choice('kind', ['linear', 'radius', 'angle']) ?? 'linear';
    if (!zone && !generalClass) typed.wrong('zone', 'Type a zone such as H7, or choose a class below.');
    if (zone && generalClass) typed.wrong('generalClass', 'A zone or a class, not both: empty one of them.');
    const by = zone ? { zone } : { generalClass, ...(kind === 'linear' ? {} : { kind }) };
    return { request: { nominal, ...(unit === 'mm' ? {} : { unit }), ...by } };
  },
  // a size that no zone or class has a value for is wrong itself; else the zone or the class is
  blame: (sentence, { zone }) =>
    /^(nominal|length|radius|shorter side) /i.test(sentence) ? 'nominal' : zone ? 'zone' : 'generalClass',
  form: () => ({
    classes: GENERAL_CLASSES.map((value) => ({ value, label: classWords[value] })),
    kinds,
    units: ['mm', 'in'],
  }),
  show(request, reply) {
    const unit = request.unit ?? 'mm';
    const { upperDeviation: upper, lowerDeviation: lower, upperLimit, lowerLimit } = reply;
    const name = 'zone' in request ? request.zone : `class ${request.generalClass}`;
    if (upperLimit === null || lowerLimit === null) {
      return { angle: { plusMinus: figure(upper), minutes: figure(upper * 60, 0), name } };
    }
    const nominal = figure(request.nominal, 6);
    const places = placesOf(unit);
    const middle = (upperLimit + lowerLimit) / 2;
    const sizes = figures([upperLimit, middle, lowerLimit], places, 3);
    const words = ['Upper limit', 'Middle', 'Lower limit'];
    const other = unit === 'mm' ? 'in' : 'mm';
    const inOther = figures(
      [upperLimit, middle, lowerLimit].map((size) => fromMm(toMm(size, unit), other)),
      placesOf(other),
      3,
    );
    return {
      size: `${nominal} ${name}`,
      unit,
      other,
      rows: [upper, (upper + lower) / 2, lower].map((deviation, at) => ({
        what: words[at],
        deviation: signed(deviation, places),
        limit: sizes[at],
        other: inOther[at],
      })),
      width: figure(upper - lower, places),
      drawing: bandDrawing([{ name, upper, lower, fill: 'hatch' }], unit, `${nominal} ${unit}`),
    };
  },
};
