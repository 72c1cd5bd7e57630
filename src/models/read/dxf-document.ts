import { Unreadable } from '../facts.ts';
import { dxfTags, type Tag } from './dxf-tags.ts';

/** An entity as it stands in the file. */
export interface DxfEntity {
  type: string;
  layer: string;
  tags: Tag[];
  /** the corners of a POLYLINE, each with its own groups */
  vertices: Tag[][];
}

export interface DxfBlock {
  base: [number, number, number];
  entities: DxfEntity[];
}

export interface DxfDocument {
  /** variables of the header, the first value of each */
  header: Map<string, string>;
  blocks: Map<string, DxfBlock>;
  entities: DxfEntity[];
}

const mostEntities = 400_000;

/** Takes a DXF apart: header, blocks, and what stands in the model space. @throws Unreadable */
export function dxfDocument(bytes: Uint8Array): DxfDocument {
  const document: DxfDocument = { header: new Map(), blocks: new Map(), entities: [] };
  let section = '';
  let variable = '';
  let block: DxfBlock | null = null;
  let entity: DxfEntity | null = null;
  let head: Tag[] | null = null;
  let count = 0;
  let sections = 0;
  let ended = false;
  for (const tag of dxfTags(bytes)) {
    const { code, value } = tag;
    if (code === 0) {
      head = null;
      if (value === 'EOF') {
        ended = true;
        break;
      }
      if (value === 'SECTION' || value === 'ENDSEC') {
        section = value === 'SECTION' ? '?' : '';
        entity = null;
        continue;
      }
      if (section !== 'ENTITIES' && section !== 'BLOCKS') continue;
      if (value === 'BLOCK') {
        block = { base: [0, 0, 0], entities: [] };
        head = [];
        entity = null;
        continue;
      }
      if (value === 'ENDBLK') {
        block = null;
        entity = null;
        continue;
      }
      if (value === 'VERTEX' && entity?.type === 'POLYLINE') {
        entity.vertices.push([]);
        continue;
      }
      if (value === 'SEQEND') continue;
      count += 1;
      if (count > mostEntities) {
        throw new Unreadable(`The DXF has more than ${mostEntities.toLocaleString('en')} entities.`);
      }
      entity = { type: value.toUpperCase(), layer: '0', tags: [], vertices: [] };
      if (section === 'ENTITIES') document.entities.push(entity);
      else block?.entities.push(entity);
    } else if (section === '?' && code === 2) {
      section = value;
      sections += 1;
    } else if (section === 'HEADER') {
      if (code === 9) variable = value;
      else if (!document.header.has(variable)) document.header.set(variable, value);
    } else if (head && block) {
      if (code === 2) document.blocks.set(value.toUpperCase(), block);
      if (code === 10 || code === 20 || code === 30) block.base[code / 10 - 1] = coordinate(value, 'a block');
    } else if (entity) {
      const corner = entity.vertices.at(-1);
      if (corner) corner.push(tag);
      else {
        if (code === 8) entity.layer = plain(value);
        entity.tags.push(tag);
      }
    }
  }
  if (sections === 0) throw new Unreadable('This is no DXF: it has no section.');
  if (!ended) throw new Unreadable('The DXF is cut off before its end.');
  return document;
}

/** A text of DXF as people read it: \U+00E4 is ä. */
export function plain(text: string): string {
  return text.replace(/\\U\+([0-9A-F]{4})/gi, (_, digits: string) =>
    String.fromCharCode(Number.parseInt(digits, 16)),
  );
}

const largest = 1e9;

/** A number of DXF. @throws Unreadable  one that is none, or is beyond a thousand kilometres in mm */
export function coordinate(value: string, of: string): number {
  const number = Number(value);
  if (value === '' || !Number.isFinite(number) || Math.abs(number) > largest) {
    throw new Unreadable(`${of} in the DXF has "${value.slice(0, 30)}" where a number should be.`);
  }
  return number;
}

/** The last value of a group, as a number. */
export function numberAt(entity: Pick<DxfEntity, 'type' | 'tags'>, code: number, otherwise: number): number {
  const tag = entity.tags.findLast((one) => one.code === code);
  return tag ? coordinate(tag.value, entity.type) : otherwise;
}

/** A point whose x has the group `code`; z is 0 where it is left out. */
export function pointAt(
  entity: Pick<DxfEntity, 'type' | 'tags'>,
  code: number,
  otherwise: readonly [number, number, number] = [0, 0, 0],
): [number, number, number] {
  return [0, 10, 20].map((add, axis) => numberAt(entity, code + add, otherwise[axis]!)) as [
    number,
    number,
    number,
  ];
}
