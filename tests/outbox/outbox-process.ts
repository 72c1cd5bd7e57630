// node --import tests/support/typescript-loader.mjs tests/outbox/outbox-process.ts FOLDER: the outbox of a data folder in
// a process of its own, by the machine's clock. It says `ready`, begins when it is spoken to, and is ended from outside.
import { OutboxService } from '../../src/outbox/service.ts';
import { Changes } from '../../src/platform/acts.ts';
import { systemClock } from '../../src/platform/clock.ts';
import { openDatabase } from '../../src/platform/database.ts';
import { readSettings } from '../../src/platform/settings.ts';

const folder = process.argv[2]!;
const db = await openDatabase(folder);
const outbox = new OutboxService({
  context: {
    db,
    clock: systemClock,
    changes: new Changes(),
    settings: readSettings({ DATA_DIR: folder, BASE_URL: 'http://127.0.0.1' }),
  },
  times: { of: () => null },
  report(fault) {
    process.stderr.write(`${fault}\n`);
  },
  mail: { paceMs: 0 },
});
process.stdin.once('data', () => outbox.start());
process.stdout.write('ready\n');
// Its own timers hold no process.
setInterval(() => {}, 60_000);
