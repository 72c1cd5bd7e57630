import { z } from 'zod';
import { choice, line, number, optionalId, optionalNumber, words } from '../platform/http/fields.ts';
import type { OwnSurroundings } from './conditions.ts';
import { GROWTHS } from './side-store.ts';
import { chosenSize } from './structure-sizes.ts';
import { WISHES } from './wanted.ts';

const celsius = { min: -100, max: 300, unit: ' °C' };
const expansion = { min: -20, max: 1000, unit: ' millionths per K' };
const percent = { min: -20, max: 20, unit: ' %' };
const humidity = { min: 0, max: 100, unit: ' %' };
const gap = { min: -100, max: 5000, unit: ' mm' };

/** Per cent, empty for none. */
const growth = optionalNumber(percent).transform((value) => value ?? 0);

/** The range of one thing: its two ends the right way round, where both are given. */
function rightWayRound(
  low: number | null,
  high: number | null,
  check: z.RefinementCtx,
  field: string,
  unit: string,
): void {
  if (low === null || high === null || !(low > high)) return;
  check.addIssue({
    code: 'custom',
    path: [field],
    message: `The greatest, ${high} ${unit}, lies below the smallest, ${low} ${unit}: the wrong way round.`,
  });
}

const version = optionalId('Load the page again: the form has lost which version it was for.');

const growthBy = choice(GROWTHS, 'Choose along, across or typed.');

const ranges = {
  lowCelsius: optionalNumber(celsius),
  highCelsius: optionalNumber(celsius),
  lowHumidity: optionalNumber(humidity),
  highHumidity: optionalNumber(humidity),
  note: words(2000),
  version,
};

function rangesRightWayRound(form: OwnSurroundings, check: z.RefinementCtx): void {
  rightWayRound(form.lowCelsius, form.highCelsius, check, 'highCelsius', '°C');
  rightWayRound(form.lowHumidity, form.highHumidity, check, 'highHumidity', '%');
}

export const FitForm = z
  .object({
    name: line(100),
    holePart: line(60),
    holePosition: optionalId('Choose a size of the list.'),
    holeText: line(200),
    holeExpansion: optionalNumber(expansion),
    holeDry: growth,
    holeDamp: growth,
    holeGrowth: growthBy,
    shaftPart: line(60),
    shaftPosition: optionalId('Choose a size of the list.'),
    shaftText: line(200),
    shaftExpansion: optionalNumber(expansion),
    shaftDry: growth,
    shaftDamp: growth,
    shaftGrowth: growthBy,
    wanted: choice(WISHES, 'Choose what is wanted.'),
    wantedMin: optionalNumber(gap),
    wantedMax: optionalNumber(gap),
    ...ranges,
  })
  .superRefine((form, check) => {
    const need = (path: string, message: string) => check.addIssue({ code: 'custom', path: [path], message });
    if (form.wanted === 'figures') {
      if (form.wantedMin === null) need('wantedMin', 'Type the smallest clearance; below 0 is interference.');
      if (form.wantedMax === null) need('wantedMax', 'Type the greatest clearance.');
      rightWayRound(form.wantedMin, form.wantedMax, check, 'wantedMax', 'mm');
    } else if (form.wantedMin !== null || form.wantedMax !== null) {
      need('wanted', 'Figures are typed below: choose "by figures", or leave them empty.');
    }
    rangesRightWayRound(form, check);
    rightWayRound(form.holeDry, form.holeDamp, check, 'holeDamp', '%');
    rightWayRound(form.shaftDry, form.shaftDamp, check, 'shaftDamp', '%');
  });

export type FitInput = z.output<typeof FitForm>;

export const ChainForm = z
  .object({
    title: line(100, 'Say what gap it is: cover to bearing.'),
    wantedMin: number(gap),
    wantedMax: number(gap),
    ...ranges,
  })
  .superRefine((form, check) => {
    rightWayRound(form.wantedMin, form.wantedMax, check, 'wantedMax', 'mm');
    rangesRightWayRound(form, check);
  });

export type ChainInput = z.output<typeof ChainForm>;

/** Directions of a link as they are chosen; `fits`: as the fits have it. */
export const DIRECTION_WORDS = ['', '1', '-1', 'fits'] as const;

export const LinkForm = z
  .object({
    part: line(60),
    size: line(20),
    text: line(200),
    fitId: optionalId('Choose a fit of the list.'),
    label: line(80),
    direction: choice(DIRECTION_WORDS, 'Choose whether it opens or closes the gap.'),
    expansion: optionalNumber(expansion),
    dry: growth,
    damp: growth,
    growth: growthBy,
    /** the chain's, as it was seen; a new link needs none */
    version,
  })
  .superRefine(({ dry, damp, direction, fitId, size }, check) => {
    rightWayRound(dry, damp, check, 'damp', '%');
    const wrong = (path: string, message: string) =>
      check.addIssue({ code: 'custom', path: [path], message });
    if (direction === '' && fitId === null) wrong('direction', 'Choose whether it opens or closes the gap.');
    if (size !== '' && chosenSize(size) === null) wrong('size', 'Choose a size of the list.');
  });

export type LinkInput = z.output<typeof LinkForm>;

export const SurroundingsForm = z
  .object({
    lowCelsius: number(celsius),
    highCelsius: number(celsius),
    lowHumidity: optionalNumber(humidity),
    highHumidity: optionalNumber(humidity),
  })
  .superRefine((form, check) => {
    rangesRightWayRound(form, check);
    if ((form.lowHumidity === null) === (form.highHumidity === null)) return;
    check.addIssue({
      code: 'custom',
      path: [form.lowHumidity === null ? 'lowHumidity' : 'highHumidity'],
      message: 'Give the air both its ends, or neither: then swelling is left out.',
    });
  });

/** A form that is a button only. */
export const ButtonForm = z.object({});
