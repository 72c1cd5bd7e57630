import type { Act } from '../platform/acts.ts';
import { refuse } from '../platform/refusal.ts';

/** A build must never be without somebody who may do everything. */
export async function checkLeadRemains(act: Act, leavingId: number): Promise<void> {
  const others = await act.tx.person.count({
    where: { role: 'lead', deactivatedAt: null, forgottenAt: null, id: { not: leavingId } },
  });
  if (others === 0) refuse('last-lead', 'This is the only lead. Make somebody else lead first.');
}
