/** SQLite takes so many values in one statement, and a list read with what belongs to it asks for several. */
const LOT = 300;

/** What is read of a long list, a few hundred at a time, one lot after another. */
export async function inLots<T, R>(
  list: readonly T[],
  read: (lot: readonly T[]) => Promise<readonly R[]>,
): Promise<R[]> {
  const all: R[] = [];
  for (let at = 0; at < list.length; at += LOT) all.push(...(await read(list.slice(at, at + LOT))));
  return all;
}
