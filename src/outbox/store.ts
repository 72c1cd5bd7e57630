import type { Tx } from '../platform/database.ts';

type Settings = Pick<Tx, 'mailSettings'>;

/** How letters leave; a build that never set it up has the defaults. */
export async function readMailSettings(db: Settings) {
  const row = await db.mailSettings.findUnique({ where: { id: 1 } });
  return (
    row ?? {
      id: 1,
      host: '',
      port: 587,
      secure: 'starttls',
      user: '',
      fromName: '',
      fromEmail: '',
      on: false,
      kindsOff: '[]',
      toldActId: 0,
      changedAt: null,
    }
  );
}

/** Hooks that are told what happens. */
export function openHooks(db: Pick<Tx, 'hook'>) {
  return db.hook.findMany({ where: { removedAt: null, pausedAt: null }, orderBy: { id: 'asc' } });
}

/** Whether the log is being turned into letters or calls at all. */
export async function tellsAnybody(tx: Tx): Promise<boolean> {
  return (await readMailSettings(tx)).on || (await openHooks(tx)).length > 0;
}

/**
 * Begins to tell with the next act: while nobody was told the mark in the log stood still, so that acts cost nothing
 * more. Acts of this transaction logged before count as told.
 */
export async function tellsFromNow(tx: Tx): Promise<void> {
  const last = await tx.act.findFirst({ orderBy: { id: 'desc' }, select: { id: true } });
  await tx.mailSettings.update({ where: { id: 1 }, data: { toldActId: last?.id ?? 0 } });
}

/** Somebody who can be written to. */
export interface Reader {
  id: number;
  role: string;
  mailOff: string;
}

/** People with an open account and a mail address. */
export function readersOf(tx: Pick<Tx, 'person'>): Promise<Reader[]> {
  return tx.person.findMany({
    where: { email: { not: null }, deactivatedAt: null, forgottenAt: null },
    select: { id: true, role: true, mailOff: true },
    orderBy: { id: 'asc' },
  });
}
