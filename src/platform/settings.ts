import { resolve } from 'node:path';
import { z } from 'zod';

const Settings = z.object({
  HOST: z.string().trim().min(1, 'must name an address').default('127.0.0.1'),
  PORT: z.coerce
    .number('must be a whole number from 0 to 65535')
    .int('must be a whole number from 0 to 65535')
    .min(0, 'must be a whole number from 0 to 65535')
    .max(65535, 'must be a whole number from 0 to 65535')
    .default(8420),
  DATA_DIR: z.string().trim().min(1, 'must name a folder').default('./data'),
  BASE_URL: z
    .url({ protocol: /^https?$/, error: 'must be an http or https address' })
    .transform((address) => address.replace(/\/+$/, ''))
    .optional(),
  RATE_LIMIT: z.enum(['on', 'off'], 'must be on or off').default('on'),
});

export interface Settings {
  host: string;
  port: number;
  dataDir: string;
  /** Address that outside readers use, without a slash at the end. */
  baseUrl: string;
  rateLimit: boolean;
}

/**
 * The program's settings, checked before anything starts.
 *
 * @param environment  names and values, as in process.env; an empty value counts as not given
 * @throws Error       one line that names each wrong setting, the value seen and what was expected
 */
export function readSettings(environment: Record<string, string | undefined>): Settings {
  const given = Object.fromEntries(Object.entries(environment).filter(([, value]) => value));
  const read = Settings.safeParse(given);
  if (!read.success) {
    const wrong = read.error.issues.map((issue) => {
      const name = String(issue.path[0]);
      return `${name}=${JSON.stringify(given[name])} ${issue.message}`;
    });
    throw new Error(`bad setting: ${wrong.join('; ')}`);
  }
  const { HOST, PORT, DATA_DIR, BASE_URL, RATE_LIMIT } = read.data;
  return {
    host: HOST,
    port: PORT,
    dataDir: resolve(DATA_DIR),
    baseUrl: BASE_URL ?? `http://${HOST.includes(':') ? `[${HOST}]` : HOST}:${PORT}`,
    rateLimit: RATE_LIMIT === 'on',
  };
}
