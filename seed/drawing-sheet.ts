/** What stands on a drawing sheet: its title block, and the sizes it calls for. */
export interface Sheet {
  number: string;
  name: string;
  letter: string;
  material: string;
  process: string;
  tolerance: string;
  finish: string;
  drawnOn: string;
  change: string;
  sizes: readonly { position: number; label: string; text: string; isKey: boolean }[];
}

/** Text in the character set of the standard fonts; what it lacks becomes a plain letter or a blank. */
function inFont(text: string): string {
  return text
    .normalize('NFC')
    .replace(/[\u0100-\u024f]/g, (letter) => letter.normalize('NFKD').replace(/\p{M}/gu, ''))
    .replace(/[^\x20-\x7e\xa1-\xff]/g, ' ')
    .replace(/[()\\]/g, (sign) => `\\${sign}`);
}

const text = (x: number, y: number, size: number, words: string) =>
  `BT /F1 ${size} Tf ${x} ${y} Td (${inFont(words)}) Tj ET`;
const box = (x: number, y: number, width: number, height: number) => `${x} ${y} ${width} ${height} re S`;

/** The lines of an A4 sheet on its side: frame, list of sizes, title block. 1 unit is 1/72 in. */
function content(sheet: Sheet): string {
  const sizes = sheet.sizes.flatMap(({ position, label, text: size, isKey }, row) => {
    const y = 500 - row * 22;
    return [
      text(70, y, 12, `${position}`),
      text(100, y, 12, `${label ? `${label}: ` : ''}${size}${isKey ? '   KEY' : ''}`),
    ];
  });
  const lines: [string, string][] = [
    ['Part', `${sheet.number}  ${sheet.name}`],
    ['Revision', sheet.letter],
    ['Material', sheet.material],
    ['Process', sheet.process],
    ['General tolerance', sheet.tolerance ? `ISO 2768-${sheet.tolerance}` : 'as given'],
    ['Finish', sheet.finish || 'none'],
    ['Drawn', sheet.drawnOn],
  ];
  return [
    '0.8 w',
    box(28, 28, 786, 539),
    text(70, 532, 16, `${sheet.number} ${sheet.letter}   ${sheet.name}`),
    ...sizes,
    ...(sheet.change ? [text(70, 250, 10, `Changed: ${sheet.change}`)] : []),
    '0.4 w',
    box(414, 28, 400, 168),
    ...lines.flatMap(([name, words], row) => [
      text(424, 176 - row * 22, 8, name),
      text(520, 176 - row * 22, 11, words),
      `414 ${168 - row * 22} m 814 ${168 - row * 22} l S`,
    ]),
    text(70, 44, 8, 'Sizes in mm at 20 °C. Not to scale. Lunica walk-in orrery; an invented machine.'),
  ].join('\n');
}

/** The sheet as a PDF of one page. The same sheet always gives the same bytes. */
export function drawingPdf(sheet: Sheet): Buffer {
  const stream = content(sheet);
  const objects = [
    '<< /Type /Catalog /Pages 2 0 R >>',
    '<< /Type /Pages /Kids [3 0 R] /Count 1 >>',
    '<< /Type /Page /Parent 2 0 R /MediaBox [0 0 842 595] /Contents 4 0 R /Resources << /Font << /F1 5 0 R >> >> >>',
    `<< /Length ${stream.length} >>\nstream\n${stream}\nendstream`,
    '<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>',
  ];
  let file = '%PDF-1.4\n';
  const places = objects.map((object, index) => {
    const place = file.length;
    file += `${index + 1} 0 obj\n${object}\nendobj\n`;
    return place;
  });
  const table = file.length;
  file += `xref\n0 ${objects.length + 1}\n0000000000 65535 f \n`;
  for (const place of places) file += `${String(place).padStart(10, '0')} 00000 n \n`;
  file += `trailer\n<< /Size ${objects.length + 1} /Root 1 0 R >>\nstartxref\n${table}\n%%EOF\n`;
  return Buffer.from(file, 'latin1');
}

/** A flat pattern in mm as DXF (R12, with the unit of later ones): the outline, and a hole 15 mm in from each corner. */
export function flatPattern(width: number, height: number): Buffer {
  const corners = [
    [0, 0],
    [width, 0],
    [width, height],
    [0, height],
  ] as const;
  const entities = corners.flatMap(([x, y], index) => {
    const [toX, toY] = corners[(index + 1) % 4]!;
    const inward = (at: number, most: number) => (at === 0 ? 15 : most - 15);
    return [
      ['0', 'LINE', '8', 'CUT', '10', x, '20', y, '11', toX, '21', toY],
      ['0', 'CIRCLE', '8', 'CUT', '10', inward(x, width), '20', inward(y, height), '40', 4.25],
    ];
  });
  const pairs = [
    [
      '0',
      'SECTION',
      '2',
      'HEADER',
      '9',
      '$ACADVER',
      '1',
      'AC1009',
      '9',
      '$INSUNITS',
      '70',
      '4',
      '0',
      'ENDSEC',
    ],
    ['0', 'SECTION', '2', 'ENTITIES'],
    ...entities,
    ['0', 'ENDSEC', '0', 'EOF'],
  ];
  return Buffer.from(`${pairs.flat().join('\n')}\n`, 'ascii');
}
