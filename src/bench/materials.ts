import type { Database } from '../platform/database.ts';
import { materialLibrary } from '../specs/index.ts';
import type { MaterialChoice } from './calculator.ts';

interface Row {
  id: number;
  key: string | null;
  name: string;
  family: string;
  expansion: number;
}

/** The build's materials with a known expansion; before the build is set up, those of the library. */
export function materialsOf(db: Pick<Database, 'hot'>): () => MaterialChoice[] {
  const listed = db.hot.prepare<[], Row>(
    `SELECT id, key, name, family, expansion FROM Material
     WHERE removedAt IS NULL AND expansion IS NOT NULL ORDER BY family, name`,
  );
  const any = db.hot.prepare('SELECT 1 FROM Material LIMIT 1');
  return () => {
    if (!any.get()) return library;
    return listed.all().map(({ id, key, name, family, expansion }) => ({
      key: key ?? `own-${id}`,
      name,
      family: family || 'other',
      expansion,
    }));
  };
}

const library: MaterialChoice[] = materialLibrary
  .map(({ id, name, family, expansion }) => ({ key: id, name, family, expansion: expansion.typical }))
  .sort((one, other) => one.family.localeCompare(other.family) || one.name.localeCompare(other.name));
