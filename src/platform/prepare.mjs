// node src/platform/prepare.mjs [--build] [--always]
//
// Makes a fresh clone ready: installs the packages when they are missing or the lock file has changed, generates the
// database client, and with --build compiles to dist/. What is up to date is left alone; --always compiles anyway.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('../..', import.meta.url));
process.chdir(root);

const [major, minor] = process.versions.node.split('.').map(Number);
if (major < 20 || (major === 20 && minor < 19)) {
  console.error(`farwright: Node.js 20.19 or newer is needed; this is ${process.versions.node}`);
  process.exit(1);
}

function run(what, command, args, extra = {}) {
  console.error(`farwright: ${what}`);
  const { status } = spawnSync(command, args, {
    stdio: ['ignore', 'inherit', 'inherit'],
    env: { ...process.env, ...extra },
    shell: process.platform === 'win32',
  });
  if (status !== 0) {
    console.error(`farwright: ${what}: failed`);
    process.exit(1);
  }
}

const hashOf = (...paths) => {
  const hash = createHash('sha256');
  for (const path of paths) hash.update(readFileSync(path));
  return hash.digest('hex');
};

/** Does the step unless its stamp says that it was done for the same input. */
function once(stamp, input, made, step) {
  if (existsSync(made) && existsSync(stamp) && readFileSync(stamp, 'utf8') === input) return;
  step();
  writeFileSync(stamp, input);
}

once('node_modules/.farwright-installed', hashOf('package-lock.json'), 'node_modules/better-sqlite3', () => {
  run('installing packages (a minute or two the first time)', 'npm', [
    'ci',
    '--no-audit',
    '--no-fund',
    '--loglevel=error',
  ]);
});

mkdirSync('src/generated', { recursive: true });
once(
  'src/generated/.stamp',
  hashOf('prisma/schema.prisma', 'package-lock.json'),
  'src/generated/prisma/client.ts',
  () => {
    rmSync('src/generated/prisma', { recursive: true, force: true });
    // Generating needs no engine program; naming any file keeps Prisma from fetching one.
    const engine = process.env.PRISMA_SCHEMA_ENGINE_BINARY ?? fileURLToPath(import.meta.url);
    run('generating the database client', 'npx', ['--no-install', 'prisma', 'generate', '--no-hints'], {
      PRISMA_SCHEMA_ENGINE_BINARY: engine,
      PRISMA_HIDE_UPDATE_MESSAGE: '1',
      CHECKPOINT_DISABLE: '1',
    });
  },
);

/** Newest change among the sources, so that a build that is newer still holds. */
function newest(folder) {
  let latest = 0;
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) latest = Math.max(latest, newest(path));
    else if (/\.(ts|json)$/.test(entry.name)) latest = Math.max(latest, statSync(path).mtimeMs);
  }
  return latest;
}

if (process.argv.includes('--build')) {
  const stamp = 'dist/.built';
  const changed = Math.max(newest('src'), newest('seed'), statSync('tsconfig.json').mtimeMs);
  const fresh = existsSync(stamp) && statSync(stamp).mtimeMs >= changed;
  if (!fresh || process.argv.includes('--always')) {
    rmSync('dist', { recursive: true, force: true });
    run('building', 'npx', ['--no-install', 'tsc', '--project', 'src/tsconfig.json']);
    writeFileSync(stamp, '');
  }
}
