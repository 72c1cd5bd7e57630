import { readFileSync } from 'node:fs';
import type { LevelRequest } from '../../src/schedule/level-request.ts';

const folder = new URL('../checks/psplib/', import.meta.url);

/** A published project: its request, the longest path printed in its file, and the least finish known. */
export interface Instance {
  name: string;
  request: LevelRequest;
  longestPath: number;
  best: number;
  optimal: boolean;
}

/** Reads a project of tests/checks/psplib; its README tells the format. */
export function readInstance(name: string): Instance {
  const lines = readFileSync(new URL(`${name}.sm`, folder), 'utf8').split(/\r?\n/);
  const rowsAfter = (heading: string, skipped: number) => {
    const from = lines.findIndex((line) => line.startsWith(heading)) + 1 + skipped;
    const rows: number[][] = [];
    for (let at = from; !lines[at]!.startsWith('*'); at++)
      rows.push(lines[at]!.trim().split(/\s+/).map(Number));
    return rows;
  };
  const precedence = rowsAfter('PRECEDENCE RELATIONS', 1);
  const [capacities] = rowsAfter('RESOURCEAVAILABILITIES', 1);
  const activities = rowsAfter('REQUESTS/DURATIONS', 2).map(([job, , duration, ...units]) => ({
    id: String(job),
    duration: duration!,
    demands: Object.fromEntries(units.map((demand, k) => [`R${k + 1}`, demand])),
    predecessors: precedence.filter((row) => row.slice(3).includes(job!)).map(([before]) => String(before)),
  }));
  const known = readFileSync(new URL('best-known.csv', folder), 'utf8').split('\n');
  const [, best, kind] = known.find((line) => line.startsWith(`${name},`))!.split(',');
  return {
    name,
    request: { resources: capacities!.map((capacity, k) => ({ id: `R${k + 1}`, capacity })), activities },
    longestPath: rowsAfter('PROJECT INFORMATION', 1)[0]!.at(-1)!,
    best: Number(best),
    optimal: kind === 'optimal',
  };
}
