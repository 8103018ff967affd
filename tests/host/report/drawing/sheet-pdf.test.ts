/** The sheets as PDF: true size is read off the file itself. A point is 1/72 inch, an inch 25.4 mm (ISO 32000-1, 8.3.2.3; from memory). */
import { describe, expect, it } from 'vitest';
import { sheetsOf } from '../../../../host/report/drawing/sheet.ts';
import { pagesOf, sheetsPdf } from '../../../../host/report/drawing/sheet-pdf.ts';
import { OVERLAP, tilingOf } from '../../../../host/report/drawing/tiles.ts';
import { OWL, edit, rigOf } from '../../why/rigs.ts';

const MM = 72 / 25.4;
const large = rigOf(
  edit(
    OWL,
    ['radius_mm: 70', 'radius_mm: 190'],
    ['radius_mm: 55', 'radius_mm: 175'],
    ['rod_end_deg: 28', 'rod_end_deg: 60'],
  ),
);

const pdfOf = async (rig: ReturnType<typeof rigOf>): Promise<string> =>
  Buffer.from(await sheetsPdf(rig.name, sheetsOf(rig), false)).toString('latin1');

const boxesOf = (pdf: string): number[][] =>
  [...pdf.matchAll(/\/MediaBox \[([^\]]+)\]/g)].map(([, box]) => (box ?? '').split(' ').map(Number));

/** Lines of the drawing in points, as [x1, y1, x2, y2], with every transform before them applied. */
function linesOf(page: string): number[][] {
  type Matrix = [number, number, number, number, number, number];
  let [now, at]: [Matrix, number[]] = [[1, 0, 0, 1, 0, 0], []];
  const kept: Matrix[] = [];
  const lines: number[][] = [];
  const point = ([x = NaN, y = NaN]: number[]): number[] => {
    const [a, b, c, d, e, f] = now;
    return [a * x + c * y + e, b * x + d * y + f];
  };
  for (const line of page.split('\n')) {
    const words = line.trim().split(/\s+/);
    const operator = words.at(-1);
    const n = words.slice(0, -1).map(Number);
    if (operator === 'q') kept.push(now);
    else if (operator === 'Q') now = kept.pop() ?? now;
    else if (operator === 'cm') {
      const [a, b, c, d, e, f] = n as Matrix;
      const [A, B, C, D, E, F] = now;
      now = [A * a + C * b, B * a + D * b, A * c + C * d, B * c + D * d, A * e + C * f + E, B * e + D * f + F];
    } else if (operator === 'm') at = point(n);
    else if (operator === 'l') {
      const to = point(n);
      lines.push([...at, ...to]);
      at = to;
    }
  }
  return lines;
}

const pagesIn = (pdf: string): string[] => [...pdf.matchAll(/stream\n([\s\S]*?)endstream/g)].map(([, s]) => s ?? '');
const lengths = (page: string): number[] => linesOf(page).map(([a, b, c, d]) => Math.hypot(c! - a!, d! - b!) / MM);

describe('a small rig', () => {
  it('has a page of A4 for each sheet, in points', async () => {
    const boxes = boxesOf(await pdfOf(rigOf(OWL)));
    expect(boxes.length).toBe(sheetsOf(rigOf(OWL)).length);
    for (const [x, y, width = NaN, height = NaN] of boxes) {
      expect([x, y]).toEqual([0, 0]);
      expect(Math.abs(width - 595.276)).toBeLessThan(0.01);
      expect(Math.abs(height - 841.89)).toBeLessThan(0.01);
    }
  });

  it('has a bar of 100 mm on each page, in the middle of its width', async () => {
    for (const page of pagesIn(await pdfOf(rigOf(OWL)))) {
      const bars = linesOf(page).filter(([a, b, c, d]) => Math.abs(Math.hypot(c! - a!, d! - b!) - 100 * MM) < 0.01);
      expect(bars.some(([a, , c]) => Math.abs(a! - 55 * MM) < 0.01 && Math.abs(c! - 155 * MM) < 0.01)).toBe(true);
    }
  });

  it('has the cranks at their length', async () => {
    const [base = ''] = pagesIn(await pdfOf(rigOf(OWL)));
    expect(lengths(base).filter((mm) => Math.abs(mm - 22) < 0.005).length).toBeGreaterThanOrEqual(6);
  });

  it('has the servos’ bodies at their size, where the file gives one', async () => {
    const given = edit(OWL, ['rod_end_deg: 28', 'rod_end_deg: 28\n  clearance: { servo_body_mm: [21.3, 40, 37.1] }']);
    const deep = async (rig: ReturnType<typeof rigOf>): Promise<number> =>
      lengths(pagesIn(await pdfOf(rig))[0] ?? '').filter((mm) => Math.abs(mm - 37.1) < 0.005).length;
    expect([await deep(rigOf(given)), await deep(rigOf(OWL))]).toEqual([6, 0]);
  });

  it('says its minus signs, which the fonts of PDF do not have, as hyphens', async () => {
    const pdf = await pdfOf(rigOf(OWL));
    expect(pdf).toContain('/BaseFont /Helvetica');
    expect(pdf).toContain('/WinAnsiEncoding');
    expect(pdf).not.toContain('NaN');
  });

  it('has the same bytes each time', async () => {
    expect(await pdfOf(rigOf(OWL))).toBe(await pdfOf(rigOf(OWL)));
  });
});

describe('a sheet that A4 cannot hold', () => {
  it('becomes a plan and pages of A4, each with its own bar', async () => {
    const sheets = sheetsOf(large);
    const pdf = await pdfOf(large);
    const boxes = boxesOf(pdf);
    expect(sheets[0]?.paper).toMatch(/A2/);
    expect(boxes.length).toBe(sheets.reduce((sum, sheet) => sum + pagesOf(sheet), 0));
    expect(boxes.length).toBeGreaterThan(9);
    for (const [, , width = NaN] of boxes) expect(Math.abs(width - 595.276)).toBeLessThan(0.01);
    const [plan = '', first = ''] = pagesIn(pdf);
    expect(lengths(plan).every((mm) => Math.abs(mm - 100) > 0.01)).toBe(true);
    expect(lengths(first).some((mm) => Math.abs(mm - 100) < 0.01)).toBe(true);
    // Crop marks: two at each of four corners.
    expect(lengths(first).filter((mm) => Math.abs(mm - 6) < 0.001).length).toBeGreaterThanOrEqual(8);
  });

  it.each([
    [210, 297],
    [420, 594],
    [841, 1189],
    [181, 268],
    [1500, 300],
  ])('of %i × %i mm is shown whole, neighbours by the overlap twice', (width, height) => {
    const { rows, columns, tiles } = tilingOf({ width, height });
    expect(tiles.length).toBe(rows * columns);
    for (const { x, y, width: w, height: h } of tiles) {
      expect([x >= 0, y >= 0, w > OVERLAP || columns === 1, h > OVERLAP || rows === 1]).toEqual([
        true,
        true,
        true,
        true,
      ]);
      expect(w).toBeLessThanOrEqual(180);
      expect(h).toBeLessThanOrEqual(267);
    }
    const row = tiles.slice(0, columns);
    row.slice(1).forEach(({ x }, i) => {
      expect(row[i]!.x + row[i]!.width - x).toBe(OVERLAP);
    });
    expect(row.at(-1)!.x + row.at(-1)!.width).toBe(width);
    expect(tiles.at(-1)!.y + tiles.at(-1)!.height).toBe(height);
  });
});
