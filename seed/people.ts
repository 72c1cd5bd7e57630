// All of them are invented: names, addresses, numbers. Mail addresses end in example.org, which nobody owns.

/** One password for everybody in the example. */
export const PASSWORD = 'seven wandering lights';

export const build = {
  name: 'Lunica walk-in orrery',
  about:
    'A mechanical orrery to walk into, 3.2 m across, for the observatory of the village of Lunica. Six planets on ' +
    'concentric tubes, a moon on its own train, a lamp for the sun, and a crank that a child can turn.',
  partPrefix: 'OR',
  country: 'SI',
  timeZone: 'Europe/Ljubljana',
  currency: 'EUR',
  leadWeeklyHours: 12,
} as const;

/** What the lead settles after setting up. */
export const settings = {
  weekdays: ['1', '2', '3', '4', '5', '6'] as const,
  bulletinWeekday: 7,
  speakPace: 125,
  bulletinMinutes: 4,
  silentAfterDays: 21,
  postAddress: 'Observatory workshop\nZgornja pot 12\n9999 Lunica\nSlovenia',
  postContact: 'ring twice; the bell is behind the ivy',
};

export interface PersonStory {
  key: string;
  role: 'lead' | 'crew' | 'maker';
  name: string;
  email: string;
  country: string;
  /** the day they came; the lead sets the build up */
  came: number;
  address?: string;
  reach?: string;
  hours?: number;
  unit?: 'mm' | 'in';
  about?: string;
  thanks?: { by: 'alias' | 'none'; alias?: string };
  /** on the thanks page, in their own words */
  words?: string;
  tools?: readonly {
    name: string;
    process?: string;
    mm?: readonly [number, number, number];
    works?: string;
  }[];
  away?: readonly { from: number; until: number; noted: number; note: string }[];
}

const mail = (name: string) => `${name}@example.org`;

export const people = [
  { key: 'jerica', role: 'lead', name: 'Jerica Podlipnik', email: mail('jerica'), country: 'SI', came: -365 },
  {
    key: 'neza',
    role: 'crew',
    name: 'Neža Hribovšek',
    email: mail('neza'),
    country: 'SI',
    came: -364,
    words: 'I measured it all, and it was nearly all right.',
    hours: 8,
    about: 'Fits and measures. Keeper of the gauges.',
  },
  {
    key: 'daniyar',
    role: 'crew',
    name: 'Daniyar Seitkulov',
    email: mail('daniyar'),
    country: 'SI',
    came: -364,
    hours: 6,
    about: 'Wiring, and everything that turns.',
  },
  {
    key: 'blaz',
    role: 'crew',
    name: 'Blaž Koritnikar',
    email: mail('blaz'),
    country: 'SI',
    came: -340,
    hours: 5,
    about: 'Takes parcels in on weekday mornings.',
  },
  {
    key: 'ngaire',
    role: 'maker',
    name: 'Ngaire Tuhimata',
    email: mail('ngaire'),
    country: 'NZ',
    came: -360,
    words: 'Shafts, mostly. If one sings when you flick it, it is mine.',
    address: '14 Pōhutu Rise\nWaiora 9998\nNew Zealand',
    reach: '+64 0 555 0114, evenings',
    hours: 7,
    about: 'Retired toolmaker. Says thirty days and posts in twenty.',
    tools: [
      {
        name: 'Centre lathe, 1 m between centres',
        process: 'turning',
        mm: [1000, 280, 280],
        works: 'steel, brass, bronze',
      },
      { name: 'Reamers, 6 to 25 mm', process: 'reaming' },
    ],
  },
  {
    key: 'kazuo',
    role: 'maker',
    name: 'Kazuo Hinokiyama',
    email: mail('kazuo'),
    country: 'JP',
    came: -358,
    address: '3-7 Tsukimi-zaka\nHoshigaoka 000-0307\nJapan',
    hours: 5,
    about: 'Cuts gears on a machine older than he is.',
    tools: [
      {
        name: 'Horizontal mill with dividing head',
        process: 'milling',
        mm: [400, 200, 300],
        works: 'brass, steel',
      },
      { name: 'Bench lathe', process: 'turning', mm: [450, 150, 150], works: 'brass, steel' },
    ],
    away: [{ from: 12, until: 20, noted: -9, note: 'visiting my daughter' }],
  },
  {
    key: 'efua',
    role: 'maker',
    name: 'Efua Baidoo-Tetteh',
    email: mail('efua'),
    country: 'GH',
    came: -352,
    words: 'Every arm was molten on a Saturday. Saturn took two Saturdays.',
    address: 'Foundry yard, Adomi Junction\nNkwanta Bay\nGhana',
    reach: '+233 00 555 0121',
    hours: 10,
    about: 'Pours aluminium and bronze on Saturdays.',
    tools: [
      {
        name: 'Crucible furnace, 12 kg of aluminium',
        process: 'sand-casting',
        mm: [900, 500, 250],
        works: 'aluminium, bronze',
      },
    ],
  },
  {
    key: 'matias',
    role: 'maker',
    name: 'Matías Quilodrán',
    email: mail('matias'),
    country: 'CL',
    came: -355,
    address: 'Pasaje Los Arrayanes 88\nPuerto Lenga\nChile',
    hours: 4,
    about: 'Has a knee mill and two small children.',
    tools: [
      { name: 'Knee mill', process: 'milling', mm: [600, 250, 350], works: 'aluminium, steel' },
      { name: 'Lathe with a 52 mm bore', process: 'turning', mm: [700, 300, 300], works: 'aluminium, brass' },
    ],
  },
  {
    key: 'linnea',
    role: 'maker',
    name: 'Linnea Åkerbo',
    email: mail('linnea'),
    country: 'SE',
    came: -362,
    address: 'Björknäs 4\n999 95 Sjöhult\nSweden',
    hours: 6,
    tools: [
      {
        name: 'Router table, 2.5 by 1.3 m',
        process: 'router-plywood',
        mm: [2500, 1300, 100],
        works: 'plywood, MDF, plastics',
      },
    ],
  },
  {
    key: 'tome',
    role: 'maker',
    name: 'Tomé Falcoeiro',
    email: mail('tome'),
    country: 'PT',
    came: -350,
    words: 'Small round brass things, with the radio on.',
    address: 'Rua do Moinho Velho 31\n9999-031 Vale da Neta\nPortugal',
    reach: 'the café below takes messages',
    hours: 4,
    about: 'Instrument lathe, brass by preference.',
    thanks: { by: 'alias', alias: 'the turner of Vale da Neta' },
    tools: [{ name: 'Instrument lathe', process: 'turning', mm: [800, 160, 160], works: 'brass, aluminium' }],
  },
  {
    key: 'aditi',
    role: 'maker',
    name: 'Aditi Vaidyarao',
    email: mail('aditi'),
    country: 'IN',
    came: -330,
    address: '5 Lamp Street\nShanthipalya 999005\nIndia',
    hours: 8,
    about: 'Lamps by day, lamps by night.',
    tools: [
      { name: 'Turret lathe', process: 'turning', mm: [200, 60, 60], works: 'brass, bronze, plastics' },
    ],
  },
  {
    key: 'beatriz',
    role: 'maker',
    name: 'Beatriz Sampainho',
    email: mail('beatriz'),
    country: 'PT',
    came: -348,
    words: 'Plates, on Fridays, after the boss had gone. Thank you for not asking.',
    address: 'Travessa das Eiras 2\n9999-002 Aldeia do Linho\nPortugal',
    hours: 5,
    about: 'A laser at work, and a boss who looks away on Fridays.',
    tools: [
      {
        name: 'Laser cutter, 3 by 1.5 m',
        process: 'laser-cutting',
        mm: [3000, 1500, 15],
        works: 'steel, stainless, aluminium',
      },
      { name: 'Press brake', process: 'bending', mm: [2000, 500, 4], works: 'sheet' },
    ],
  },
  {
    key: 'ronan',
    role: 'maker',
    name: 'Ronan MacIlvrae',
    email: mail('ronan'),
    country: 'CA',
    came: -345,
    address: '77 Lower Mill Lane\nGull Harbour X9X 9X9\nCanada',
    hours: 6,
    unit: 'in',
    about: 'Boat welder. Thinks in inches, converts under protest.',
    tools: [
      {
        name: 'TIG set, and a floor to weld on',
        process: 'welding',
        mm: [3000, 1500, 1500],
        works: 'steel, stainless',
      },
      { name: 'Engine lathe, 16 by 60 in', process: 'turning', mm: [1500, 400, 400], works: 'steel' },
    ],
  },
  {
    key: 'hemi',
    role: 'maker',
    name: 'Hemi Parekura-Voss',
    email: mail('hemi'),
    country: 'NZ',
    came: -320,
    address: '2 Ferry Steps\nKaurinui 9997\nNew Zealand',
    hours: 5,
    thanks: { by: 'none' },
    tools: [{ name: 'Bowl lathe', process: 'turning', mm: [600, 600, 600], works: 'wood' }],
  },
  {
    key: 'yuzuki',
    role: 'maker',
    name: 'Yuzuki Amagaseri',
    email: mail('yuzuki'),
    country: 'JP',
    came: -300,
    address: '8-2 Kawabe-dori\nHoshigaoka 000-0802\nJapan',
    hours: 6,
    about: 'Engraves, etches, gilds.',
    tools: [{ name: 'Engraving mill', process: 'milling', mm: [300, 200, 60], works: 'brass, aluminium' }],
  },
  {
    key: 'kwabena',
    role: 'maker',
    name: 'Kwabena Ofosu-Darko',
    email: mail('kwabena'),
    country: 'GH',
    came: -300,
    address: 'House 19, Station Road\nAsempaneye\nGhana',
    hours: 9,
    about: 'Hand tools only, and a good surface plate.',
    tools: [
      {
        name: 'Bench, files, scrapers',
        process: 'hand-sawing-filing',
        mm: [400, 400, 100],
        works: 'anything that can be held',
      },
    ],
  },
  {
    key: 'chandran',
    role: 'maker',
    name: 'Chandran Melmuri',
    email: mail('chandran'),
    country: 'IN',
    came: -280,
    address: '41 Kiln Road\nMelpuram 999041\nIndia',
    hours: 6,
    tools: [
      { name: 'Machining centre', process: 'milling', mm: [760, 430, 460], works: 'steel, brass, aluminium' },
      { name: 'Surface grinder', process: 'grinding', mm: [450, 150, 200], works: 'steel' },
      { name: 'Tool-room lathe', process: 'turning', mm: [600, 200, 200], works: 'steel, brass' },
    ],
  },
  {
    key: 'elise',
    role: 'maker',
    name: 'Élise Thibodet-Roy',
    email: mail('elise'),
    country: 'CA',
    came: -270,
    address: '1204 Chemin du Quai\nSainte-Marelle X8X 8X8\nCanada',
    hours: 5,
    about: 'Boats, and boxes like boats.',
    tools: [
      {
        name: 'Panel saw and router',
        process: 'router-plywood',
        mm: [2400, 1200, 60],
        works: 'plywood, hardwood',
      },
    ],
    away: [{ from: -4, until: 3, noted: -20, note: 'launching a boat' }],
  },
  {
    key: 'urska',
    role: 'maker',
    name: 'Urška Tominčeva',
    email: mail('urska'),
    country: 'SI',
    came: -150,
    address: 'Ob potoku 6\n9998 Dolnja Lunica\nSlovenia',
    hours: 3,
    tools: [{ name: 'Small lathe', process: 'turning', mm: [350, 100, 100], works: 'steel, brass' }],
  },
  {
    key: 'sigrid',
    role: 'maker',
    name: 'Sigrid Halvarinen',
    email: mail('sigrid'),
    country: 'SE',
    came: -60,
    address: 'Strandvägen 300\n999 30 Norrskär\nSweden',
    hours: 4,
    about: 'New here. Three printers, all warm.',
    tools: [{ name: 'Printer, 300 mm cube', process: 'fdm', mm: [300, 300, 300], works: 'PLA, PETG' }],
  },
] as const satisfies readonly PersonStory[];
