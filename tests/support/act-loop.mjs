// node tests/support/act-loop.mjs FOLDER: does acts, three at a time, and says the number of each part as soon as its
// act is acknowledged. It is killed from outside.
import { createPart } from '../../dist/src/parts/index.js';
import { Changes, perform } from '../../dist/src/platform/acts.js';
import { openDatabase } from '../../dist/src/platform/database.js';

const db = await openDatabase(process.argv[2]);
const context = { db, clock: { now: () => new Date() }, changes: new Changes() };
const actor = { personId: 1, role: 'lead' };

async function worker(name) {
  for (let n = 0; ; n += 1) {
    const number = `${name}-${process.pid}-${n}`;
    const sent = { token: number, content: n };
    await perform(context, { actor, sent }, (act) =>
      createPart(act, { number, name: `part ${number}`, kind: 'made' }),
    );
    process.stdout.write(`${number}\n`);
  }
}
await Promise.all(['a', 'b', 'c'].map(worker));
