import { createHash, createHmac, randomUUID } from 'node:crypto';
import type { Act, Role } from '../platform/acts.ts';
import { refuse } from '../platform/refusal.ts';

const DAY_MS = 86_400_000;
export const INVITATION_DAYS = 14;
export const SIGN_IN_LINK_DAYS = 7;

export type TicketKind = 'invitation' | 'sign-in';

/** What a single-use link's secret is stored as. */
export function ticketHash(secret: string): string {
  return createHash('sha256').update(secret).digest('hex');
}

/**
 * The secret of a link. It is worked out from the data folder's own key, so that the lead can copy an unused link
 * again, while the database alone (a backup, an export) opens no account.
 */
export function ticketSecret(linkKey: string, ticketId: number, createdAt: Date): string {
  return createHmac('sha256', linkKey)
    .update(`${ticketId} ${createdAt.getTime()}`)
    .digest('base64url')
    .slice(0, 32);
}

/**
 * Makes a single-use link and stores its hash.
 *
 * @param ticket  an invitation gives a role to whoever comes with it, and may name where it is mailed; a sign-in link
 *                opens one person's account
 * @returns       the ticket's id; its secret comes from ticketSecret
 */
export async function makeTicket(
  act: Act,
  linkKey: string,
  ticket:
    | { kind: 'invitation'; role: Role; note: string; email?: string }
    | { kind: 'sign-in'; personId: number },
): Promise<number> {
  const days = ticket.kind === 'invitation' ? INVITATION_DAYS : SIGN_IN_LINK_DAYS;
  if (ticket.kind === 'sign-in') {
    // A newer link makes the older ones useless: a forgotten one in a mailbox opens nothing.
    await act.tx.ticket.updateMany({
      where: { kind: 'sign-in', personId: ticket.personId, usedAt: null, revokedAt: null },
      data: { revokedAt: act.at },
    });
  }
  const { id } = await act.tx.ticket.create({
    data: {
      hash: randomUUID(), // until the id is known
      kind: ticket.kind,
      role: ticket.kind === 'invitation' ? ticket.role : null,
      note: ticket.kind === 'invitation' ? ticket.note : '',
      email: ticket.kind === 'invitation' ? (ticket.email ?? '') : '',
      personId: ticket.kind === 'sign-in' ? ticket.personId : null,
      createdById: act.actor.personId,
      createdAt: act.at,
      expiresAt: new Date(act.at.getTime() + days * DAY_MS),
    },
  });
  await act.tx.ticket.update({
    where: { id },
    data: { hash: ticketHash(ticketSecret(linkKey, id, act.at)) },
  });
  return id;
}

export interface TicketState {
  usedAt: Date | null;
  revokedAt: Date | null;
  expiresAt: Date;
}

/** Whether a link still opens something. */
export function isOpenTicket(ticket: TicketState, now: Date): boolean {
  return !ticket.usedAt && !ticket.revokedAt && ticket.expiresAt > now;
}

export const SPENT_LINK =
  'This link has been used already, was taken back, or is too old. Ask the lead for a new one.';

/** Uses a link up. Refuses one that is unknown, used, taken back or too old, in one sentence for all four. */
export async function useTicket(act: Act, secret: string, kind: TicketKind) {
  const ticket = await act.tx.ticket.findUnique({ where: { hash: ticketHash(secret) } });
  if (!ticket || ticket.kind !== kind || !isOpenTicket(ticket, act.at))
    return refuse('link-spent', SPENT_LINK);
  await act.tx.ticket.update({ where: { id: ticket.id }, data: { usedAt: act.at, note: '', email: '' } });
  return ticket;
}
