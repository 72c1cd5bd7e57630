// Stands in for the reader's process in tests: the words in the file say what becomes of it.
import { readFileSync } from 'node:fs';

process.on('disconnect', () => process.exit());
process.on('message', ({ path }) => {
  const words = readFileSync(path, 'utf8');
  if (words === 'abort') process.abort();
  if (words === 'leave') process.exit(3);
  if (words === 'spin') for (;;);
  if (words === 'heap') {
    const kept = [];
    for (;;) kept.push(Array.from({ length: 100_000 }, (_, at) => ({ at })));
  }
  setTimeout(() => process.send({ facts: { format: 'STL' }, bytesHeld: 0 }), 30);
});
