import { createHash, randomBytes } from 'node:crypto';
import type { Act, Role } from '../platform/acts.ts';
import { refuse } from '../platform/refusal.ts';

const DAY_MS = 86_400_000;
export const INVITATION_DAYS = 14;
export const SIGN_IN_LINK_DAYS = 7;

/** What a single-use link's secret is stored as. */
export function ticketHash(secret: string): string {
  return createHash('sha256').update(secret).digest('hex');
}

/**
 * Makes a single-use link. Only its hash is stored; the secret is in the reply and nowhere else.
 *
 * @param ticket  an invitation gives a role to whoever comes with it; a sign-in link opens one person's account
 */
export async function makeTicket(
  act: Act,
  ticket: { kind: 'invitation'; role: Role; note: string } | { kind: 'sign-in'; personId: number },
): Promise<{ id: number; secret: string }> {
  const secret = randomBytes(24).toString('base64url');
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
      hash: ticketHash(secret),
      kind: ticket.kind,
      role: ticket.kind === 'invitation' ? ticket.role : null,
      note: ticket.kind === 'invitation' ? ticket.note : '',
      personId: ticket.kind === 'sign-in' ? ticket.personId : null,
      createdById: act.actor.personId,
      createdAt: act.at,
      expiresAt: new Date(act.at.getTime() + days * DAY_MS),
    },
  });
  return { id, secret };
}

/** Uses a link up. Refuses one that is unknown, used, taken back or too old, in one sentence for all four. */
export async function useTicket(act: Act, secret: string, kind: 'invitation' | 'sign-in') {
  const ticket = await act.tx.ticket.findUnique({ where: { hash: ticketHash(secret) } });
  if (!ticket || ticket.kind !== kind || ticket.usedAt || ticket.revokedAt || ticket.expiresAt <= act.at) {
    return refuse(
      'link-spent',
      'This link has been used already, was taken back, or is too old. Ask the lead for a new one.',
    );
  }
  await act.tx.ticket.update({ where: { id: ticket.id }, data: { usedAt: act.at } });
  return ticket;
}
