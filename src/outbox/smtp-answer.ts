/** How far the talk with the mail server had come when it ended. */
export type TalkStage =
  /** name looked up, connected, greeted, protected, signed in */
  | 'opening'
  /** sender and recipient are being named, and leave to send asked for */
  | 'envelope'
  /** the text is on its way, perhaps with its end */
  | 'text';

/** What the library tells of a talk that failed. */
export interface TalkFault {
  stage: TalkStage;
  code?: string | undefined;
  /** the code of the system's own error beneath */
  originalCode?: string | undefined;
  /** the three digits of the server's answer, where there was one */
  responseCode?: number | undefined;
  response?: string | undefined;
  command?: string | undefined;
  message?: string | undefined;
}

/**
 * What became of a letter.
 *
 * sent      the server took it
 * wait      not this one now: try it again
 * rest      the server takes nothing now, whatever the letter: try again later, with one
 * refused   never this one
 * in doubt  its end may have arrived and the server's answer did not: sent again it might come twice
 */
export type Outcome = { kind: 'sent' } | { kind: 'wait' | 'rest' | 'refused' | 'in doubt'; words: string };

/**
 * What a failed talk means for the letter. Reply codes as RFC 5321, 4.2.1 has them: 4yz may be tried again, 5yz may not;
 * 421 (4.2.3) closes the service. The server answers for a letter from its 250 after the end of the text on (6.1): a
 * reply of another kind says that it did not take it, silence says nothing.
 */
export function outcomeOf(fault: TalkFault, address: string): Exclude<Outcome, { kind: 'sent' }> {
  const { stage, responseCode: code } = fault;
  const words = faultWords(fault, address);
  if (stage === 'text' && !code) return { kind: 'in doubt', words };
  // What is said before a recipient was named (421 at any time) holds for every letter: who we are, how we connect.
  if (stage === 'opening' || code === 421) return { kind: 'rest', words };
  // 552: too large (RFC 1870, 6.1), which is the letter's own matter.
  if (fault.command === 'MAIL FROM' && code && code !== 552) return { kind: 'rest', words };
  if (code && code >= 500) return { kind: 'refused', words };
  if (code) return { kind: 'wait', words };
  // An address the library can't write, or a letter larger than the server says it takes.
  if (fault.code === 'EENVELOPE' || fault.code === 'EMESSAGE') return { kind: 'refused', words };
  return { kind: 'rest', words };
}

const PLAIN: Record<string, string> = {
  ECONNREFUSED: 'The mail server takes no connection at this port.',
  EHOSTUNREACH: 'No way leads to the mail server.',
  ENETUNREACH: 'No way leads to the mail server.',
  ENOTFOUND: 'No mail server of this name is found.',
  EDNS: 'No mail server of this name is found.',
  EAI_AGAIN: 'The name of the mail server could not be looked up.',
  ETIMEDOUT: 'The mail server did not answer in time.',
  ECONNRESET: 'The mail server broke the connection off.',
  ECONNECTION: 'The mail server broke the connection off.',
  ETLS: 'No protected connection to the mail server could be made.',
  EAUTH: 'The mail server does not take the user or the password.',
  STOPPED: 'The program was ended meanwhile.',
};

const LOST_ANSWER =
  'The connection was lost after the text was sent and before the mail server said that it took it.';

function plainWords({ stage, code = '', originalCode = '', responseCode }: TalkFault): string | null {
  if (stage === 'text' && !responseCode) return LOST_ANSWER;
  // A certificate that can't be trusted comes as the system's own code.
  if (/CERT|SSL|TLS|ALTNAME/.test(originalCode)) return PLAIN.ETLS!;
  if (PLAIN[originalCode]) return PLAIN[originalCode];
  if (responseCode && code !== 'EAUTH' && code !== 'ETLS') return 'The mail server refused.';
  return PLAIN[code] ?? null;
}

function faultWords(fault: TalkFault, address: string): string {
  const plain = plainWords(fault);
  const isProtection = plain === PLAIN.ETLS;
  const said = fault.response ?? (plain === null || isProtection ? fault.message : '');
  const theirs = serverWords(said ?? '', address);
  return [plain ?? 'The talk with the mail server failed.', theirs ? `In its words: ${theirs}` : '']
    .filter(Boolean)
    .join(' ');
}

/** What a server said, as one line that can be shown and kept: nothing unseen, not long, without the address written to. */
export function serverWords(text: string, address: string): string {
  const line = text
    .replace(/[\u0000-\u001f\u007f-\u009f\u200e\u200f\u202a-\u202e\u2066-\u2069]+/g, ' ')
    .trim()
    .slice(0, 300);
  if (!address) return line;
  const escaped = address.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
  return line.replace(new RegExp(escaped, 'gi'), 'the address');
}
