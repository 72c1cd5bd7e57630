import type { OpenOffer } from './open-offers.ts';

/** A call for makers as plain text, to paste wherever makers talk. */
export function callText(build: { name: string; about: string }, offer: OpenOffer, address: string): string {
  const lines = [
    `${build.name} needs: ${offer.title}, ${offer.openText}`,
    '',
    build.about,
    '',
    `Process: ${offer.process}`,
    `Material: ${offer.material || 'see the drawing'}`,
    `To be posted by: ${offer.needBy}`,
    '',
    `Drawing, limits and how to say that you will make it, or some of it:`,
    address,
  ];
  // A build without a description leaves one gap, not two.
  return lines.filter((line, at) => line !== '' || lines[at - 1] !== '').join('\n');
}
