import { partByNumber } from '../parts/index.ts';
import type { Act } from '../platform/acts.ts';
import { WrongField } from '../platform/refusal.ts';
import { type Side, type SideRef, sideOf, sideSources } from './side-store.ts';
import { type Feature, type Size, sizeOf } from './size.ts';

/** What a form says of a side: a part and a size of its drawing, or a size typed. */
export interface TypedSide {
  part: string;
  position: number | null;
  text: string;
  expansion: number | null;
  dry: number;
  damp: number;
  growth: string;
}

/** The form's own names of the fields, for the sentences. */
export interface SideFields {
  part: string;
  position: string;
  text: string;
}

/**
 * A side as it is to be stored, and its size as it stands now.
 *
 * @throws WrongField  no such part; neither a size chosen nor one typed, or both; a text that is no size of this kind;
 *                     a characteristic that the part's released revision and draft do not have
 */
export async function storedSide(
  act: Act,
  typed: TypedSide,
  feature: Feature,
  fields: SideFields,
): Promise<{ ref: SideRef; size: Size; side: Side }> {
  const { tx } = act;
  const part = typed.part === '' ? null : await partByNumber(tx, typed.part);
  if (typed.part !== '' && (!part || part.removedAt !== null)) {
    throw new WrongField(fields.part, `No part has the number ${typed.part}.`);
  }
  if (typed.position !== null && typed.text !== '') {
    throw new WrongField(fields.text, 'Choose a size of the drawing or type one, not both.');
  }
  const { expansion, dry, damp, growth } = typed;
  const ref: SideRef = { partId: part?.id ?? null, position: null, text: '', expansion, dry, damp, growth };
  if (typed.position === null) {
    if (typed.text === '') {
      throw new WrongField(
        fields.text,
        part
          ? 'Choose a size of the drawing, or type one such as 25 H7.'
          : 'Type a size with its limits, such as 25 H7 or 12.5 +0.1 0.',
      );
    }
    const read = sizeOf(typed.text, null, feature);
    if (!read.ok) throw new WrongField(fields.text, read.sentence);
    ref.text = read.size.text;
  } else {
    if (!part) throw new WrongField(fields.part, 'Name the part whose drawing it is on.');
    ref.position = typed.position;
  }
  const side = sideOf(await sideSources(tx, [ref]), ref, feature, { humidity: null });
  const at = side.current;
  if (!at)
    throw new WrongField(
      fields.position,
      `${typed.part} has no released revision and no draft: draw it first.`,
    );
  // The draft may be the first to have it: then that is what is chosen.
  const read = at.read.ok || !side.draft?.read.ok ? at.read : side.draft.read;
  if (!read.ok) throw new WrongField(fields.position, read.sentence);
  return { ref, size: read.size, side };
}
