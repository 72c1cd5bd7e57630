import type { KnownFacts } from './store.ts';

/** Whether a kept file has a small picture: models and flat patterns that could be read. */
export function isPictured(fileKind: string, known: KnownFacts | undefined): boolean {
  return ['step', 'stl', 'dxf'].includes(fileKind) && known?.state === 'read' && known.facts.size !== null;
}
