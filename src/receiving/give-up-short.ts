import { correctReport, handBack, readClaim } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import { orRefuse, refuse } from '../platform/refusal.ts';
import { mayGiveUpShort } from './parcel-rules.ts';

/**
 * What came short will not come: it is taken out of what the maker reported finished and goes back to the offer, for
 * them or another to make again. The maker may do it themselves; the lead may for them.
 *
 * @throws Refused  nothing short, or not so much; another maker's claim
 */
export async function giveUpShort(
  act: Act,
  { claimId, milli, words }: { claimId: number; milli: number; words: string },
): Promise<void> {
  const { claim, unit, facts } = await readClaim(act.tx, claimId);
  if (facts.droppedAt) refuse('job-dropped', `Job ${facts.id} was dropped: nothing is offered any more.`);
  orRefuse(mayGiveUpShort(claim, milli, unit));
  await correctReport(act, { claimId, milli, words });
  await handBack(act, { claimId, milli });
}
