const WIDTH = 88;
const MOST_ITEMS = 8;

/**
 * JSON to read: what fits on a line stays on it, long lists are cut.
 *
 * @param most  of the items of a list that are shown; the rest is counted
 */
export function jsonText(value: unknown, most = MOST_ITEMS, indent = ''): string {
  const flat = Array.isArray(value) && value.length > most ? null : oneLine(value, most);
  if (flat !== null && flat.length + indent.length <= WIDTH) return flat;
  const inner = `${indent}  `;
  if (Array.isArray(value)) {
    const items = value.slice(0, most).map((item) => inner + jsonText(item, most, inner));
    if (value.length > most) items.push(`${inner}… and ${value.length - most} more`);
    return `[\n${items.join(',\n')}\n${indent}]`;
  }
  if (typeof value !== 'object' || value === null) return JSON.stringify(value);
  const members = Object.entries(value).map(
    ([name, member]) => `${inner}${JSON.stringify(name)}: ${jsonText(member, most, inner)}`,
  );
  return `{\n${members.join(',\n')}\n${indent}}`;
}

/** Null where something inside has to be cut. */
function oneLine(value: unknown, most: number): string | null {
  if (typeof value !== 'object' || value === null) return JSON.stringify(value);
  if (Array.isArray(value)) {
    if (value.length > most) return null;
    const items = value.map((item) => oneLine(item, most));
    return items.includes(null) ? null : `[${items.join(', ')}]`;
  }
  const members = Object.entries(value).map(([name, member]) => {
    const text = oneLine(member, most);
    return text === null ? null : `${JSON.stringify(name)}: ${text}`;
  });
  return members.includes(null) ? null : members.length ? `{ ${members.join(', ')} }` : '{}';
}
