import { accessSync, constants, existsSync, mkdirSync } from 'node:fs';
import { dirname } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { sweepExpired } from './accounts/index.ts';
import { buildApp } from './app.ts';
import { Changes } from './platform/acts.ts';
import { systemClock } from './platform/clock.ts';
import { openDatabase } from './platform/database.ts';
import { FileStore } from './platform/files.ts';
import { readSettings, type Settings } from './platform/settings.ts';

/** Makes the data folder if it must, and says in one line when it can't be written. */
export function claimDataFolder(dataDir: string): void {
  try {
    makeFolder(dataDir);
    accessSync(dataDir, constants.R_OK | constants.W_OK | constants.X_OK);
  } catch (fault) {
    throw new Error(`the data folder ${dataDir} can't be written (${(fault as NodeJS.ErrnoException).code})`);
  }
}

/** Step by step: the recursive mkdir of Node.js never returns where a parent refuses with ENOENT, as /proc does. */
function makeFolder(path: string): void {
  if (existsSync(path)) return;
  makeFolder(dirname(path));
  mkdirSync(path);
}

/** Why a port can't be had, in one line that names the setting to change; any other fault as it is. */
export function portTrouble(fault: unknown, { host, port }: Settings): unknown {
  const { code } = fault as NodeJS.ErrnoException;
  if (code === 'EADDRINUSE') return new Error(`port ${port} on ${host} is taken; set PORT to another`);
  if (code === 'EACCES')
    return new Error(`port ${port} on ${host} may not be used by this account; set PORT to another`);
  if (code === 'EADDRNOTAVAIL' || code === 'ENOTFOUND')
    return new Error(`this machine has no address ${host}; set HOST`);
  return fault;
}

async function listen(app: FastifyInstance, settings: Settings): Promise<string> {
  const { host, port } = settings;
  try {
    return await app.listen({ host, port });
  } catch (fault) {
    throw portTrouble(fault, settings);
  }
}

/**
 * Settings, data folder, database, app, port: in this order; closes them in the reverse order on SIGINT or SIGTERM.
 *
 * @returns the address it serves on
 * @throws Error  one clear line, when a setting is bad, the folder can't be written or the port is taken
 */
export async function serve(environment: NodeJS.ProcessEnv): Promise<string> {
  const settings = readSettings(environment);
  claimDataFolder(settings.dataDir);
  const db = await openDatabase(settings.dataDir);
  try {
    const files = new FileStore(settings.dataDir);
    const app = await buildApp(
      { settings, db, files, clock: systemClock, changes: new Changes() },
      { level: 'warn' },
    );
    await sweepExpired(db, systemClock);
    const sweep = setInterval(() => {
      sweepExpired(db, systemClock).catch((fault) => app.log.error(fault));
    }, 3_600_000);
    sweep.unref();
    const address = await listen(app, settings);
    const stop = async () => {
      clearInterval(sweep);
      await app.close();
      await db.close();
      process.exit(0);
    };
    process.once('SIGINT', () => void stop());
    process.once('SIGTERM', () => void stop());
    return address;
  } catch (fault) {
    await db.close();
    throw fault;
  }
}
