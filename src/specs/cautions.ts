/** A caution and what it is about: the material, the process, or a kind of work. */
export interface Caution {
  about: string;
  text: string;
}

/** What a route card knows of a part that may call for cautions. */
export interface CautionedWork {
  material?: { name: string; cautions: readonly string[] } | null;
  process?: { name: string; cautions: readonly string[] } | null;
  /** Finish, notes and title as written: words in them call for the cautions of coatings, electricity and so on. */
  words?: string;
  /** Mass of one piece in kg. */
  massKg?: number | null;
}

/** What stands under every list of cautions. */
export const CAUTIONS_CLOSING =
  'Usual cautions, not all of them. Local codes, the data sheet of the product and licensed practice come first; ' +
  'the figures here are an aid to checking, not a certificate.';

/** From this mass a piece is lifted by two people or a hoist; common workshop practice, no source. */
const HEAVY_KG = 25;

/* Common workshop practice, no source; from memory. */
const KINDS_OF_WORK: readonly { about: string; called: RegExp; texts: readonly string[] }[] = [
  {
    about: 'coating',
    called: /\b(paint|lacquer|varnish|primer|epoxy|resin|spray|powder.?coat|coating|glue|solvent)/i,
    texts: [
      'vapour and spray harm lungs and burn: ventilate, a mask for the product, no flame or spark near',
      'skin contact with uncured resin and hardener can sensitise for life: gloves',
      'oily rags heat up by themselves: lay them out flat or keep them in water, in a closed metal bin',
    ],
  },
  {
    about: 'plating and etching',
    called: /\b(anodi[sz]|galvani[sz]|plat(?:ed|ing)\b|passivat|pickl|etch|blackened|blueing)/i,
    texts: ['acid and alkali baths burn skin and eyes and give off gas: leave them to a plating shop'],
  },
  {
    about: 'electricity',
    called:
      /\b(mains|wiring|wired|lamps?\b|transformer|power supply|230 ?v|120 ?v|110 ?v|400 ?v|socket outlet)/i,
    texts: [
      'mains voltage kills: switched off, locked and tested dead before any cover is opened',
      'mains wiring by a person licensed for it where the law asks so; metal parts that can be touched are earthed',
    ],
  },
  {
    about: 'lifting and overhead parts',
    called: /\b(lift(?:ed|ing)?\b|hoist|crane|sling|overhead|hung\b|hang(?:s|ing|er)?\b|suspended)/i,
    texts: [
      'nobody under a lifted or hung load; slings and eyes with a marked working load',
      'anything that hangs over people needs a second, independent hold',
    ],
  },
  {
    about: 'moving machinery',
    called: /\b(gears?\b|chain drive|belt drive|pulleys?\b|motors?\b|flywheel|turntable|spring)/i,
    texts: [
      'gears, belts and chains draw fingers in: guards on before power, power off and locked before hands',
      'wound springs and raised weights hold energy: let them down first',
    ],
  },
];

/**
 * The usual cautions for a piece of work, each once, the material's first.
 *
 * Words of the work call for the cautions of coatings, plating, electricity, lifting and moving machinery; a piece from
 * 25 kg calls for those of lifting. Shown together with CAUTIONS_CLOSING.
 */
export function cautionsFor({ material, process, words = '', massKg }: CautionedWork): Caution[] {
  const cautions: Caution[] = [];
  const add = (about: string, texts: readonly string[]) => {
    for (const text of texts) {
      if (!cautions.some((caution) => caution.text === text)) cautions.push({ about, text });
    }
  };
  if (material) add(material.name, material.cautions);
  if (process) add(process.name, process.cautions);
  if ((massKg ?? 0) >= HEAVY_KG) {
    add('lifting', [
      `a piece of ${Math.round(massKg ?? 0)} kg: two people or a hoist, feet and fingers clear`,
    ]);
  }
  for (const { about, called, texts } of KINDS_OF_WORK) if (called.test(words)) add(about, texts);
  return cautions;
}
