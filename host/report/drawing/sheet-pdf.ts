/**
 * Sheets as one PDF at true size: PDFKit writes it, svg-to-pdfkit draws the sheets. A sheet that A4 holds is a page of its own; a
 * larger one becomes A4 pages with crop marks, after a page that says how they go together. Both packages are large: load this late.
 */
import PDFDocument from 'pdfkit';
import svgToPdf from 'svg-to-pdfkit';
import { type Markup, markup } from '../draw/markup.ts';
import { exact, text } from './patterns.ts';
import { SHEET_STYLE, type Sheet } from './sheet.ts';
import { A4, EDGE, type Tile, type Tiling, tilingOf } from './tiles.ts';

/** Points in a millimetre: 72 to an inch of 25.4 mm (ISO 32000-1, 8.3.2.3, from memory). */
const POINTS = 72 / 25.4;

/** The fonts that every reader of PDF has know Windows-1252 only. */
const inWindows1252 = (svg: string): string =>
  svg.replaceAll('\u2212', '-').replace(/[^\u0000-\u017f‘’“”–—…•€™]/g, '?');

type Doc = InstanceType<typeof PDFDocument>;

/** A page of this size, with the drawing at true size on it. */
function page(doc: Doc, width: number, height: number, svg: string): void {
  doc.addPage({ size: [width * POINTS, height * POINTS], margin: 0 });
  svgToPdf(doc, inWindows1252(svg), 0, 0, {
    width: width * POINTS,
    height: height * POINTS,
    preserveAspectRatio: 'xMinYMin meet',
    precision: 5,
    fontCallback: (_family, bold) => (bold ? 'Helvetica-Bold' : 'Helvetica'),
  });
}

const whole = (width: number, height: number, inside: Markup): string =>
  markup`<svg xmlns="http://www.w3.org/2000/svg" width="${width}mm" height="${height}mm" viewBox="0 0 ${width} ${height}"><style>${{ markup: SHEET_STYLE }}</style>${inside}</svg>`
    .markup;

const nameOf = ({ row, column }: Pick<Tile, 'row' | 'column'>): string =>
  `${String.fromCharCode(64 + row)}${String(column)}`;

/** How the pages of a sheet go together, small. */
function plan({ paper, width, height, shows }: Sheet, { rows, columns, tiles }: Tiling): string {
  const scale = Math.min(130 / width, 160 / height);
  const [left, top] = [(A4.width - scale * width) / 2, 75];
  const boxes = tiles.map(({ x, y, width: w, height: h, row, column }) => {
    const [at, down] = [left + scale * x, top + scale * y];
    return markup`<path class="fine" d="M${exact(at)} ${exact(down)}h${exact(scale * w)}v${exact(scale * h)}h${exact(-scale * w)}Z"/>
      ${text(nameOf({ row, column }), at + (scale * w) / 2, down + (scale * h) / 2, 'middle', 'piece')}`;
  });
  const words = [
    `${shows.join(', ')}: a sheet of ${paper} on ${String(rows)} × ${String(columns)} pages of A4, true size`,
    'Print all pages at 100 %, not fitted to the page. Measure the bar on every page: it must be 100 mm.',
    'Cut each page along its crop marks, left and above only; lay it over the one before, so that the marks and the drawing meet; tape it.',
  ];
  return whole(
    A4.width,
    A4.height,
    markup`${text('How the pages go together', EDGE, 30, 'start', 'title')}${words.map((line, i) => text(line, EDGE, 40 + 6 * i, 'start'))}${boxes}`,
  );
}

const MARK = 6;

/** Two short lines outside each corner of what is shown. */
function cropMarks({ width, height }: Tile): Markup {
  const [x1, y1, x2, y2] = [EDGE, EDGE, EDGE + width, EDGE + height];
  const corner = (x: number, y: number, dx: 1 | -1, dy: 1 | -1): string =>
    `M${exact(x + dx * 2)} ${exact(y)}h${String(dx * MARK)}M${exact(x)} ${exact(y + dy * 2)}v${String(dy * MARK)}`;
  const d = [corner(x1, y1, -1, -1), corner(x2, y1, 1, -1), corner(x1, y2, -1, 1), corner(x2, y2, 1, 1)].join('');
  return markup`<path class="bar" d="${d}"/>`;
}

/** One page of a larger sheet: the part it shows, its marks, its name and a bar of its own. */
function tilePage(sheet: Sheet, tile: Tile): string {
  const { x, y, width, height } = tile;
  const shown: Markup = { markup: sheet.inside };
  const bar = A4.height - 7;
  return whole(
    A4.width,
    A4.height,
    markup`<svg x="${EDGE}" y="${EDGE}" width="${exact(width)}" height="${exact(height)}" viewBox="${exact(x)} ${exact(y)} ${exact(width)} ${exact(height)}">${shown}</svg>
      ${cropMarks(tile)}
      ${text(`page ${nameOf(tile)}, ${sheet.shows.join(', ')}`, EDGE + 12, 8, 'start')}
      <path class="bar" d="M${exact((A4.width - 100) / 2)} ${exact(bar)}h100M${exact((A4.width - 100) / 2)} ${exact(bar - 2)}v4M${exact((A4.width + 100) / 2)} ${exact(bar - 2)}v4"/>
      ${text('100 mm', A4.width / 2, bar + 4)}`,
  );
}

/** How many pages a sheet takes. */
export const pagesOf = (sheet: Sheet): number => {
  const { tiles } = tilingOf(sheet);
  return isWhole(sheet) ? 1 : tiles.length + 1;
};

/** A4 either way up is printed as it is. */
const isWhole = ({ width, height }: Sheet): boolean =>
  Math.min(width, height) <= A4.width && Math.max(width, height) <= A4.height;

/** The file's bytes. `compress`: false leaves its drawing instructions readable. */
export async function sheetsPdf(title: string, sheets: readonly Sheet[], compress = true): Promise<Uint8Array> {
  // A fixed date: the same rig gives the same bytes.
  const doc = new PDFDocument({ autoFirstPage: false, compress, info: { Title: title, CreationDate: new Date(0) } });
  const chunks: Uint8Array[] = [];
  doc.on('data', (chunk: Uint8Array) => chunks.push(chunk));
  const ended = new Promise((resolve, reject) => {
    doc.on('end', resolve);
    doc.on('error', reject);
  });
  for (const sheet of sheets) {
    if (isWhole(sheet)) {
      page(doc, sheet.width, sheet.height, sheet.text);
      continue;
    }
    const tiling = tilingOf(sheet);
    page(doc, A4.width, A4.height, plan(sheet, tiling));
    for (const tile of tiling.tiles) page(doc, A4.width, A4.height, tilePage(sheet, tile));
  }
  doc.end();
  await ended;
  return Buffer.concat(chunks);
}
