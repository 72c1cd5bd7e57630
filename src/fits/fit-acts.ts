import type { Act } from '../platform/acts.ts';
import { NotComputable } from '../platform/not-computable.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import type { OwnSurroundings } from './conditions.ts';
import { readFitting } from './fit-reading.ts';
import type { FitInput } from './forms.ts';
import { type Side, sideSources } from './side-store.ts';
import type { Size } from './size.ts';
import { storedSide } from './typed-side.ts';
import { wantedGap } from './wanted.ts';

/** Sizes further apart than this share were chosen by mistake: nothing goes into anything. */
const FARTHEST_APART = 0.1;

function checkTogether(hole: Size, shaft: Size): void {
  const apart = Math.abs(hole.nominal - shaft.nominal);
  if (apart <= FARTHEST_APART * Math.max(hole.nominal, shaft.nominal) || apart <= 1) return;
  throw new WrongField(
    'shaftText',
    `The hole is ${hole.text} (${hole.nominal} mm) and the shaft ${shaft.text} (${shaft.nominal} mm): they are not of one size. A chain takes different sizes.`,
  );
}

async function rowOf(act: Act, input: FitInput) {
  const side = (of: 'hole' | 'shaft') =>
    storedSide(
      act,
      {
        part: input[`${of}Part`],
        position: input[`${of}Position`],
        text: input[`${of}Text`],
        expansion: input[`${of}Expansion`],
        dry: input[`${of}Dry`],
        damp: input[`${of}Damp`],
        growth: input[`${of}Growth`],
      },
      of,
      { part: `${of}Part`, position: `${of}Position`, text: `${of}Text` },
    );
  const hole = await side('hole');
  const shaft = await side('shaft');
  checkTogether(hole.size, shaft.size);
  const { wantedMin, wantedMax, wanted, lowCelsius, highCelsius, lowHumidity, highHumidity } = input;
  const figures = wantedMin !== null && wantedMax !== null ? { min: wantedMin, max: wantedMax } : null;
  try {
    wantedGap(wanted, hole.size.nominal, figures);
  } catch (fault) {
    if (!(fault instanceof NotComputable)) throw fault;
    throw new WrongField('wanted', `${fault.message}: say what is wanted by figures.`);
  }
  await checkSurroundings(act, input);
  return {
    name: input.name,
    holePartId: hole.ref.partId,
    holePosition: hole.ref.position,
    holeText: hole.ref.text,
    holeExpansion: hole.ref.expansion,
    holeDry: hole.ref.dry,
    holeDamp: hole.ref.damp,
    holeGrowth: hole.ref.growth,
    shaftPartId: shaft.ref.partId,
    shaftPosition: shaft.ref.position,
    shaftText: shaft.ref.text,
    shaftExpansion: shaft.ref.expansion,
    shaftDry: shaft.ref.dry,
    shaftDamp: shaft.ref.damp,
    shaftGrowth: shaft.ref.growth,
    wanted,
    wantedMin,
    wantedMax,
    lowCelsius,
    highCelsius,
    lowHumidity,
    highHumidity,
    note: input.note,
  };
}

const MACHINE = { lowCelsius: true, highCelsius: true, lowHumidity: true, highHumidity: true } as const;

/** One end may be the machine's: the two together must still be the right way round. @throws WrongField */
export async function checkSurroundings(act: Act, own: OwnSurroundings): Promise<void> {
  const machine = await act.tx.build.findUniqueOrThrow({ where: { id: 1 }, select: MACHINE });
  const [coldest, warmest] = [own.lowCelsius ?? machine.lowCelsius, own.highCelsius ?? machine.highCelsius];
  if (coldest > warmest) {
    throw new WrongField(
      own.lowCelsius === null ? 'highCelsius' : 'lowCelsius',
      `From ${coldest} to ${warmest} °C is the wrong way round; an end left empty is the machine’s.`,
    );
  }
  const [driest, dampest] = [
    own.lowHumidity ?? machine.lowHumidity,
    own.highHumidity ?? machine.highHumidity,
  ];
  if ((driest === null) !== (dampest === null)) {
    throw new WrongField(
      driest === null ? 'lowHumidity' : 'highHumidity',
      'Give the air both its ends: the machine’s humidity is not set.',
    );
  }
  if (driest !== null && dampest !== null && driest > dampest) {
    throw new WrongField(
      own.lowHumidity === null ? 'highHumidity' : 'lowHumidity',
      `From ${driest} to ${dampest} % is the wrong way round; an end left empty is the machine’s.`,
    );
  }
}

const partOf = (side: Side) => side.part?.id ?? null;

async function nameOf(act: Act, id: number) {
  const row = await act.tx.fit.findUniqueOrThrow({ where: { id } });
  const refs = [{ partId: row.holePartId }, { partId: row.shaftPartId }];
  const reading = readFitting(row, await sideSources(act.tx, refs));
  return { name: reading.name, partId: partOf(reading.hole) ?? partOf(reading.shaft) };
}

/** Adds a fit. @returns its id and name @throws WrongField what does not fit together, at its field */
export async function addFit(act: Act, input: FitInput): Promise<{ id: number; name: string }> {
  const data = await rowOf(act, input);
  const { id } = await act.tx.fit.create({
    data: { ...data, createdAt: act.at, createdById: act.actor.personId },
  });
  const { name, partId } = await nameOf(act, id);
  await act.log({ kind: 'add-fit', partId, thing: { type: 'fit', id }, after: { ...data, name } });
  return { id, name };
}

/** Changes a fit. @throws NotFound, WrongField; Refused changed by somebody else meanwhile */
export async function changeFit(act: Act, { id, input }: { id: number; input: FitInput }): Promise<string> {
  const before = found(
    await act.tx.fit.findFirst({ where: { id, removedAt: null } }),
    'There is no such fit any more.',
  );
  const data = await rowOf(act, input);
  const { count } = await act.tx.fit.updateMany({
    where: { id, removedAt: null, version: input.version ?? 0 },
    data: { ...data, version: { increment: 1 } },
  });
  if (count !== 1)
    refuse('changed-meanwhile', 'Somebody else changed this fit meanwhile: look at it again before you do.');
  const { name, partId } = await nameOf(act, id);
  const { createdAt: _at, createdById: _by, removedAt: _removed, version: _version, ...was } = before;
  await act.log({
    kind: 'change-fit',
    partId,
    thing: { type: 'fit', id },
    before: was,
    after: { ...data, name },
  });
  return name;
}

/** Takes a fit off the list; it stays in the records. @throws Refused a chain has it as a link */
export async function removeFit(act: Act, { id }: { id: number }): Promise<string> {
  found(await act.tx.fit.findFirst({ where: { id, removedAt: null } }), 'There is no such fit any more.');
  const used = await act.tx.chainLink.findFirst({
    where: { fitId: id, removedAt: null, chain: { removedAt: null } },
    include: { chain: { select: { title: true } } },
  });
  if (used)
    refuse('in-a-chain', `The chain ${used.chain.title} takes this fit’s play: take it out there first.`);
  const { name, partId } = await nameOf(act, id);
  await act.tx.fit.update({ where: { id }, data: { removedAt: act.at } });
  await act.log({ kind: 'remove-fit', partId, thing: { type: 'fit', id }, before: { name } });
  return name;
}

/** Says what the machine will stand in; fits and chains without a range of their own go by it. */
export async function setSurroundings(
  act: Act,
  after: {
    lowCelsius: number;
    highCelsius: number;
    lowHumidity: number | null;
    highHumidity: number | null;
  },
): Promise<void> {
  const before = await act.tx.build.findUniqueOrThrow({ where: { id: 1 }, select: MACHINE });
  await act.tx.build.update({ where: { id: 1 }, data: after });
  await act.log({ kind: 'set-temperatures', before, after });
}
