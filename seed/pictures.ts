import sharp from 'sharp';
import { type SmallPhoto, smallPhoto } from '../src/platform/photo.ts';

export type Motif = 'gear' | 'ring' | 'casting' | 'panel' | 'globe';

function shapes(motif: Motif, turn: number): string {
  switch (motif) {
    case 'gear': {
      const teeth = Array.from({ length: 24 }, (_, tooth) => {
        const angle = tooth * 15 + turn;
        return `<rect x="-9" y="-158" width="18" height="26" transform="rotate(${angle})"/>`;
      }).join('');
      return `<g fill="#b08a3c">${teeth}<circle r="138"/></g><circle r="34" fill="#5d5a52"/>`;
    }
    case 'ring':
      return `<g fill="none" stroke="#c9a56a" stroke-width="56"><path d="M-190 40 A190 190 0 0 1 190 40" transform="rotate(${turn})"/></g>`;
    case 'casting':
      return `<g fill="#9a9c9e" transform="rotate(${turn - 14})"><rect x="-210" y="-22" width="400" height="44" rx="18"/><circle cx="-190" r="64"/></g><circle cx="-186" cy="${46 - turn}" r="26" fill="#4d4a46"/>`;
    case 'panel':
      return `<g transform="rotate(${turn - 8})"><rect x="-220" y="-120" width="440" height="240" fill="#d8b57c"/><path d="M-220 -60 C-80 -90 60 -20 220 -70 M-220 20 C-60 0 80 60 220 10" stroke="#b98f52" stroke-width="5" fill="none"/></g>`;
    case 'globe':
      return `<circle r="150" fill="#3f6f97"/><path d="M-70 -90 q60 -30 90 20 q30 50 -20 80 q-60 20 -90 -30 z" fill="#7f9a5c" transform="rotate(${turn})"/>`;
  }
}

/** A small drawn picture that stands for a photo from somebody's bench. @param turn  degrees, to tell them apart */
export async function picture(motif: Motif, turn: number): Promise<SmallPhoto> {
  const svg =
    '<svg xmlns="http://www.w3.org/2000/svg" width="640" height="480" viewBox="-320 -240 640 480">' +
    `<rect x="-320" y="-240" width="640" height="480" fill="#8d8377"/>${shapes(motif, turn)}</svg>`;
  const photo = await smallPhoto(await sharp(Buffer.from(svg)).png().toBuffer());
  if (!photo) throw new Error(`the picture of a ${motif} could not be drawn`);
  return photo;
}
