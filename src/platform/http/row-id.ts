/** The id in an address, or 0, which no row has, when what stands there can't be one. */
export function rowId(text: unknown): number {
  return typeof text === 'string' && /^[1-9]\d{0,8}$/.test(text) ? Number(text) : 0;
}
