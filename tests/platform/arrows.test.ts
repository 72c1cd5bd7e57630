import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { describe, expect, it } from 'vitest';

const src = resolve(import.meta.dirname, '../../src');

interface Import {
  from: string;
  to: string;
}

/** Every import of one file of ours by another, as paths below src. */
function readImports(): Import[] {
  const imports: Import[] = [];
  for (const entry of readdirSync(src, { recursive: true, withFileTypes: true })) {
    const path = join(entry.parentPath, entry.name);
    if (!entry.isFile() || !entry.name.endsWith('.ts') || path.includes(`${sep}generated${sep}`)) continue;
    for (const [, target] of readFileSync(path, 'utf8').matchAll(/(?:from|import)\s+'(\.[^']+)'/g)) {
      imports.push({ from: relative(src, path), to: relative(src, join(dirname(path), target!)) });
    }
  }
  return imports;
}

const folderOf = (path: string) => (path.includes(sep) ? path.split(sep)[0]! : '');
const imports = readImports();
const across = imports.filter(({ from, to }) => folderOf(from) !== folderOf(to) && folderOf(from) !== '');
const domains = across.filter(({ to }) => !['platform', 'generated', ''].includes(folderOf(to)));

describe('who may know whom', () => {
  it('reads the imports at all', () => {
    expect(imports.length).toBeGreaterThan(200);
    expect(domains.length).toBeGreaterThan(20);
  });

  it('a domain reaches another only through its index', () => {
    expect(domains.filter(({ to }) => !to.endsWith(`${sep}index.ts`))).toEqual([]);
  });

  it('the platform knows no domain', () => {
    expect(domains.filter(({ from }) => folderOf(from) === 'platform')).toEqual([]);
  });

  it('the arrows between domains have no circle', () => {
    const arrows = new Map<string, Set<string>>();
    for (const { from, to } of domains) {
      arrows.set(folderOf(from), (arrows.get(folderOf(from)) ?? new Set()).add(folderOf(to)));
    }
    const circle = (folder: string, path: string[]): string[] | null => {
      if (path.includes(folder)) return [...path.slice(path.indexOf(folder)), folder];
      for (const next of arrows.get(folder) ?? []) {
        const found = circle(next, [...path, folder]);
        if (found) return found;
      }
      return null;
    };
    for (const folder of arrows.keys()) expect(circle(folder, [])).toBeNull();
  });

  it('Prisma’s own types stay with the platform and the stores', () => {
    const users = imports.filter(({ to }) => folderOf(to) === 'generated').map(({ from }) => folderOf(from));
    expect([...new Set(users)]).toEqual(['platform']);
  });
});
