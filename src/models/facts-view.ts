import type { AssemblyNode, FileFacts, Size } from './facts.ts';
import type { KnownFacts } from './store.ts';

/** Facts of a file for a page. */
export interface FactsShown {
  state: KnownFacts['state'];
  /** in one line: what it is and how large */
  line: string;
  rows: { label: string; value: string; unit?: string; hint?: string }[];
  warnings: string[];
  /** the assembly, each line with its level */
  tree: { level: number; name: string; quantity: number }[];
}

const mostLines = 200;
const perInch = 25.4;

/** Facts as words, lengths in the reader's unit. */
export function factsShown(known: KnownFacts, lengthUnit: string): FactsShown {
  if (known.state === 'waiting') return told('waiting', 'Being read: what it says will stand here.');
  if (known.state === 'unreadable') return told('unreadable', `Not read. ${known.sentence}`);
  const { facts } = known;
  const inches = lengthUnit === 'in';
  const length = inches ? { per: perInch, unit: 'in', digits: 3 } : { per: 1, unit: 'mm', digits: 2 };
  const inUnit = (mm: number, power = 1) => figure(mm / length.per ** power, length.digits);
  const box = ({ x, y, z }: Size) =>
    `${(facts.format === 'DXF' ? [x, y] : [x, y, z]).map((side) => inUnit(side)).join(' × ')} ${length.unit}`;
  const rows: FactsShown['rows'] = [];
  const row = (label: string, value: string | null, unit?: string, hint?: string) => {
    if (value !== null) rows.push({ label, value, ...(unit ? { unit } : {}), ...(hint ? { hint } : {}) });
  };
  const { size, volume, area, sheets, flat, step, picture } = facts;
  if (size) row('Size', box(size), undefined, 'along the axes of the file');
  if (volume !== null) row('Volume', inUnit(volume, 3), `${length.unit}³`);
  if (area !== null) row('Surface', inUnit(area, 2), `${length.unit}²`);
  if (facts.solids !== null) row('Solids', String(facts.solids));
  const parts = facts.parts ?? [];
  if (parts.length > 1) {
    row(
      'Parts',
      parts
        .slice(0, mostLines)
        .map(({ name, quantity }) => `${quantity} ${name || 'without a name'}`)
        .join(', '),
    );
  }
  if (facts.cutLength !== null) row('Cut length', inUnit(facts.cutLength), length.unit);
  if (flat) {
    row(
      'Contours',
      `${flat.contours}${flat.openContours > 0 ? `, ${flat.openContours} open` : ', all closed'}`,
    );
    row('Pierces', String(flat.pierces));
    row(
      'Layers',
      flat.layers
        .slice(0, mostLines)
        .map(({ name, cutLength }) => `${name} ${inUnit(cutLength)}`)
        .join(', '),
      length.unit,
    );
  }
  if (facts.format === 'STL' && facts.closed !== null) row('Closed', facts.closed ? 'yes' : 'no');
  if (facts.triangles !== null) row('Triangles', facts.triangles.toLocaleString('en'));
  if (['STEP', 'STL', 'DXF'].includes(facts.format)) row('Unit of the file', facts.unit ?? 'none');
  if (step) {
    row('Schema', step.schemas.map((schema) => schema.split(/[\s{]/)[0]).join(', ') || null);
    row('Named', step.name || null);
    row('Written', step.writtenAt || null);
  }
  if (sheets) {
    row('Pages', String(sheets.pages));
    for (const { width, height, name, pages } of sheets.sizes.slice(0, 8)) {
      row(
        'Sheet',
        `${figure(width, 1)} × ${figure(height, 1)}${name ? `, ${name}` : ''}${sheets.sizes.length > 1 ? `, ${pages} of them` : ''}`,
        'mm',
      );
    }
  }
  if (picture) row('Picture', `${picture.width} × ${picture.height}`, 'pixels');
  return {
    state: 'read',
    line: lineOf(facts, size && box(size)),
    rows,
    warnings: facts.warnings,
    tree: treeLines(step?.tree ?? []),
  };
}

function told(state: KnownFacts['state'], line: string): FactsShown {
  return { state, line, rows: [], warnings: [], tree: [] };
}

function lineOf({ format, solids, sheets, flat, picture }: FileFacts, box: string | null): string {
  const pieces = [format, box];
  if (solids !== null && solids > 1) pieces.push(`${solids} solids`);
  if (flat) pieces.push(`${flat.pierces} ${flat.pierces === 1 ? 'pierce' : 'pierces'}`);
  if (sheets) {
    const [sheet] = sheets.sizes;
    pieces.push(`${sheets.pages} ${sheets.pages === 1 ? 'page' : 'pages'}`);
    if (sheet && sheets.sizes.length === 1) pieces.push(sheet.name ?? `${sheet.width} × ${sheet.height} mm`);
  }
  if (picture) pieces.push(`${picture.width} × ${picture.height} pixels`);
  return pieces.filter(Boolean).join(', ');
}

function treeLines(tree: readonly AssemblyNode[]): FactsShown['tree'] {
  const lines: FactsShown['tree'] = [];
  const walk = (nodes: readonly AssemblyNode[], level: number) => {
    for (const { name, quantity, children } of nodes) {
      if (lines.length >= mostLines) return;
      lines.push({ level, name, quantity });
      walk(children, level + 1);
    }
  };
  if (tree.some(({ children }) => children.length > 0)) walk(tree, 0);
  return lines;
}

function figure(value: number, digits: number): string {
  return value.toLocaleString('en', { maximumFractionDigits: Math.abs(value) >= 1000 ? 0 : digits });
}
