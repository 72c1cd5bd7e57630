/** Why an act or a question is refused: a code in kebab-case and a sentence a person can act on. */
export interface Refusal {
  code: string;
  sentence: string;
}

/** Carries a refusal out of a transaction, which then changes nothing. Answered with 409. */
export class Refused extends Error {
  constructor(readonly refusal: Refusal) {
    super(refusal.sentence);
    this.name = 'Refused';
  }
}

/** Throws what a pure decision answered, if it was a refusal. */
export function orRefuse(refusal: Refusal | null): void {
  if (refusal) throw new Refused(refusal);
}

/** Refuses with a code and a sentence. */
export function refuse(code: string, sentence: string): never {
  throw new Refused({ code, sentence });
}

/** Something asked for by a number or name that is not there (or not for this person). Answered with 404. */
export class NotFound extends Error {
  constructor(what: string) {
    super(what);
    this.name = 'NotFound';
  }
}

/** The value, or NotFound with the sentence when there is none. */
export function found<T>(value: T | null | undefined, what: string): T {
  if (value === null || value === undefined) throw new NotFound(what);
  return value;
}

/** A value that does not fit its field, found only inside the act (a number already taken). Answered with 422. */
export class WrongField extends Error {
  constructor(
    readonly field: string,
    sentence: string,
  ) {
    super(sentence);
    this.name = 'WrongField';
  }
}
