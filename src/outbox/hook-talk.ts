import { lookup as lookUp } from 'node:dns';
import { request as httpRequest, type IncomingMessage } from 'node:http';
import { request as httpsRequest, type RequestOptions } from 'node:https';
import type { LookupFunction } from 'node:net';
import { isForbidden, literalHost } from './far-address.ts';

/** What came of one try of a call. */
export type CallOutcome =
  | { kind: 'delivered'; status: number }
  /** 410 Gone: the other side wants no more of it */
  | { kind: 'gone'; status: number; words: string }
  | { kind: 'wait'; status: number | null; words: string; askedMs: number };

export interface CallLimits {
  /** for the whole call, from the name to the answer's head */
  wholeMs: number;
}

const CALL_LIMITS: CallLimits = { wholeMs: 10_000 };

const FORBIDDEN = 'This address leads to a single machine’s own link, where nothing is told.';

/** As the system looks names up, but an address that calls never go to is no answer. */
const guardedLookup: LookupFunction = (host, options, done) => {
  lookUp(host, { ...options, all: true }, (fault, addresses) => {
    if (fault) return done(fault, '', 0);
    const [first] = addresses;
    if (!first || addresses.some(({ address }) => isForbidden(address))) {
      return done(Object.assign(new Error(FORBIDDEN), { code: 'FORBIDDEN' }), '', 0);
    }
    return options.all ? done(null, addresses) : done(null, first.address, first.family);
  });
};

/**
 * Posts a body to an address. Follows no redirect, keeps nothing of the answer but its status, never throws. The address
 * is checked where it is connected to, so that a name can't lead elsewhere than it seemed to.
 */
export function callHook(
  address: string,
  headers: Record<string, string>,
  body: string,
  { limits = CALL_LIMITS, stop }: { limits?: CallLimits; stop?: AbortSignal } = {},
): Promise<CallOutcome> {
  const wait = (words: string, status: number | null = null, askedMs = 0): CallOutcome => ({
    kind: 'wait',
    status,
    words,
    askedMs,
  });
  return new Promise((resolve) => {
    const url = new URL(address);
    const literal = literalHost(url);
    if (literal && isForbidden(literal)) return resolve(wait(FORBIDDEN));
    const options: RequestOptions = {
      method: 'POST',
      headers: {
        'content-type': 'application/json; charset=utf-8',
        'content-length': Buffer.byteLength(body),
        'user-agent': 'Farwright',
        ...headers,
      },
      lookup: guardedLookup,
      agent: false,
    };
    const call = url.protocol === 'https:' ? httpsRequest(url, options) : httpRequest(url, options);
    const end = (outcome: CallOutcome) => {
      clearTimeout(timer);
      stop?.removeEventListener('abort', onStop);
      call.destroy();
      resolve(outcome);
    };
    const timer = setTimeout(
      () => end(wait(`No answer came within ${limits.wholeMs / 1000} seconds.`)),
      limits.wholeMs,
    );
    const onStop = () => end(wait('The program was ended meanwhile.'));
    stop?.addEventListener('abort', onStop);
    call.on('error', (fault: NodeJS.ErrnoException) => end(wait(faultWords(fault))));
    call.on('response', (answer) => end(outcomeOf(answer)));
    call.end(body);
  });
}

function outcomeOf(answer: IncomingMessage): CallOutcome {
  const status = answer.statusCode ?? 0;
  if (status >= 200 && status < 300) return { kind: 'delivered', status };
  if (status === 410)
    return { kind: 'gone', status, words: 'It answered 410: it wants to be told nothing more.' };
  const redirects = status >= 300 && status < 400 ? ' It leads elsewhere, which is not followed.' : '';
  return { kind: 'wait', status, words: `It answered ${status}.${redirects}`, askedMs: retryAfterMs(answer) };
}

/** Retry-After in seconds (RFC 9110, 10.2.3); its other form, a date, is left to our own waits. */
function retryAfterMs({ headers }: IncomingMessage): number {
  const text = headers['retry-after'] ?? '';
  return /^\d{1,6}$/.test(text) ? Number(text) * 1000 : 0;
}

const PLAIN: Record<string, string> = {
  ECONNREFUSED: 'It takes no connection.',
  ENOTFOUND: 'Nothing of this name is found.',
  EAI_AGAIN: 'Its name could not be looked up.',
  ECONNRESET: 'It broke the connection off.',
  EHOSTUNREACH: 'No way leads to it.',
  ENETUNREACH: 'No way leads to it.',
  FORBIDDEN,
};

function faultWords({ code = '', message }: NodeJS.ErrnoException): string {
  if (PLAIN[code]) return PLAIN[code];
  if (/CERT|SSL|TLS|SELF_SIGNED|ALTNAME/.test(code))
    return `No protected connection could be made (${code}).`;
  return `The call failed: ${message.slice(0, 200)}`;
}
