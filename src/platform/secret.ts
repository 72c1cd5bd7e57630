import { createHmac, randomBytes } from 'node:crypto';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

/**
 * A secret of this data folder for one purpose. They all come from one random file, made once and readable by its
 * owner alone; a different purpose gives a secret that tells nothing of the others.
 */
export function dataSecret(dataDir: string, purpose: string): string {
  const path = join(dataDir, 'secret');
  if (!existsSync(path)) writeFileSync(path, randomBytes(48).toString('hex'), { mode: 0o600 });
  return createHmac('sha256', readFileSync(path)).update(purpose).digest('hex');
}
