// The STEP library by itself, for the benchmark of the reader: reads one file as often as it is asked to.
import { readFileSync } from 'node:fs';
import load from 'occt-import-js';

const kernel = load();
process.on('disconnect', () => process.exit());
process.on('message', async () => {
  const read = (await kernel).ReadStepFile(readFileSync(process.argv[2]), null);
  process.send({ meshes: read.meshes.length });
});
