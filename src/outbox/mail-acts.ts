import type { z } from 'zod';
import type { Act } from '../platform/acts.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import { kindsFor, LETTER_KINDS, type LetterKind, storedWords } from './kinds.ts';
import { testLetter } from './letter-text.ts';
import type { MailForm } from './mail-forms.ts';
import { DAY_MS, REMINDER_DAYS } from './next-try.ts';
import { readMailSettings, tellsAnybody, tellsFromNow } from './store.ts';

/** When settings were last changed, as the form carries it: the second of two editors is told. */
export function seenOf(changedAt: Date | null): string {
  return changedAt ? changedAt.toISOString() : '';
}

/**
 * Changes how letters leave. What is in the log before letters are switched on is told to nobody.
 *
 * @param kept  whether a password is kept for this server and user, for another, or none
 * @returns     the password to keep; null leaves the kept one
 * @throws WrongField  at the password, when another server would be given the one that is kept
 */
export async function changeMail(
  act: Act,
  input: z.output<typeof MailForm>,
  kept: 'this' | 'other' | 'none',
): Promise<{ password: string | null }> {
  const { tx } = act;
  const before = await readMailSettings(tx);
  if (input.seen !== seenOf(before.changedAt)) {
    refuse(
      'changed-meanwhile',
      'Somebody changed these settings meanwhile. They stand in a new window; yours are below, not kept.',
    );
  }
  const { host, port, secure, user, fromName, fromEmail, on } = input;
  if (user && !input.password && kept === 'other') {
    throw new WrongField(
      'password',
      'Type the password again: the one that is kept goes to no other server or user.',
    );
  }
  if (user && !input.password && kept === 'none')
    throw new WrongField('password', 'Type the password of this user.');
  const told = await tellsAnybody(tx);
  const kindsOff = LETTER_KINDS.filter((kind) => !input.kinds.includes(kind));
  await tx.mailSettings.update({
    where: { id: 1 },
    data: {
      host,
      port,
      secure,
      user,
      fromName,
      fromEmail,
      on,
      kindsOff: JSON.stringify(kindsOff),
      changedAt: act.at,
    },
  });
  if (!told && on) await tellsFromNow(tx);
  if (on && !before.on) await takeUpAgain(act);
  // With another server there is no reason to wait for the old one's sake.
  await tx.letter.updateMany({ where: { state: 'waiting' }, data: { nextAt: act.at } });
  await act.log({
    kind: 'change-mail',
    before: { on: before.on, kindsOff: storedWords(before.kindsOff) },
    after: { on, kindsOff },
  });
  return { password: user ? input.password || null : '' };
}

/** What waited while letters were switched off has its days before it, but for reminders of days that are over. */
async function takeUpAgain({ tx, at }: Act): Promise<void> {
  const stale = new Date(at.getTime() - REMINDER_DAYS * DAY_MS);
  await tx.letter.updateMany({
    where: { state: 'waiting', kind: 'reminder', createdAt: { lt: stale } },
    data: droppedNow(at),
  });
  await tx.letter.updateMany({ where: { state: 'waiting' }, data: { createdAt: at } });
}

/** Puts a letter to the lead who asks into the outbox: it leaves as every other, also while letters are switched off. */
export async function askTestLetter(act: Act): Promise<void> {
  const { tx, at, actor } = act;
  const settings = await readMailSettings(tx);
  if (!settings.host || !settings.fromEmail) {
    refuse('no-server', 'Keep a server and the address that letters come from first.');
  }
  const person = found(
    await tx.person.findUnique({ where: { id: actor.personId ?? 0 } }),
    'There is no such person.',
  );
  if (!person.email) refuse('no-address', 'Your own page has no mail address yet.');
  const build = await tx.build.findUnique({ where: { id: 1 } });
  const { subject, text } = testLetter({ name: build?.name ?? 'Farwright' }, at);
  await tx.letter.create({
    data: {
      key: `test:${person.id}:${at.toISOString()}`,
      kind: 'test',
      personId: person.id,
      subject,
      body: text,
      nextAt: at,
      createdAt: at,
    },
  });
  await act.log({ kind: 'ask-test-letter' });
}

/** Everything that waits is tried at once. */
export async function tryNow(act: Act): Promise<void> {
  await act.tx.letter.updateMany({ where: { state: 'waiting' }, data: { nextAt: act.at } });
  await act.log({ kind: 'try-letters' });
}

/**
 * The lead decides on a letter of which nobody knows whether it arrived, or that was refused: it goes out once more, or
 * it is dropped.
 */
export async function settleLetter(
  act: Act,
  { letter: id, what }: { letter: number; what: 'send' | 'drop' },
): Promise<void> {
  const where = { id, state: { in: ['in doubt', 'refused'] } };
  const letter = found(await act.tx.letter.findUnique({ where: { id } }), 'There is no such letter.');
  const { count } = await act.tx.letter.updateMany({
    where,
    data: what === 'send' ? sentAgain(act.at) : droppedNow(act.at),
  });
  if (count === 0) refuse('decided', 'This letter waits for no decision any more.');
  await act.log({
    kind: 'settle-letter',
    thing: { type: 'letter', id },
    after: { what: letter.kind, decision: what },
  });
}

/**
 * The lead decides on many at once: all refused go out once more, as after a server that knew no sender, or all refused
 * or all waiting are dropped.
 *
 * @returns how many
 */
export async function settleLetters(
  act: Act,
  { which, what }: { which: 'refused' | 'waiting'; what: 'send' | 'drop' },
): Promise<number> {
  const { tx, at } = act;
  const { count } = await tx.letter.updateMany({
    where: { state: which },
    data: what === 'send' ? sentAgain(at) : droppedNow(at),
  });
  if (count === 0) refuse('decided', 'There are none any more.');
  await act.log({ kind: 'settle-letters', after: { letters: count, decision: what } });
  return count;
}

/** The wait and the days a letter is tried for count from the decision on. */
const sentAgain = (at: Date) => ({
  state: 'waiting',
  nextAt: at,
  createdAt: at,
  tries: 0,
  settledAt: null,
  lastError: '',
});
const droppedNow = (at: Date) => ({ state: 'dropped', settledAt: at, body: '', lastError: '' });

/** A person says which letters they want. */
export async function chooseLetters(
  act: Act,
  personId: number,
  wanted: readonly LetterKind[],
): Promise<void> {
  const person = await readReader(act, personId);
  const mailOff = kindsFor(person.role).filter((kind) => !wanted.includes(kind));
  await keepChoice(act, personId, mailOff);
}

/** Stops letters of one kind to a person, by the link in such a letter. Stopping twice is no fault. */
export async function stopLetters(act: Act, personId: number, kind: LetterKind): Promise<void> {
  const person = await readReader(act, personId);
  const off = new Set(storedWords(person.mailOff));
  if (off.has(kind)) return;
  await keepChoice(act, personId, [...off, kind]);
}

async function readReader(act: Act, personId: number) {
  const person = await act.tx.person.findUnique({ where: { id: personId } });
  return found(person?.forgottenAt ? null : person, 'There is no such person.');
}

async function keepChoice(act: Act, personId: number, mailOff: string[]): Promise<void> {
  await act.tx.person.update({ where: { id: personId }, data: { mailOff: JSON.stringify(mailOff) } });
  await act.log({ kind: 'choose-letters', aboutId: personId });
}
