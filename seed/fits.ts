// What must go together: fits between sizes of the drawings, and a chain. A side is `part/label`, or a size typed.

export interface SideStory {
  part?: string;
  /** of the size on the part's drawing */
  label?: string;
  /** of what is bought: from its data sheet */
  text?: string;
  /** 1e-6 per K, from its data sheet */
  expansion?: number;
  growth?: 'across' | 'typed';
}

export interface FitStory {
  on: number;
  name: string;
  hole: SideStory;
  shaft: SideStory;
  wanted: 'sliding' | 'located' | 'pressed' | readonly [min: number, max: number];
  note?: string;
}

export interface ChainStory {
  on: number;
  title: string;
  wanted: readonly [min: number, max: number];
  note?: string;
  links: readonly (SideStory & { direction: 1 | -1; name?: string })[];
}

/** What the hall is like, winter and summer. */
export const surroundings = {
  on: -343,
  lowCelsius: 5,
  highCelsius: 30,
  lowHumidity: 40,
  highHumidity: 65,
};

const ball = { part: 'OR-0910', text: '15 0 -0.008', expansion: 12.5 };
const ballOutside = { part: 'OR-0910', text: '32 0 -0.011', expansion: 12.5 };

export const fits: FitStory[] = [
  {
    on: -330,
    name: 'Column tube in its flange',
    hole: { part: 'OR-0104', label: 'bore' },
    shaft: { part: 'OR-0105', label: 'lower end' },
    wanted: 'sliding',
  },
  {
    on: -330,
    name: 'Bearing seat on the column tube',
    hole: { part: 'OR-0106', label: 'socket' },
    shaft: { part: 'OR-0105', label: 'upper end' },
    wanted: 'sliding',
  },
  {
    on: -320,
    name: 'Crank wheel on the input shaft',
    hole: { part: 'OR-0201', label: 'bore' },
    shaft: { part: 'OR-0203', label: 'wheel seat' },
    wanted: 'located',
    note: 'Held by its key; it must not rock.',
  },
  {
    on: -320,
    name: 'Bearing on the input shaft',
    hole: ball,
    shaft: { part: 'OR-0203', label: 'bearing seat' },
    wanted: 'pressed',
  },
  {
    on: -290,
    name: 'Bearing on the lay shaft',
    hole: ball,
    shaft: { part: 'OR-0208', label: 'bearing seat' },
    wanted: 'pressed',
  },
  {
    on: -290,
    name: 'Lay bearing in the gearcase side',
    hole: { part: 'OR-0206', label: 'lay bore' },
    shaft: ballOutside,
    wanted: 'sliding',
    note: 'The outer ring floats endways, in winter too.',
  },
  {
    on: -268,
    name: 'Pinion on the lay shaft',
    hole: { part: 'OR-0210', label: 'bore' },
    shaft: { part: 'OR-0208', label: 'bearing seat' },
    wanted: 'located',
  },
  {
    on: -268,
    name: 'Lay gear on its shaft',
    hole: { part: 'OR-0209', label: 'bore' },
    shaft: { part: 'OR-0208', label: 'gear seat' },
    wanted: 'located',
  },
  {
    on: -217,
    name: 'Mercury gear on its tube',
    hole: { part: 'OR-0311', label: 'bore' },
    shaft: { part: 'OR-0301', label: 'outside' },
    wanted: 'located',
    note: 'Soldered afterwards; it must stand straight before.',
  },
  {
    on: -217,
    name: 'Venus gear on its tube',
    hole: { part: 'OR-0312', label: 'bore' },
    shaft: { part: 'OR-0302', label: 'outside' },
    wanted: 'located',
  },
  {
    on: -215,
    name: 'Mercury globe on its spindle',
    hole: { part: 'OR-0412', label: 'spindle hole' },
    shaft: { part: 'OR-0473', label: 'globe end' },
    wanted: [0, 0.3],
    note: 'Beech moves across its grain. Bedded in wax, not glued.',
  },
  {
    on: -80,
    name: 'Panel in its corner block',
    hole: { part: 'OR-0604', label: 'slot' },
    shaft: { part: 'OR-0601', label: 'thickness', growth: 'across' },
    wanted: [0.2, 1.8],
    note: 'No rattle, no tapping: the panels come off to grease the stack.',
  },
  {
    on: -62,
    name: 'Clamp on the hub',
    hole: { part: 'OR-0472', label: 'bore' },
    shaft: { part: 'OR-0471', label: 'spigot' },
    wanted: [0.012, 0.058],
    note: 'Closer than drawn, so that the slot closes evenly: chosen piece by piece.',
  },
];

export const chains: ChainStory[] = [
  {
    on: -44,
    title: 'End play of the lay shafts',
    wanted: [0.05, 0.4],
    note: 'Between the gearcase sides: the spacer keeps them apart, the shoulders of the shaft run between.',
    links: [
      { part: 'OR-0207', label: 'length', direction: 1, name: 'spacer' },
      { part: 'OR-0208', label: 'shoulder distance', direction: -1, name: 'shoulders' },
    ],
  },
  {
    on: -100,
    title: 'Disc spring of the clutch, left to press',
    wanted: [0.7, 1.3],
    note: 'Nut screwed down to the shoulder of the worm wheel; what is left is the spring’s.',
    links: [
      { text: '19.5 ±0.05', expansion: 11.5, direction: 1, name: 'shoulder to nut' },
      { part: 'OR-0221', label: 'thickness', direction: -1, name: 'inner plate' },
      { part: 'OR-0221', label: 'thickness', direction: -1, name: 'outer plate' },
      { part: 'OR-0223', text: '2.5 ±0.1', expansion: 12, direction: -1, name: 'disc spring, flat' },
    ],
  },
];
