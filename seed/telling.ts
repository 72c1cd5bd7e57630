// The lead's own words for the weekly bulletin, by a day of the week they are for.

export const openings: { on: number; title: string; opening: string; closing?: string }[] = [
  {
    on: -350,
    title: 'A hole in the floor, on paper',
    opening:
      'The village has said yes, and so it begins: an orrery to walk into. This is the first of many letters like it. ' +
      'Whoever has a lathe, a saw or a furnace, and some evenings: the offers are open.',
  },
  {
    on: -313,
    title: 'Eight segments in the hall',
    opening: 'The floor came from Sweden on one pallet. It smells of birch in here.',
  },
  {
    on: -278,
    title: 'Four hundredths',
    opening:
      'The bearing fell into its seat like a coin into a well. Nobody is to blame: a gauge was old. Another one is on ' +
      'its way, and gauges are now set on a ring before anything is bored.',
  },
  {
    on: -250,
    title: 'The ring rocked',
    opening: 'Feet with longer threads are drawn. The old ones are mended, not thrown away.',
  },
  {
    on: -222,
    title: 'A worm and two sides',
    opening: 'The worm is a jewel. One gearcase side goes on a journey to be honed.',
  },
  { on: -194, title: 'Mercury has a tube', opening: 'Bored from both ends, and the ends met.' },
  {
    on: -169,
    title: 'Hubs',
    opening: 'Five of six hubs are on the shelf; the sixth waits for somebody’s lathe.',
  },
  {
    on: -140,
    title: 'The ring is down',
    opening:
      'Four days, five people, one ring. It does not rock. The numbers are under *problems*, and the bread was Blaž’s.\n\n' +
      'Thank you, all who knelt.',
  },
  { on: -99, title: 'Too warm', opening: 'Seventy-one degrees under the lid. The sun will get a heat sink.' },
  {
    on: -59,
    title: 'Half a year of brass',
    opening: 'Six months of the dial are here, January to June. They shine like a good idea.',
  },
  {
    on: -46,
    title: 'It binds',
    opening:
      'We bolted the gearcase up and it would not turn. Every part is as drawn, so the drawing is at fault, and I drew ' +
      'it. New lay shafts are on my desk.',
  },
  {
    on: -33,
    title: 'Waiting for a map tube',
    opening: 'The Earth tube left Chile. It is somewhere over water.',
  },
  {
    on: -19,
    title: 'Clamps, second letter',
    opening: 'A nut nobody could reach becomes a thread. Makers of clamps: please look at your route cards.',
  },
  {
    on: -6,
    title: 'Parcels',
    opening:
      'Three parcels in one week, one of them in a biscuit tin. Gears for the drive and for Mars, and an arm.',
    closing: 'The gathering is five weeks away. Two places are left.',
  },
];

/** Changes to the structure after it was laid out. */
export const structureChanges: {
  on: number;
  take?: [parent: string, child: string];
  put?: [parent: string, child: string, much: number];
}[] = [
  { on: -87, take: ['OR-0800', 'OR-0802'] },
  { on: -86, put: ['OR-0800', 'OR-0810', 10] },
];

/** Counts of the shelf. */
export const shelfCounts: { on: number; part: string; much: string }[] = [
  { on: -115, part: 'OR-0515', much: '46' },
  { on: -52, part: 'OR-0904', much: '184' },
];

/** Jobs that wait for one another for reasons the structure does not tell. */
export const links: { on: number; from: string; to: string; type: 'FS' | 'SS' | 'FF'; lag: number }[] = [
  { on: -88, from: 'fit-machine', to: 'trial-year', type: 'FS', lag: 2 },
  { on: -53, from: 'worm-wheel', to: 'moon-gear', type: 'FS', lag: 3 },
  { on: -18, from: 'insurance', to: 'fit-machine', type: 'FS', lag: 0 },
  { on: -12, from: 'tube-earth', to: 'dry-stack', type: 'FS', lag: 0 },
  { on: -12, from: 'tube-mars', to: 'dry-stack', type: 'FS', lag: 0 },
  { on: -12, from: 'tube-jupiter', to: 'dry-stack', type: 'FS', lag: 0 },
  { on: -12, from: 'tube-saturn', to: 'dry-stack', type: 'FS', lag: 0 },
  { on: -12, from: 'dry-stack', to: 'turn-stack', type: 'FS', lag: 0 },
  { on: -12, from: 'turn-stack', to: 'fit-stack', type: 'FS', lag: 0 },
];

/** Days on which nobody works at the build. */
export const closures: { on: number; from: number; until: number; name: string }[] = [
  { on: -200, from: -178, until: -174, name: 'The hall floor is oiled' },
  { on: -45, from: 9, until: 11, name: 'Village fair in the hall' },
];

/** Plans that were kept to compare with. */
export const keptPlans: { on: number; name: string; note: string }[] = [
  {
    on: -139,
    name: 'When the ring was down',
    note: 'As told to the village at the end of the first gathering.',
  },
  { on: -44, name: 'After the gearcase would not turn', note: '' },
];

/** Purchases whose supplier named another day. */
export const laterDeliveries: { on: number; job: string; of: string; promised: number }[] = [
  { on: -40, job: 'motor', of: 'Motorji Sever', promised: -18 },
];
