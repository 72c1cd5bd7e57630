import { open } from 'node:fs/promises';
import { NotComputable } from '../platform/not-computable.ts';
import { type FileFacts, Unreadable } from './facts.ts';
import { type FileKind, type FileReading, fileKind, tailBytes } from './file-kind.ts';
import { KIND_WORDS } from './kind-words.ts';
import type { FileReader } from './reader.ts';

/** A file that has been received whole. */
export interface ReceivedModel {
  path: string;
  bytes: number;
  head: Uint8Array;
  /** as the sender named it */
  filename: string;
}

/** What a model or flat pattern says, as the calculator tells it: mm, mm2, mm3, kg. */
export interface ModelReply
  extends Pick<
    FileFacts,
    | 'format'
    | 'unit'
    | 'size'
    | 'volume'
    | 'area'
    | 'solids'
    | 'parts'
    | 'layers'
    | 'cutLength'
    | 'closed'
    | 'warnings'
  > {
  mass: number | null;
  source: string;
}

/** Looks at both ends of a received file for what it is. */
export async function receivedKind({
  path,
  bytes,
  head,
}: Omit<ReceivedModel, 'filename'>): Promise<FileReading> {
  const length = Math.min(tailBytes, bytes);
  const handle = await open(path, 'r');
  try {
    const { buffer } = await handle.read(Buffer.alloc(length), 0, length, bytes - length);
    return fileKind({ head, tail: buffer, size: bytes });
  } finally {
    await handle.close();
  }
}

const endings: Readonly<Record<string, FileKind>> = {
  step: 'step',
  stp: 'step',
  p21: 'step',
  stl: 'stl',
  dxf: 'dxf',
  pdf: 'pdf',
  svg: 'svg',
  png: 'png',
  jpg: 'jpeg',
  jpeg: 'jpeg',
  webp: 'webp',
  gif: 'gif',
  txt: 'text',
  html: 'html',
  htm: 'html',
  zip: 'zip',
  '3mf': 'zip',
};

/**
 * What the calculator answers to a file.
 *
 * @param density  kg/m3, where the mass is wanted
 * @throws NotComputable  a file that is not what its name says, is no model, or can't be read; WorkersBusy
 */
export async function modelReply(
  reader: FileReader,
  file: ReceivedModel,
  density: number | null,
): Promise<ModelReply> {
  const { kind, complaint } = await receivedKind(file);
  const ending = /\.([A-Za-z0-9]{1,5})$/.exec(file.filename.trim())?.[1]?.toLowerCase() ?? '';
  const named = Object.hasOwn(endings, ending) ? endings[ending]! : null;
  if (named !== null && named !== kind) {
    throw new NotComputable(`The file ends in .${ending} but is ${KIND_WORDS[kind]} by its content.`);
  }
  if (complaint !== null) throw new NotComputable(complaint);
  if (kind !== 'step' && kind !== 'stl' && kind !== 'dxf') {
    throw new NotComputable(`The file is ${KIND_WORDS[kind]}; a model is a STEP file, an STL or a DXF.`);
  }
  try {
    return told(await reader.facts(file.path, kind), density);
  } catch (fault) {
    if (fault instanceof Unreadable) throw new NotComputable(fault.message);
    throw fault;
  }
}

/** mm3 in a m3. */
const perCubicMetre = 1e9;

function told(facts: FileFacts, density: number | null): ModelReply {
  const { format, unit, size, volume, area, solids, parts, layers, cutLength, closed } = facts;
  const warnings = [...facts.warnings];
  if (density !== null && volume === null) {
    warnings.push(format === 'DXF' ? 'A flat pattern has no mass.' : 'Without a volume there is no mass.');
  }
  const mass = density !== null && volume !== null ? (volume / perCubicMetre) * density : null;
  return {
    format,
    unit,
    size,
    volume,
    area,
    mass,
    solids,
    parts,
    layers,
    cutLength,
    closed,
    warnings,
    source:
      format === 'DXF'
        ? 'lengths of the curves in the file, joined where ends meet within 0.01 mm'
        : 'divergence theorem over the triangles of the surface',
  };
}
