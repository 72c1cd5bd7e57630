/** A shape that is simple to write down, in mm. */
export type ModelShape =
  /** turned: diameters with their lengths one after another, and a bore through all of it */
  | { turned: readonly (readonly [diameter: number, length: number])[]; bore?: number }
  /** an outline, anticlockwise, pulled up to a height, with round holes through it */
  | {
      outline: readonly (readonly [x: number, y: number])[];
      height: number;
      holes?: readonly (readonly [x: number, y: number, diameter: number])[];
    };

/** A flat plate. */
export function plate(
  width: number,
  depth: number,
  height: number,
  holes: readonly (readonly [number, number, number])[] = [],
): ModelShape {
  const outline = [
    [0, 0],
    [width, 0],
    [width, depth],
    [0, depth],
  ] as const;
  return { outline, height, holes };
}

type Point = readonly [number, number, number];

/** Writes the entities of a STEP file, each with its number. */
class Entities {
  readonly lines: string[] = [];

  add(text: string): string {
    const id = `#${this.lines.length + 1}`;
    this.lines.push(`${id}=${text};`);
    return id;
  }

  point(at: Point): string {
    return this.add(`CARTESIAN_POINT('',(${at.map(real).join(',')}))`);
  }

  direction(along: Point): string {
    return this.add(`DIRECTION('',(${along.map(real).join(',')}))`);
  }

  vertex(at: Point): string {
    return this.add(`VERTEX_POINT('',${this.point(at)})`);
  }

  /** axes at a point; the first axis lies across the main one */
  axes(at: Point, main: Point = [0, 0, 1], first: Point = [1, 0, 0]): string {
    const names = [this.point(at), this.direction(main), this.direction(first)];
    return this.add(`AXIS2_PLACEMENT_3D('',${names.join(',')})`);
  }

  /** a straight edge from one vertex to another */
  line(from: Point, to: Point, begin: string, end: string): string {
    const run = [0, 1, 2].map((axis) => to[axis]! - from[axis]!) as [number, number, number];
    const length = Math.hypot(...run);
    const along = this.direction(run.map((part) => part / length) as unknown as Point);
    const vector = this.add(`VECTOR('',${along},${real(length)})`);
    const line = this.add(`LINE('',${this.point(from)},${vector})`);
    return this.add(`EDGE_CURVE('',${begin},${end},${line},.T.)`);
  }

  /** edges with their sense, as one loop */
  loop(edges: readonly (readonly [edge: string, sense: 'T' | 'F'])[]): string {
    const oriented = edges.map(([edge, sense]) => this.add(`ORIENTED_EDGE('',*,*,${edge},.${sense}.)`));
    return this.add(`EDGE_LOOP('',(${oriented.join(',')}))`);
  }

  face(surface: string, sense: 'T' | 'F', outer: string, inner: readonly string[] = []): string {
    const bounds = [
      this.add(`FACE_OUTER_BOUND('',${outer},.T.)`),
      ...inner.map((loop) => this.add(`FACE_BOUND('',${loop},.T.)`)),
    ];
    return this.add(`ADVANCED_FACE('',(${bounds.join(',')}),${surface},.${sense}.)`);
  }

  plane(at: Point, normal: Point, first?: Point): string {
    return this.add(`PLANE('',${this.axes(at, normal, first)})`);
  }
}

function real(value: number): string {
  const text = String(Number(value.toFixed(6)) + 0);
  return text.includes('.') ? text : `${text}.`;
}

/** A circle about an upright axis, as one edge that begins and ends at its point of least angle. */
interface Ring {
  edge: string;
  vertex: string;
  at: Point;
}

function ring(entities: Entities, [x, y, z]: Point, radius: number): Ring {
  const at: Point = [x + radius, y, z];
  const vertex = entities.vertex(at);
  const circle = entities.add(`CIRCLE('',${entities.axes([x, y, z])},${real(radius)})`);
  return { at, vertex, edge: entities.add(`EDGE_CURVE('',${vertex},${vertex},${circle},.T.)`) };
}

/** The face between two rings of one radius: of a shaft, or of a hole. */
function wall(entities: Entities, centre: Point, radius: number, [low, high]: [Ring, Ring], isHole: boolean) {
  const seam = entities.line(low.at, high.at, low.vertex, high.vertex);
  const surface = entities.add(`CYLINDRICAL_SURFACE('',${entities.axes(centre)},${real(radius)})`);
  const loop = isHole
    ? entities.loop([
        [seam, 'T'],
        [high.edge, 'T'],
        [seam, 'F'],
        [low.edge, 'F'],
      ])
    : entities.loop([
        [low.edge, 'T'],
        [seam, 'T'],
        [high.edge, 'F'],
        [seam, 'F'],
      ]);
  return entities.face(surface, isHole ? 'F' : 'T', loop);
}

const UP: Point = [0, 0, 1];
const DOWN: Point = [0, 0, -1];

function turnedFaces(entities: Entities, { turned, bore = 0 }: Extract<ModelShape, { turned: unknown }>) {
  const faces: string[] = [];
  let z = 0;
  const steps = turned.map(([diameter, length]) => {
    const [low, high] = [z, z + length];
    z = high;
    const rings: [Ring, Ring] = [
      ring(entities, [0, 0, low], diameter / 2),
      ring(entities, [0, 0, high], diameter / 2),
    ];
    faces.push(wall(entities, [0, 0, low], diameter / 2, rings, false));
    return { diameter, high, rings };
  });
  const [first, last] = [steps[0]!, steps.at(-1)!];
  const bores: [Ring, Ring] | null = bore
    ? [ring(entities, [0, 0, 0], bore / 2), ring(entities, [0, 0, z], bore / 2)]
    : null;
  if (bores) faces.push(wall(entities, [0, 0, 0], bore / 2, bores, true));
  const ring1 = (one: Ring, sense: 'T' | 'F') => entities.loop([[one.edge, sense]]);
  faces.push(
    entities.face(
      entities.plane([0, 0, 0], DOWN),
      'T',
      ring1(first.rings[0], 'F'),
      bores ? [ring1(bores[0], 'T')] : [],
    ),
    entities.face(
      entities.plane([0, 0, z], UP),
      'T',
      ring1(last.rings[1], 'T'),
      bores ? [ring1(bores[1], 'F')] : [],
    ),
  );
  // Where the diameter changes stands a shoulder, looking up or down.
  for (const [at, step] of steps.slice(0, -1).entries()) {
    const next = steps[at + 1]!;
    const looksUp = next.diameter < step.diameter;
    const surface = entities.plane([0, 0, step.high], looksUp ? UP : DOWN);
    faces.push(
      looksUp
        ? entities.face(surface, 'T', ring1(step.rings[1], 'T'), [ring1(next.rings[0], 'F')])
        : entities.face(surface, 'T', ring1(next.rings[0], 'F'), [ring1(step.rings[1], 'T')]),
    );
  }
  return faces;
}

function pulledFaces(
  entities: Entities,
  { outline, height, holes = [] }: Extract<ModelShape, { outline: unknown }>,
) {
  const corners = outline.map(([x, y]) => {
    const [low, high]: [Point, Point] = [
      [x, y, 0],
      [x, y, height],
    ];
    return { low, high, lowVertex: entities.vertex(low), highVertex: entities.vertex(high) };
  });
  const next = (at: number) => corners[(at + 1) % corners.length]!;
  const uprights = corners.map((one) => entities.line(one.low, one.high, one.lowVertex, one.highVertex));
  const lows = corners.map((one, at) =>
    entities.line(one.low, next(at).low, one.lowVertex, next(at).lowVertex),
  );
  const highs = corners.map((one, at) =>
    entities.line(one.high, next(at).high, one.highVertex, next(at).highVertex),
  );
  const faces = corners.map((one, at) => {
    const [dx, dy] = [next(at).low[0] - one.low[0], next(at).low[1] - one.low[1]];
    const length = Math.hypot(dx, dy);
    const surface = entities.plane(one.low, [dy / length, -dx / length, 0], [dx / length, dy / length, 0]);
    return entities.face(
      surface,
      'T',
      entities.loop([
        [lows[at]!, 'T'],
        [uprights[(at + 1) % corners.length]!, 'T'],
        [highs[at]!, 'F'],
        [uprights[at]!, 'F'],
      ]),
    );
  });
  const drilled = holes.map(([x, y, diameter]) => {
    const rings: [Ring, Ring] = [
      ring(entities, [x, y, 0], diameter / 2),
      ring(entities, [x, y, height], diameter / 2),
    ];
    faces.push(wall(entities, [x, y, 0], diameter / 2, rings, true));
    return rings;
  });
  faces.push(
    entities.face(
      entities.plane([0, 0, height], UP),
      'T',
      entities.loop(highs.map((edge) => [edge, 'T'] as const)),
      drilled.map(([, high]) => entities.loop([[high.edge, 'F']])),
    ),
    entities.face(
      entities.plane([0, 0, 0], DOWN),
      'T',
      entities.loop([...lows].reverse().map((edge) => [edge, 'F'] as const)),
      drilled.map(([low]) => entities.loop([[low.edge, 'T']])),
    ),
  );
  return faces;
}

/**
 * A model as a STEP file (ISO 10303-21, schema AP214) with one solid, in mm. The same model always gives the same bytes.
 *
 * Source: ISO 10303-42 (shapes), -41 (products) and -214, from memory; held against the reader by a test.
 */
export function stepModel(
  product: { number: string; name: string; writtenOn: string },
  shape: ModelShape,
): Buffer {
  const entities = new Entities();
  const faces = 'turned' in shape ? turnedFaces(entities, shape) : pulledFaces(entities, shape);
  const shell = entities.add(`CLOSED_SHELL('',(${faces.join(',')}))`);
  const solid = entities.add(`MANIFOLD_SOLID_BREP('${product.number}',${shell})`);
  const mm = entities.add('(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))');
  const radian = entities.add('(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))');
  const steradian = entities.add('(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())');
  const unsure = entities.add(
    `UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-05),${mm},'distance_accuracy_value','')`,
  );
  const context = entities.add(
    `(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((${unsure}))` +
      `GLOBAL_UNIT_ASSIGNED_CONTEXT((${mm},${radian},${steradian}))REPRESENTATION_CONTEXT('',''))`,
  );
  const origin = entities.axes([0, 0, 0]);
  const brep = entities.add(`ADVANCED_BREP_SHAPE_REPRESENTATION('',(${origin},${solid}),${context})`);
  const application = entities.add(
    "APPLICATION_CONTEXT('core data for automotive mechanical design processes')",
  );
  const productContext = entities.add(`PRODUCT_CONTEXT('',${application},'mechanical')`);
  const name = product.name.replace(/[^\x20-\x7e]/g, ' ').replace(/'/g, "''");
  const made = entities.add(
    `PRODUCT('${product.number}','${product.number} ${name}','',(${productContext}))`,
  );
  const formation = entities.add(`PRODUCT_DEFINITION_FORMATION('','',${made})`);
  const design = entities.add(`PRODUCT_DEFINITION_CONTEXT('part definition',${application},'design')`);
  const definition = entities.add(`PRODUCT_DEFINITION('design','',${formation},${design})`);
  const shapeOf = entities.add(`PRODUCT_DEFINITION_SHAPE('','',${definition})`);
  entities.add(`SHAPE_DEFINITION_REPRESENTATION(${shapeOf},${brep})`);
  return Buffer.from(
    [
      'ISO-10303-21;',
      'HEADER;',
      "FILE_DESCRIPTION((''),'2;1');",
      `FILE_NAME('${product.number}','${product.writtenOn}T18:00:00',(''),(''),'','','');`,
      "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 3 1 1 1 }'));",
      'ENDSEC;',
      'DATA;',
      ...entities.lines,
      'ENDSEC;',
      'END-ISO-10303-21;',
      '',
    ].join('\n'),
    'ascii',
  );
}
