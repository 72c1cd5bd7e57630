import { type FileFacts, mmPerFigure } from '../models/index.ts';
import type { KnownMass } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { massOf, plainNumber } from '../specs/index.ts';

interface ModelRow {
  partId: number;
  letter: string;
  state: string;
  name: string;
  unit: string;
  density: number | null;
  material: string | null;
  sha256: string;
  version: number;
  readState: string;
}

// The drawing of a part is its released one, else its draft; of its models the newest that was read comes last.
const MODELS = `
  SELECT r.partId, r.letter, r.state, d.name, d.unit, m.density, m.name AS material, d.sha256, f.version, f.state AS readState
    FROM Document d
    JOIN DocumentFacts f ON f.sha256 = d.sha256 AND f.facts IS NOT NULL
    JOIN Revision r ON r.id = d.revisionId
    JOIN Part p ON p.id = r.partId AND p.removedAt IS NULL AND p.massGrams IS NULL AND p.kind <> 'assembly'
               AND p.unit = 'piece'
    LEFT JOIN Material m ON m.id = COALESCE(r.materialId, p.materialId)
   WHERE d.kind = 'model' AND d.removedAt IS NULL
     AND (r.state = 'released' OR (r.state = 'draft' AND NOT EXISTS
         (SELECT 1 FROM Revision o WHERE o.partId = r.partId AND o.state = 'released')))
   ORDER BY d.id`;

/**
 * Masses of pieces that nobody typed, by part: volume of the newest model that was read, times the density of the
 * material. One statement for all parts; the volume of a file is taken from its facts once.
 *
 * An STL of which no unit was said gives none: a slip of its unit would weigh a thousandfold in what it goes into.
 */
export function modelMasses(hot: Database['hot']): () => ReadonlyMap<number, KnownMass> {
  const models = hot.prepare<[], ModelRow>(MODELS);
  const factsOf = hot.prepare<[string], { facts: string }>(
    'SELECT facts FROM DocumentFacts WHERE sha256 = ? AND facts IS NOT NULL',
  );
  type Volume = Pick<FileFacts, 'format' | 'unit' | 'volume'>;
  const volumes = new Map<string, Volume>();
  // Facts of an earlier reader stand until the file has been read anew: its state tells the two apart.
  const volumeOf = ({ sha256, version, readState }: ModelRow): Volume => {
    const key = `${sha256} ${version} ${readState}`;
    let kept = volumes.get(key);
    if (!kept) {
      const facts = JSON.parse(factsOf.get(sha256)?.facts ?? '{}') as FileFacts;
      kept = { format: facts.format, unit: facts.unit, volume: facts.volume ?? null };
      volumes.set(key, kept);
    }
    return kept;
  };
  return () => {
    const masses = new Map<number, KnownMass>();
    for (const row of models.all()) {
      const { partId, letter, state, name, unit, density, material } = row;
      const known = volumeOf(row);
      const hasUnit = known.unit !== null || unit !== '';
      if (!hasUnit || known.volume === null || density === null) {
        masses.delete(partId);
        continue;
      }
      const volumeMm3 = known.volume * (known.format === 'STL' ? mmPerFigure(unit) ** 3 : 1);
      const { model } = massOf({ typedGrams: null, volumeMm3, density });
      // To the milligram, as masses are added up.
      masses.set(partId, {
        grams: Math.round((model ?? 0) * 1000) / 1000,
        // Makers see the structure too, and of a draft no more than what it weighs.
        source:
          state === 'released'
            ? `by its model ${name} (${letter}, ${state}) and ${material}, ${plainNumber(density)} kg/m³`
            : 'by the model and material of its draft',
      });
    }
    return masses;
  };
}
