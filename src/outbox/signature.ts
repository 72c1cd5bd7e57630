import { createHmac } from 'node:crypto';

const PREFIX = 'whsec_';

/** A hook's key as it is handed over: `whsec_` and its bytes in base64 (RFC 4648, 4). */
export function writtenKey(key: Buffer): string {
  return PREFIX + key.toString('base64');
}

/**
 * The headers that sign a call, as the open specification Standard Webhooks has them: HMAC-SHA256 (RFC 2104) over
 * `id.timestamp.body`, in base64, with the version of the scheme before it.
 *
 * @param key   the hook's key, 24 to 64 bytes
 * @param id    the same for each try of one call, another for each call
 * @param at    the moment of this try; a receiver refuses what is older than a few minutes
 * @param body  as it is sent, to the byte
 */
export function signatureHeaders(key: Buffer, id: string, at: Date, body: string): Record<string, string> {
  const timestamp = String(Math.floor(at.getTime() / 1000));
  const signature = createHmac('sha256', key).update(`${id}.${timestamp}.${body}`, 'utf8').digest('base64');
  return {
    'webhook-id': id,
    'webhook-timestamp': timestamp,
    'webhook-signature': `v1,${signature}`,
  };
}
