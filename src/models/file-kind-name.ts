const longest = 120;
/** What file systems and archives hold of one name, with room for a number in front. */
const mostBytes = 240;
const longestEnding = 12;

/** Names that some systems take for devices, with any ending. */
const devices = /^(?:con|prn|aux|nul|com\d|lpt\d)(?:\.|$)/i;

/**
 * The name of a file as it may be kept, shown and sent: no path, no control, invisible or text-turning characters,
 * none that a system or an address takes for something else, at most 120 characters with the ending kept, never empty.
 *
 * @param name     as the sender gave it, possibly with a path
 * @param fallback what stands in where nothing is left
 *
 * Example: `C:\drawings\..\Gear  32.PDF` -> `Gear 32.PDF`.
 */
export function safeFileName(name: string, fallback = 'file'): string {
  const last = name.split(/[/\\]/).at(-1) ?? '';
  const clean = last
    .normalize('NFC')
    .replace(/[\p{Cc}\p{Cf}\p{Co}\p{Cs}\p{Cn}\u2028\u2029]/gu, '')
    .replace(/[<>:"|?*%]/g, '_')
    .replace(/\s+/g, ' ')
    // Dots and blanks at the ends hide a file or vanish.
    .replace(/^[. ]+|[. ]+$/g, '');
  if (clean === '') return fallback;
  const named = devices.test(clean) ? `_${clean}` : clean;
  return shortened(named);
}

function shortened(name: string): string {
  const signs = [...name];
  const dot = signs.lastIndexOf('.');
  const ending = dot > 0 && signs.length - dot <= longestEnding ? signs.slice(dot) : [];
  const stem = signs.slice(0, Math.min(signs.length, longest) - ending.length);
  const room = mostBytes - bytesIn(ending.join(''));
  while (bytesIn(stem.join('')) > room) stem.pop();
  return `${stem.join('').replace(/[. ]+$/, '')}${ending.join('')}`;
}

function bytesIn(text: string): number {
  return new TextEncoder().encode(text).length;
}
