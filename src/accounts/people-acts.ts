import type { z } from 'zod';
import type { Act, Role } from '../platform/acts.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import type { AcceptForm, BuildForm, PersonForm } from './forms.ts';
import { checkLeadRemains } from './lead-remains.ts';
import { endSessions } from './session-store.ts';
import { useTicket } from './tickets.ts';

const NO_PERSON = 'There is no such person.';

async function readPerson(act: Act, personId: number) {
  return found(await act.tx.person.findUnique({ where: { id: personId } }), NO_PERSON);
}

async function checkEmailFree(act: Act, email: string | null, personId?: number): Promise<void> {
  if (email === null) return;
  const other = await act.tx.person.findUnique({ where: { email }, select: { id: true } });
  if (other && other.id !== personId) throw new WrongField('email', 'Another account has this address.');
}

/** Makes the account of somebody who came with an invitation. Gives their id. */
export async function acceptInvitation(
  act: Act,
  secret: string,
  input: Omit<z.output<typeof AcceptForm>, 'password'>,
  passwordHash: string,
): Promise<number> {
  const ticket = await useTicket(act, secret, 'invitation');
  await checkEmailFree(act, input.email);
  const person = await act.tx.person.create({
    data: { ...input, role: ticket.role ?? 'maker', passwordHash, createdAt: act.at },
  });
  await act.log({ kind: 'accept-invitation', aboutId: person.id, after: { role: person.role } });
  return person.id;
}

/** Uses a sign-in link up and gives whose it is. */
export async function followSignInLink(act: Act, secret: string): Promise<number> {
  const ticket = await useTicket(act, secret, 'sign-in');
  const person = await readPerson(act, found(ticket.personId, NO_PERSON));
  if (person.deactivatedAt || person.forgottenAt) {
    refuse('account-closed', 'This account is closed. Ask the lead to open it again.');
  }
  await act.log({ kind: 'follow-sign-in-link', aboutId: person.id });
  return person.id;
}

/** Changes what is known of a person: by themselves or by the lead. */
export async function changePerson(
  act: Act,
  personId: number,
  input: z.output<typeof PersonForm>,
): Promise<void> {
  const person = await readPerson(act, personId);
  if (person.forgottenAt) refuse('forgotten', 'This person has left and is forgotten.');
  await checkEmailFree(act, input.email, personId);
  if (input.email === null && person.passwordHash) {
    throw new WrongField('email', 'A password is of no use without a mail address to sign in with.');
  }
  await act.tx.person.update({ where: { id: personId }, data: input });
  await act.log({ kind: 'change-person', aboutId: personId });
}

/** Sets a password and ends every other session of the person. */
export async function setPassword(act: Act, personId: number, passwordHash: string): Promise<void> {
  const person = await readPerson(act, personId);
  if (!person.email) throw new WrongField('password', 'Give a mail address first: you sign in with it.');
  await act.tx.person.update({ where: { id: personId }, data: { passwordHash } });
  await endSessions(act.tx, personId);
  await act.log({ kind: 'set-password', aboutId: personId });
}

export async function changeRole(act: Act, personId: number, role: Role): Promise<void> {
  const person = await readPerson(act, personId);
  if (person.role === role) return;
  if (person.role === 'lead') await checkLeadRemains(act, personId);
  await act.tx.person.update({ where: { id: personId }, data: { role } });
  await act.log({ kind: 'change-role', aboutId: personId, before: { role: person.role }, after: { role } });
}

/** Closes an account (or opens it again): nobody signs in to it, all it did stays. */
export async function setOpen(act: Act, personId: number, open: boolean): Promise<void> {
  const person = await readPerson(act, personId);
  if (person.forgottenAt) refuse('forgotten', 'This person has left and is forgotten.');
  if (!open && person.role === 'lead') await checkLeadRemains(act, personId);
  await act.tx.person.update({ where: { id: personId }, data: { deactivatedAt: open ? null : act.at } });
  if (!open) await endSessions(act.tx, personId);
  await act.log({ kind: open ? 'open-account' : 'close-account', aboutId: personId });
}

export async function takeBackInvitation(act: Act, ticketId: number): Promise<void> {
  const { count } = await act.tx.ticket.updateMany({
    where: { id: ticketId, usedAt: null, revokedAt: null },
    data: { revokedAt: act.at, note: '', email: '' },
  });
  if (count === 0) refuse('link-spent', 'This link has been used or taken back already.');
  await act.log({ kind: 'take-back-link', thing: { type: 'ticket', id: ticketId } });
}

/** Changes the build's own settings. */
export async function changeBuild(act: Act, input: z.output<typeof BuildForm>): Promise<void> {
  const {
    postAddress: _,
    postContact: __,
    ...before
  } = found(await act.tx.build.findUnique({ where: { id: 1 } }), 'The build is not set up.');
  const { weekdays, ...rest } = input;
  const data = { ...rest, weekdays: [...new Set(weekdays)].sort().join(',') };
  await act.tx.build.update({ where: { id: 1 }, data });
  const { postAddress: ___, postContact: ____, ...after } = data;
  await act.log({ kind: 'change-settings', before, after });
}
