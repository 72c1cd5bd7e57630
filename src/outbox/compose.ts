import { domainToASCII } from 'node:url';
import { linkKeyOf, ticketSecret } from '../accounts/index.ts';
import { publishedBulletins } from '../bulletin/index.ts';
import type { Context } from '../platform/context.ts';
import type { Tx } from '../platform/database.ts';
import type { OutboxKeys } from './keys.ts';
import { type AnyLetterKind, isLetterKind, LETTER_WORDS, storedWords } from './kinds.ts';
import { foot, invitationLetter, oneLine } from './letter-text.ts';
import { DAY_MS, REMINDER_DAYS } from './next-try.ts';
import type { Mail } from './smtp-talk.ts';
import { readMailSettings } from './store.ts';

/** A letter as its row has it. */
export interface StoredLetter {
  id: number;
  key: string;
  kind: string;
  personId: number | null;
  ticketId: number | null;
  subject: string;
  body: string;
  createdAt: Date;
}

type Db = Pick<Tx, 'mailSettings' | 'build' | 'person' | 'ticket' | 'bulletin' | 'photo'>;

interface Parts {
  context: Pick<Context, 'settings'>;
  keys: OutboxKeys;
}

/**
 * A letter as it goes out now: to the address its reader has now, with the links that only this data folder can work
 * out, and that are not in the database.
 *
 * @returns null when it is not to be sent any more: nobody to send it to, or they, or the lead, want no such letters
 */
export async function composeLetter(
  db: Db,
  { context, keys }: Parts,
  letter: StoredLetter,
  now: Date,
): Promise<Mail | null> {
  const { baseUrl } = context.settings;
  const settings = await readMailSettings(db);
  const kind = letter.kind as AnyLetterKind;
  if (storedWords(settings.kindsOff).includes(kind)) return null;
  if (kind === 'reminder' && now.getTime() - letter.createdAt.getTime() > REMINDER_DAYS * DAY_MS) return null;
  const build = await db.build.findUnique({ where: { id: 1 }, select: { name: true, about: true } });
  const buildName = build?.name ?? 'Farwright';
  // RFC 5322, 3.6.4: letters, digits and dots, whatever the address is written in.
  const domain = domainToASCII(settings.fromEmail.split('@')[1] ?? '') || 'localhost';
  const usual = {
    from: { name: oneLine(settings.fromName || buildName), address: settings.fromEmail },
    messageId: keys.messageId(letter.key, domain),
    date: now,
  };
  // RFC 3834, 5: no machine shall answer it.
  const automatic = { 'Auto-Submitted': 'auto-generated' };

  if (kind === 'invitation') {
    const ticket = await db.ticket.findUnique({ where: { id: letter.ticketId ?? 0 } });
    if (!ticket?.email || ticket.usedAt || ticket.revokedAt || ticket.expiresAt <= now) return null;
    const secret = ticketSecret(linkKeyOf(context.settings.dataDir), ticket.id, ticket.createdAt);
    const text = invitationLetter(
      { name: buildName, about: build?.about ?? '' },
      {
        role: ticket.role ?? 'maker',
        untilOn: ticket.expiresAt.toISOString().slice(0, 10),
        address: `${baseUrl}/invitation/${secret}`,
      },
    );
    return {
      ...usual,
      to: ticket.email,
      subject: text.subject,
      text: `${text.text}\n\n${foot(buildName, { why: LETTER_WORDS.invitation.why })}\n`,
      headers: automatic,
    };
  }

  const person = await db.person.findUnique({ where: { id: letter.personId ?? 0 } });
  if (!person?.email || person.deactivatedAt || person.forgottenAt) return null;
  const to = person.email;
  if (!isLetterKind(kind)) {
    const text = `${letter.body}\n\n${foot(buildName, { why: 'You asked for it.' })}\n`;
    return { ...usual, to, subject: letter.subject, text, headers: automatic };
  }
  if (storedWords(person.mailOff).includes(kind)) return null;
  const stop = baseUrl + keys.stopPath(person.id, kind);
  const choose = `${baseUrl}/me/mail`;
  const below = foot(buildName, { why: LETTER_WORDS[kind].why, stop, choose });
  const headers = { ...automatic, ...stopHeaders(stop) };
  if (kind === 'bulletin') {
    const week = letter.key.split(':')[1] ?? '';
    const [bulletin] = await publishedBulletins(db, { limit: 1, baseUrl, week });
    if (!bulletin) return null;
    return {
      ...usual,
      to,
      subject: oneLine(bulletin.title),
      text: `${bulletin.text}\n\n${bulletin.address}\n\n${below}\n`,
      html: bulletinPage(bulletin, buildName, { stop, choose }),
      headers,
    };
  }
  return { ...usual, to, subject: letter.subject, text: `${letter.body}\n\n${below}\n`, headers };
}

/** How a mail program stops letters of this kind: RFC 2369, 3.2, and with one click RFC 8058, which asks for https. */
export function stopHeaders(address: string): Record<string, string> {
  return {
    'List-Unsubscribe': `<${address}>`,
    ...(address.startsWith('https:') ? { 'List-Unsubscribe-Post': 'List-Unsubscribe=One-Click' } : {}),
  };
}

const escapes: Record<string, string> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};
const escaped = (text: string) => text.replace(/[&<>"']/g, (sign) => escapes[sign]!);

function bulletinPage(
  { title, html, address }: { title: string; html: string; address: string },
  buildName: string,
  { stop, choose }: { stop: string; choose: string },
): string {
  const link = (href: string, words: string) => `<a href="${escaped(href)}">${escaped(words)}</a>`;
  return [
    '<!doctype html>',
    `<html lang="en"><head><meta charset="utf-8"><title>${escaped(title)}</title></head><body>`,
    html,
    `<p>${link(address, 'This bulletin on its page')}</p>`,
    `<hr><p>${escaped(oneLine(buildName))}. ${escaped(LETTER_WORDS.bulletin.why)} ${link(stop, 'Stop letters of this kind')} · ${link(choose, 'Choose which letters you get')}</p>`,
    '</body></html>',
    '',
  ].join('\n');
}
