import type { FitOfSizes, UsedSize } from '../fits/index.ts';
import { gradeOfLimits, gradeWords, MM_PER_INCH, sideOfLabel, toMm, zoneOf } from '../specs/index.ts';
import { type Finding, nameOf, type PartSpecs, type ReadDimension, readDimensions } from './checks.ts';

/** What fits and chains are there, and what stands together in the machine. */
export interface FitFacts {
  used: readonly UsedSize[];
  fits: readonly FitOfSizes[];
  /** assemblies with the parts that go into them directly */
  assemblies: readonly { number: string; partIds: readonly number[] }[];
}

/** Up to this grade a shop reams, grinds or measures twice, unless its process holds it anyway; common practice, no source. */
const FINE_GRADE = 8;

/** A made part's size as its released drawing says it, or the newest one where none is released. */
interface OwnSize {
  part: PartSpecs;
  revisionId: number;
  read: ReadDimension;
}

function sizesOf(parts: readonly PartSpecs[]): OwnSize[] {
  return parts.flatMap((part) => {
    const drawing = part.released ?? part.drawing;
    if (!drawing || !part.isMade) return [];
    return readDimensions(drawing)
      .filter(({ sized }) => sized.kind === 'size')
      .map((read) => ({ part, revisionId: drawing.revisionId, read }));
  });
}

const hasOwnLimits = ({ read }: OwnSize) => read.limits !== null && read.sized.tolerance.by !== 'general';

const nominalOf = ({ read: { sized } }: OwnSize) =>
  sized.unit === 'deg' ? sized.nominal : toMm(sized.nominal, sized.unit);

/** Whether a size is looked into or goes in: by its zone, else by the words beside it. */
function sideOf({ read: { sized, kept } }: OwnSize): 'hole' | 'shaft' | null {
  if (sized.kind === 'size' && sized.symbol === 'R') return null;
  if (sized.tolerance.by === 'zone') return zoneOf(sized.tolerance.zone).feature;
  return sideOfLabel(kept.label);
}

const list = (names: readonly string[]) =>
  names.length <= 2 ? names.join(' and ') : `${names.slice(0, 2).join(', ')} and ${names.length - 2} more`;

/** Tolerances finer than what they are there for: every fit and chain would still hold with a coarser one, or there is none. */
export function needlessFindings(parts: readonly PartSpecs[], { used }: FitFacts): Finding[] {
  const bySize = new Map(used.map((one) => [`${one.partId}-${one.position}`, one]));
  return sizesOf(parts).flatMap((size): Finding[] => {
    if (!hasOwnLimits(size)) return [];
    const { part, revisionId, read } = size;
    const use = bySize.get(`${part.id}-${read.kept.position}`);
    const finding = (says: string): Finding[] => [
      { check: 'needless', part: part.number, says: `${nameOf(read.kept)} ${says}`, revisionId },
    ];
    if (use) {
      if (!use.looser) return [];
      const names = list(use.uses.map(({ name }) => name));
      return finding(`could be ${use.looser.text}, ${use.looser.by} coarser: ${names} would still fit`);
    }
    const grade = read.limits && gradeOfLimits(read.sized.nominal, read.limits);
    const usual = part.process?.usual ?? null;
    if (grade === null || grade > FINE_GRADE || (usual !== null && grade >= usual)) return [];
    const held =
      usual !== null && grade < usual ? `; ${part.process?.name} usually holds ${gradeWords(usual)}` : '';
    return finding(`asks for ${gradeWords(grade)}, and no fit and no chain needs it${held}`);
  });
}

/** Parts of one assembly with a hole and a shaft of one size, and no fit between them. */
export function matingFindings(parts: readonly PartSpecs[], { fits, assemblies }: FitFacts): Finding[] {
  const sides = sizesOf(parts)
    .filter(hasOwnLimits)
    .flatMap((size) => {
      const side = sideOf(size);
      return side ? [{ ...size, side, nominal: nominalOf(size) }] : [];
    });
  const joined = new Set(fits.map(({ hole, shaft }) => `${hole.partId}-${shaft.partId}`));
  const inFit = new Set(
    fits.flatMap(({ hole, shaft }) => [hole, shaft].map(({ partId, position }) => `${partId}-${position}`)),
  );
  const hasFit = ({ part, read }: OwnSize) => inFit.has(`${part.id}-${read.kept.position}`);
  const findings = new Map<string, Finding>();
  for (const { number, partIds } of assemblies) {
    const here = sides.filter(({ part }) => partIds.includes(part.id));
    const shafts = here.filter(({ side }) => side === 'shaft');
    for (const hole of here.filter(({ side }) => side === 'hole')) {
      for (const shaft of shafts) {
        const pair = `${hole.part.id}-${shaft.part.id}`;
        if (hole.part.id === shaft.part.id || joined.has(pair) || findings.has(pair)) continue;
        if (Math.abs(hole.nominal - shaft.nominal) > 1e-6 || (hasFit(hole) && hasFit(shaft))) continue;
        findings.set(pair, {
          check: 'mating',
          part: hole.part.number,
          says: `${nameOf(hole.read.kept)} and ${nameOf(shaft.read.kept)} of ${shaft.part.number} ${shaft.part.name} both go into ${number}, and no fit says whether they go together`,
          revisionId: hole.revisionId,
          link: {
            href: `/fits/new?hole=${encodeURIComponent(hole.part.number)}&shaft=${encodeURIComponent(shaft.part.number)}`,
            label: 'Make the fit',
          },
        });
      }
    }
  }
  return [...findings.values()];
}

const within = (ratio: number, factor: number) => Math.abs(ratio / factor - 1) < 0.002;

/** 25.4 where one is that many times the other; 10 only between sides of a fit, for tens are common. */
function factorOf(a: number, b: number, factors: readonly number[]): number | null {
  const ratio = Math.max(a, b) / Math.min(a, b);
  return factors.find((factor) => within(ratio, factor)) ?? null;
}

/**
 * Sizes that look written in another unit: 25.4 times another of the same drawing, or 25.4 or ten times the other side
 * of their fit.
 */
export function factorFindings(parts: readonly PartSpecs[], { fits }: FitFacts): Finding[] {
  const sizes = sizesOf(parts);
  const findings: Finding[] = [];
  const byPart = new Map<number, OwnSize[]>();
  for (const size of sizes) byPart.set(size.part.id, [...(byPart.get(size.part.id) ?? []), size]);
  for (const own of byPart.values()) {
    for (const [at, one] of own.entries()) {
      const other = own
        .slice(at + 1)
        .find((two) => factorOf(nominalOf(one), nominalOf(two), [MM_PER_INCH]) !== null);
      if (!other) continue;
      const [small, large] = nominalOf(one) < nominalOf(other) ? [one, other] : [other, one];
      findings.push({
        check: 'units',
        part: one.part.number,
        says: `${nameOf(large.read.kept)} is 25.4 times ${nameOf(small.read.kept)} of the same drawing: is one of them in inches?`,
        revisionId: one.revisionId,
      });
    }
  }
  const at = new Map(sizes.map((size) => [`${size.part.id}-${size.read.kept.position}`, size]));
  for (const { id, name, hole, shaft } of fits) {
    const [h, s] = [hole, shaft].map(({ partId, position }) => at.get(`${partId}-${position}`));
    if (!h || !s) continue;
    const factor = factorOf(nominalOf(h), nominalOf(s), [MM_PER_INCH, 10]);
    if (factor === null) continue;
    findings.push({
      check: 'units',
      part: h.part.number,
      says: `${nameOf(h.read.kept)} and ${nameOf(s.read.kept)} of ${s.part.number}, the two sides of ${name}, are ${factor} times apart`,
      revisionId: h.revisionId,
      link: { href: `/fits/${id}`, label: 'Open the fit' },
    });
  }
  return findings;
}
