import type { Act } from '../platform/acts.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import { directionFromFits, type SizeAt } from './chain-direction.ts';
import { checkSurroundings } from './fit-acts.ts';
import { fitsOfSizes } from './fits-of-sizes.ts';
import type { ChainInput, LinkInput } from './forms.ts';
import { chosenSize } from './structure-sizes.ts';
import { storedSide } from './typed-side.ts';

/** A link as it is chosen or typed. */
type NewLink = Omit<LinkInput, 'version'>;

/** More would not be read by anybody; the sum stays exact with any number. */
const MOST_LINKS = 60;

function changedMeanwhile(): never {
  refuse('changed-meanwhile', 'Somebody else changed this chain meanwhile: look at it again before you do.');
}

async function openChain(act: Act, id: number) {
  return found(
    await act.tx.chain.findFirst({ where: { id, removedAt: null } }),
    'There is no such chain any more.',
  );
}

async function openLink(act: Act, id: number) {
  const link = found(
    await act.tx.chainLink.findFirst({ where: { id, removedAt: null }, include: { chain: true } }),
    'There is no such link any more.',
  );
  if (link.chain.removedAt !== null) refuse('removed', 'The chain is taken off the list.');
  return link;
}

/** Adds an empty chain. */
export async function addChain(act: Act, { version: _, ...data }: ChainInput): Promise<number> {
  await checkSurroundings(act, data);
  const { id } = await act.tx.chain.create({
    data: { ...data, createdAt: act.at, createdById: act.actor.personId },
  });
  await act.log({ kind: 'add-chain', thing: { type: 'chain', id }, after: data });
  return id;
}

/** Changes what a chain is for and what is wanted. @throws NotFound; Refused changed meanwhile */
export async function changeChain(
  act: Act,
  { id, input: { version, ...data } }: { id: number; input: ChainInput },
): Promise<void> {
  const { title, wantedMin, wantedMax, lowCelsius, highCelsius, lowHumidity, highHumidity, note } =
    await openChain(act, id);
  await checkSurroundings(act, data);
  const { count } = await act.tx.chain.updateMany({
    where: { id, version: version ?? 0, removedAt: null },
    data: { ...data, version: { increment: 1 } },
  });
  if (count !== 1) changedMeanwhile();
  const before = { title, wantedMin, wantedMax, lowCelsius, highCelsius, lowHumidity, highHumidity, note };
  await act.log({ kind: 'change-chain', thing: { type: 'chain', id }, before, after: data });
}

/** Takes a chain off the list; it stays in the records. */
export async function removeChain(act: Act, { id }: { id: number }): Promise<string> {
  const { title } = await openChain(act, id);
  await act.tx.chain.update({ where: { id }, data: { removedAt: act.at } });
  await act.log({ kind: 'remove-chain', thing: { type: 'chain', id }, before: { title } });
  return title;
}

/** The direction as chosen, or as the fits have it. @throws WrongField no fit says */
async function directionOf(
  act: Act,
  { direction }: NewLink,
  size: SizeAt,
  { chainId, linkId }: { chainId: number; linkId: number | null },
): Promise<number> {
  if (direction !== 'fits') return Number(direction);
  const links = await act.tx.chainLink.findMany({
    where: { chainId, removedAt: null, ...(linkId === null ? {} : { id: { not: linkId } }) },
    orderBy: { position: 'asc' },
  });
  const found = directionFromFits(
    size,
    await fitsOfSizes(act.tx),
    links.map((link) => ({
      partId: link.partId,
      position: link.characteristicPosition,
      direction: link.direction,
    })),
  );
  if ('sentence' in found) throw new WrongField('direction', found.sentence);
  return found.direction;
}

async function linkRow(act: Act, input: NewLink, where: { chainId: number; linkId: number | null }) {
  if (input.fitId !== null) {
    if (input.text || input.size)
      throw new WrongField('fitId', 'A link is a size or the play of a fit, not both.');
    const fit = await act.tx.fit.findFirst({ where: { id: input.fitId, removedAt: null } });
    if (!fit) throw new WrongField('fitId', 'There is no such fit any more.');
    return {
      label: input.label,
      // a part may sit to either side of its play: the direction follows, and says nothing
      direction: 1,
      fitId: fit.id,
      partId: null,
      characteristicPosition: null,
      text: '',
      expansion: null,
      dry: 0,
      damp: 0,
      growth: '',
    };
  }
  const chosen = chosenSize(input.size);
  const part = chosen && (await act.tx.part.findUnique({ where: { id: chosen.partId } }));
  if (chosen && (!part || part.removedAt !== null))
    throw new WrongField('size', 'The part of this size is taken out of the build.');
  const { ref, side } = await storedSide(
    act,
    { ...input, part: part?.number ?? input.part, position: chosen?.position ?? null },
    'any',
    { part: 'part', position: 'size', text: 'text' },
  );
  const { position, ...rest } = ref;
  return {
    ...rest,
    label: input.label || side.current?.label || '',
    direction: await directionOf(act, input, { partId: ref.partId, position }, where),
    fitId: null,
    characteristicPosition: position,
  };
}

const said = (row: { label: string; text: string; characteristicPosition: number | null }) =>
  row.label ||
  row.text ||
  (row.characteristicPosition === null
    ? 'the play of a fit'
    : `characteristic ${row.characteristicPosition}`);

/** Adds a link at the end of a chain. @throws WrongField as storedSide; Refused sixty are there already */
export async function addLink(
  act: Act,
  { chainId, input }: { chainId: number; input: NewLink },
): Promise<string> {
  const { title } = await openChain(act, chainId);
  const links = await act.tx.chainLink.findMany({
    where: { chainId },
    select: { position: true, removedAt: true },
  });
  if (links.filter(({ removedAt }) => removedAt === null).length >= MOST_LINKS)
    refuse('too-many', `A chain has ${MOST_LINKS} links at most.`);
  const row = await linkRow(act, input, { chainId, linkId: null });
  const position = Math.max(0, ...links.map((link) => link.position)) + 1;
  await act.tx.chainLink.create({ data: { ...row, chainId, position } });
  await act.tx.chain.update({ where: { id: chainId }, data: { version: { increment: 1 } } });
  await act.log({
    kind: 'add-to-chain',
    partId: row.partId,
    thing: { type: 'chain', id: chainId },
    after: { ...row, title, link: said(row) },
  });
  return said(row);
}

/** Changes a link. @returns the chain's id @throws Refused the chain was changed meanwhile; WrongField as storedSide */
export async function changeLink(act: Act, { id, input }: { id: number; input: LinkInput }): Promise<number> {
  const { chain, chainId, ...before } = await openLink(act, id);
  if (input.version !== chain.version) changedMeanwhile();
  const row = await linkRow(act, input, { chainId, linkId: id });
  await act.tx.chainLink.update({ where: { id }, data: row });
  await act.tx.chain.update({ where: { id: chainId }, data: { version: { increment: 1 } } });
  await act.log({
    kind: 'change-in-chain',
    partId: row.partId,
    thing: { type: 'chain', id: chainId },
    before,
    after: { ...row, title: chain.title, link: said(row) },
  });
  return chainId;
}

/** Takes a link out of its chain; it stays in the records. @returns the chain's id */
export async function removeLink(act: Act, { id }: { id: number }): Promise<number> {
  const { chain, chainId, ...before } = await openLink(act, id);
  await act.tx.chainLink.update({ where: { id }, data: { removedAt: act.at } });
  await act.tx.chain.update({ where: { id: chainId }, data: { version: { increment: 1 } } });
  await act.log({
    kind: 'take-from-chain',
    partId: before.partId,
    thing: { type: 'chain', id: chainId },
    before: { ...before, title: chain.title, link: said(before) },
  });
  return chainId;
}
