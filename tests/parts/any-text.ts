import fc from 'fast-check';

/** Any text at all: plain, control and invisible characters, lone halves of pairs, far planes. */
export const anyText: fc.Arbitrary<string> = fc
  .array(
    fc.oneof(
      fc.integer({ min: 0x20, max: 0x7e }),
      fc.integer({ min: 0, max: 0x2fff }),
      fc.integer({ min: 0, max: 0x10ffff }),
    ),
    { maxLength: 45 },
  )
  .map((codes) => codes.map((code) => String.fromCodePoint(code)).join(''));
