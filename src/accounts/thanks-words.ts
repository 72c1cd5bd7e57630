import type { Act } from '../platform/acts.ts';
import { found, refuse } from '../platform/refusal.ts';

async function readOpen(act: Act, personId: number) {
  const person = found(
    await act.tx.person.findUnique({ where: { id: personId } }),
    'There is no such person.',
  );
  if (person.forgottenAt) refuse('forgotten', 'This person has left and is forgotten.');
  return person;
}

/** A person says in their own words what they made, for the thanks page. Nobody says it for them. */
export async function sayThanksWords(
  act: Act,
  personId: number,
  { thanksWords }: { thanksWords: string },
): Promise<void> {
  if (act.actor.personId !== personId) refuse('not-you', 'These words are theirs to say.');
  await readOpen(act, personId);
  await act.tx.person.update({ where: { id: personId }, data: { thanksWords } });
  await act.log({ kind: 'say-thanks-words', aboutId: personId });
}

/** The lead takes a person's words off the thanks page. What they were is kept nowhere. */
export async function removeThanksWords(act: Act, personId: number): Promise<void> {
  const { thanksWords } = await readOpen(act, personId);
  if (!thanksWords) refuse('no-words', 'There are no words of theirs on the thanks page any more.');
  await act.tx.person.update({ where: { id: personId }, data: { thanksWords: '' } });
  await act.log({ kind: 'remove-thanks-words', aboutId: personId });
}
