/** A question that fits its form but makes no sense: answered with 422 and a sentence that names what is wrong. */
export class NotComputable extends Error {
  constructor(
    message: string,
    readonly detail?: Record<string, unknown>,
  ) {
    super(message);
    this.name = 'NotComputable';
  }
}
