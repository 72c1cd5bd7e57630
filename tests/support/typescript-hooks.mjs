// Takes the types out of TypeScript modules of ours when they are loaded.
import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { transformSync } from 'rolldown/utils';

export async function load(url, context, next) {
  if (!url.endsWith('.ts') || url.includes('/node_modules/')) return next(url, context);
  const path = fileURLToPath(url);
  const { code } = transformSync(path, await readFile(path, 'utf8'));
  return { format: 'module', shortCircuit: true, source: code };
}
