import type { Bounds, Calculator } from './calculator.ts';

/** The calculator that takes a file; the others take JSON and stand in calculators.ts. */
export const modelCalculator: Pick<
  Calculator,
  'name' | 'question' | 'title' | 'line' | 'takes' | 'gives' | 'notes' | 'source'
> & { bounds: Bounds } = {
  name: 'model',
  question: 'Will it fit?',
  title: 'What a model says',
  line: 'Size, volume, mass and parts of a STEP file or an STL; cut length, contours and pierces of a DXF.',
  takes: 'multipart/form-data: file (STEP, STL or DXF), density? in kg/m³',
  gives:
    '{format, unit, size: {x, y, z}, volume, area, mass, solids, parts: [{name, quantity}], layers, cutLength, closed,\n warnings, source}',
  notes: [
    'mm, mm², mm³ and kg, whatever unit the file is in; unit is the one in the file. An STL has none and is taken as mm.',
    'parts counts the named solids of a STEP assembly. cutLength is exact for lines and arcs, integrated for ellipses and splines.',
    'closed: every contour of a DXF ends where it begins, every edge of an STL joins two facets. What a format has no answer for is null.',
    'The kind of file is told by its content. One that is not what its name says is answered with 422. Nothing is kept.',
    'At most 50 MB, and 20 seconds of processor time and 1 GB of memory to read it.',
  ],
  source:
    'divergence theorem over the triangles of the surface, curved faces taken as bent between them; arc length of the curves',
  bounds: { bytes: 50 * 1024 * 1024, perMinute: 20, seconds: 20, threadFrom: 0 },
};
