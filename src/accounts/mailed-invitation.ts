import type { Database } from '../platform/database.ts';

type Read = Pick<Database['read'], 'mailSettings' | 'letter'>;

/** Whether an invitation with an address is mailed. */
export async function mailsInvitations(read: Read): Promise<boolean> {
  const mail = await read.mailSettings.findUnique({ where: { id: 1 } });
  return mail?.on === true && !(JSON.parse(mail.kindsOff) as string[]).includes('invitation');
}

const WORDS: Record<string, string> = {
  waiting: 'It waits in the outbox to be mailed to',
  sending: 'It is being mailed to',
  sent: 'It was mailed to',
  refused: 'The mail server did not take it for',
  'in doubt': 'Nobody knows whether the letter arrived at',
  dropped: 'It was not mailed to',
};

/** What became of the letter with an invitation, in words that go on with its address; null where it has none. */
export async function mailedWords(
  read: Read,
  { id, email }: { id: number; email: string },
): Promise<string | null> {
  if (!email) return null;
  const letter = await read.letter.findFirst({ where: { ticketId: id }, orderBy: { id: 'desc' } });
  if (letter) return WORDS[letter.state] ?? null;
  // The outbox takes it up a moment after it is made.
  return (await mailsInvitations(read)) ? WORDS.waiting! : 'Letters are switched off: it is not mailed to';
}
