// Functions for threads to run in the tests of the pool.

export const double = ({ value }) => value * 2;

export async function wait({ milliseconds, value }) {
  await new Promise((resolve) => setTimeout(resolve, milliseconds));
  return value;
}

export function spin() {
  for (;;);
}

export function hoard() {
  const kept = [];
  for (;;) kept.push(Array.from({ length: 100_000 }, (_, at) => ({ at })));
}

export function refuse() {
  class NotComputable extends Error {
    detail = { cycle: ['a', 'b'] };
  }
  throw Object.assign(new NotComputable('a waits for b'), { name: 'NotComputable' });
}

export function fail() {
  throw new TypeError('a fault');
}
