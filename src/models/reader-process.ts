// A process of its own for reading files that nobody has looked into yet: what they make of it, an endless loop, a crash,
// all the memory there is, ends here. It is started and ended by FileReader.
import { readFile, writeFile } from 'node:fs/promises';
import { setPriority } from 'node:os';
import { Worker } from 'node:worker_threads';
import { Unreadable } from './facts.ts';
import { readFacts, readShape } from './read/index.ts';
import type { ReaderAnswer, ReaderTask } from './reader.ts';
import { shapeBytes } from './shape-file.ts';

const [megabytes = 1024, processorSeconds = 20] = process.argv.slice(2).map(Number);

/**
 * Looks at this process's memory and processor time from a thread, because the memory of WebAssembly is bounded by
 * nothing else, and what reads does not come up for air. Ends the whole process.
 */
const watch = `
  const { writeSync } = require('node:fs');
  const { parentPort } = require('node:worker_threads');
  const used = () => { const { user, system } = process.cpuUsage(); return (user + system) / 1e6; };
  let begun = used();
  parentPort.on('message', () => { begun = used(); });
  const end = (why) => {
    writeSync(2, '\\nfarwright: out of ' + why + '\\n');
    process.kill(process.pid, 'SIGKILL');
  };
  setInterval(() => {
    if (process.memoryUsage.rss() > ${megabytes} * 1024 * 1024) end('memory');
    if (used() - begun > ${processorSeconds}) end('time');
  }, 25);
`;

const watcher = new Worker(watch, { eval: true, execArgv: [] });
watcher.unref();
setPriority(5); // pages go before

process.on('disconnect', () => process.exit());
process.on('message', (task: ReaderTask) => {
  watcher.postMessage('begin');
  void answer(task).then((told) => process.send!({ ...told, bytesHeld: process.memoryUsage.rss() }));
});

async function answer({ path, kind, shapeTo }: ReaderTask): Promise<ReaderAnswer> {
  try {
    const bytes = await readFile(path);
    if (shapeTo === null) return { facts: await readFacts(kind, bytes) };
    if (kind !== 'step' && kind !== 'stl' && kind !== 'dxf')
      throw new Unreadable('This kind of file has no shape.');
    await writeFile(shapeTo, shapeBytes(await readShape(kind, bytes)));
    return {};
  } catch (fault) {
    if (fault instanceof Unreadable) return { unreadable: fault.message };
    return { fault: fault instanceof Error ? (fault.stack ?? fault.message) : String(fault) };
  }
}
