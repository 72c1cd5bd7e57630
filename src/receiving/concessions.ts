import type { Database } from '../platform/database.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { type CheckLine, readChecks } from './checks-reader.ts';

/** Units used though they are not as drawn, with who decided it and why: views/shared/concessions-of-part.njk. */
export type Concession = CheckLine;

const MOST = 20;

/** The concessions on a part's units, newest first; for the shop, as inspections are. */
export async function concessionsOfPart(
  db: Pick<Database, 'read' | 'hot'>,
  partId: number,
  person: SignedIn,
): Promise<Concession[]> {
  if (person.role === 'maker') return [];
  return readChecks(db, { partId, disposition: 'concession' }, person.lengthUnit, MOST);
}
