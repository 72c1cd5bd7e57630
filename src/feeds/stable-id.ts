import { createHash } from 'node:crypto';

/**
 * A UUID that is always the same for one thing of one build, wherever the build is served: feeds and calendars know
 * their entries again by it, also under another address.
 *
 * @param build  when the build was set up: tells it from other builds
 * @param name   what it names within the build: 'offer 12'
 * @returns      a UUID of version 8 with the first 122 free bits of a SHA-256 (RFC 9562, sections 4 and 5.8)
 */
export function stableUuid(build: Date, name: string): string {
  const bytes = createHash('sha256')
    .update(`farwright ${build.toISOString()} ${name}`)
    .digest()
    .subarray(0, 16);
  bytes[6] = (bytes[6]! & 0x0f) | 0x80;
  bytes[8] = (bytes[8]! & 0x3f) | 0x80;
  const hex = bytes.toString('hex');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}
