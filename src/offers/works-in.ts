/** Words that name a material or a group of them; others in a maker's words ("thin", "sheet", "mostly") tell nothing. */
const MATERIAL_WORDS = new Set(
  (
    'metal plastic wood rubber composite glass steel stainless mild carbon iron brass bronze copper aluminium titanium ' +
    'acrylic pmma polycarbonate acetal pom nylon pa6 pla petg abs hdpe pvc ptfe silicone nbr plywood beech oak spruce mdf ' +
    'hardwood softwood nonferrous zinc tin silver gold leather felt fabric foam concrete ceramic'
  ).split(' '),
);

/** Other names of the same thing. */
const SAME: Record<string, string> = {
  aluminum: 'aluminium',
  alu: 'aluminium',
  ply: 'plywood',
  timber: 'wood',
  wooden: 'wood',
  perspex: 'pmma',
  plexiglass: 'pmma',
  plexiglas: 'pmma',
  delrin: 'pom',
  polyamide: 'nylon',
  teflon: 'ptfe',
  inox: 'stainless',
};

/** What a group takes in, by a word of a material's own name. */
const GROUPS: Record<string, readonly string[]> = {
  hardwood: ['beech', 'oak'],
  softwood: ['spruce'],
  nonferrous: ['brass', 'bronze', 'copper', 'aluminium'],
};

const LIMITED = /\b(no|not|non|without|except|but|never|only small)\b/;
const ALL = /\b(anything|everything|all materials|any material)\b/;

function wordsOf(text: string): string[] {
  const plain = text.toLowerCase().replace(/non[- ]?ferrous/g, 'nonferrous');
  return (plain.match(/\p{L}[\p{L}\d]*/gu) ?? []).map((word) => {
    const single =
      word.length > 4 && word.endsWith('s') && !/(ss|us|is)$/.test(word) ? word.slice(0, -1) : word;
    return SAME[single] ?? single;
  });
}

/**
 * Whether a maker's words about what a tool works in take in a material.
 *
 * A part of the words (between commas, "and", "or") takes it in when every word in it that names a material belongs to it:
 * "steel" takes in mild steel, "mild steel" does not take in stainless. What is limited ("no stainless") or names no
 * material at all ("small things") can't be told.
 *
 * Source: common practice, no source.
 */
export function worksIn(words: string, material: { name: string; family: string }): 'yes' | 'no' | 'unknown' {
  const own = new Set(wordsOf(`${material.name} ${material.family}`).filter((word) => word.length > 2));
  for (const [group, members] of Object.entries(GROUPS)) {
    if (members.some((member) => own.has(member))) own.add(group);
  }
  const plain = words.toLowerCase().replace(/non[- ]?ferrous/g, 'nonferrous');
  if (LIMITED.test(plain)) return 'unknown';
  if (ALL.test(plain)) return 'yes';
  const named = plain
    .split(/[,;/+&]|\b(?:and|or)\b/)
    .map((part) => wordsOf(part).filter((word) => MATERIAL_WORDS.has(word) || own.has(word)))
    .filter((part) => part.length > 0);
  if (named.length === 0) return 'unknown';
  return named.some((part) => part.every((word) => own.has(word))) ? 'yes' : 'no';
}
