import { once } from 'node:events';
import {
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmdirSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { createServer } from 'node:net';
import { dirname, join } from 'node:path';
import { readSettings, type Settings } from '../src/platform/settings.ts';
import { claimDataFolder, portTrouble, serve } from '../src/serve.ts';
import { loadExample } from './load.ts';
import { PASSWORD, people } from './people.ts';

// `npm run demo`: loads the example into a data folder of its own, once, and serves it.

/** In a data folder: it holds the example, and since when. */
const MARK = 'example';
/** In the folder beside it while the example is being loaded: by which process. */
const LOADER = 'loader';

/** Loading takes a while: a port that is taken is told of before. */
async function checkPort(settings: Settings): Promise<void> {
  const probe = createServer();
  probe.listen({ host: settings.host, port: settings.port });
  try {
    await once(probe, 'listening');
  } catch (fault) {
    throw portTrouble(fault, settings);
  }
  probe.close();
  await once(probe, 'close');
}

/** Whether the folder holds the example already. @throws Error when it holds anything else */
function holdsExample(dataDir: string): boolean {
  if (!existsSync(dataDir)) return false;
  if (existsSync(join(dataDir, MARK))) return true;
  const there = readdirSync(dataDir);
  if (there.length === 0) return false;
  throw new Error(
    there.includes('farwright.db')
      ? `${dataDir} holds another build, which is left alone; set DATA_DIR to another folder, or use npm start`
      : `${dataDir} holds other files, which are left alone; set DATA_DIR to another folder`,
  );
}

function runs(process_: number): boolean {
  try {
    process.kill(process_, 0);
    return true;
  } catch (fault) {
    return (fault as NodeJS.ErrnoException).code === 'EPERM';
  }
}

/** Makes the folder to load into; what an interrupted loading left there goes. */
function freshFolder(folder: string): void {
  const loader = join(folder, LOADER);
  if (existsSync(loader)) {
    const by = Number(readFileSync(loader, 'utf8'));
    if (by !== process.pid && runs(by))
      throw new Error(`process ${by} is loading the example just now; wait for it`);
    rmSync(folder, { recursive: true });
  } else if (existsSync(folder) && readdirSync(folder).length > 0) {
    throw new Error(`${folder} is in the way: move it, or set DATA_DIR to another folder`);
  }
  mkdirSync(folder, { recursive: true });
  writeFileSync(loader, String(process.pid));
}

/** Loads beside the data folder and puts it in its place when it is whole. */
async function load(dataDir: string): Promise<void> {
  claimDataFolder(dirname(dataDir));
  const folder = `${dataDir}.loading`;
  freshFolder(folder);
  console.log('Loading the example, a year of building: half a minute or so ...');
  const begun = Date.now();
  const loadedAt = new Date();
  await loadExample(folder, loadedAt);
  rmSync(join(folder, LOADER));
  writeFileSync(join(folder, MARK), loadedAt.toISOString().slice(0, 10));
  if (existsSync(dataDir)) rmdirSync(dataDir);
  renameSync(folder, dataDir);
  console.log(`Loaded in ${Math.round((Date.now() - begun) / 1000)} s into ${dataDir}`);
}

function signIns(): string {
  const shown = ['jerica', 'neza', 'ngaire'].map((wanted) => people.find(({ key }) => key === wanted)!);
  return shown.map(({ role, name, email }) => `  ${role.padEnd(6)} ${email.padEnd(20)} (${name})`).join('\n');
}

async function demo(environment: NodeJS.ProcessEnv): Promise<void> {
  const named = { ...environment, DATA_DIR: environment.DATA_DIR || './data/demo' };
  const settings = readSettings(named);
  const { dataDir } = settings;
  const isThere = holdsExample(dataDir);
  await checkPort(settings);
  if (!isThere) await load(dataDir);
  const address = await serve(named);
  const since = readFileSync(join(dataDir, MARK), 'utf8').trim();
  console.log(`
The example serves on ${address}

Sign in at ${address}/sign-in with the password "${PASSWORD}" as
${signIns()}

Without signing in: ${address}/offers and ${address}/bulletin
The story ends on ${since}. Delete ${dataDir} to have it told anew up to today. Ctrl+C ends the program.`);
}

demo(process.env).catch((fault: unknown) => {
  console.error(`farwright: ${fault instanceof Error ? fault.message : String(fault)}`);
  process.exit(1);
});
