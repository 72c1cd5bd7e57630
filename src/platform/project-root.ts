import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

function findRoot(): string {
  let folder = dirname(fileURLToPath(import.meta.url));
  // From src/platform as well as from dist/src/platform: the first folder above with views and migrations.
  while (!existsSync(join(folder, 'prisma', 'migrations'))) folder = dirname(folder);
  return folder;
}

/** The folder that holds package.json, prisma and views. */
export const projectRoot: string = findRoot();
