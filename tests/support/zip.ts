import { buffer } from 'node:stream/consumers';
import { fromBufferPromise } from 'yauzl';

/** The files in a ZIP, by name in their order. */
export async function filesOf(zip: Buffer): Promise<Map<string, Buffer>> {
  const files = new Map<string, Buffer>();
  const archive = await fromBufferPromise(zip);
  for await (const entry of archive.eachEntry()) {
    files.set(entry.fileName, await buffer(await archive.openReadStreamPromise(entry)));
  }
  return files;
}
