/** Sheets to print at true size: the base, the moving plate and a horn protractor, each sheet with a bar to check the printer. */
import type { Rig } from '../../rig/rig.ts';
import { markup } from '../draw/markup.ts';
import type { Markup } from '../draw/markup.ts';
import { BOTTOM, MARGIN, type Page, pagesFor } from './paper.ts';
import { type Pattern, exact, hornPattern, platePattern, text } from './patterns.ts';
import { BAR_MM } from './plate-plan.ts';
import { wrap } from './notes.ts';

/** One sheet: its file's text, its paper and what is on it. */
export interface Sheet {
  readonly paper: string;
  readonly shows: readonly string[];
  readonly text: string;
  /** Of the paper, mm. */
  readonly width: number;
  readonly height: number;
  /** What is on it, as SVG without its frame: for whoever cuts it into pages. */
  readonly inside: string;
}

/** Black on white: it is paper. Sizes in mm. */
export const SHEET_STYLE = `
text { font: 3.2px system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans", "Liberation Sans", sans-serif; fill: #000; }
.small { font-size: 2.8px; }
.piece { font-size: 4px; font-weight: 650; }
.title { font-size: 5px; font-weight: 650; }
.fine, .hole { stroke: #000; stroke-width: .15; fill: none; }
.bold { stroke: #000; stroke-width: .5; }
.bar { stroke: #000; stroke-width: .35; fill: none; }
.dashed { stroke: #000; stroke-width: .18; stroke-dasharray: 2 1.2; fill: none; }
.body { stroke: #000; stroke-width: .25; stroke-dasharray: 5 1.5; fill: none; }
.cut { stroke: #000; stroke-width: .5; fill: none; }
.dotted { stroke: #000; stroke-width: .18; stroke-dasharray: .5 1; fill: none; }
`;

function checkBar({ width, height }: Page<Pattern>['paper']): Markup {
  const [left, y] = [(width - BAR_MM) / 2, height - BOTTOM + 12];
  const ticks = Array.from({ length: 9 }, (_, i) => `M${exact(left + 10 * (i + 1))} ${exact(y - 1.5)}v3`).join('');
  return markup`<path class="bar" data-mm="${BAR_MM}" d="M${exact(left)} ${exact(y)}h${BAR_MM}"/>
    <path class="bar" d="M${exact(left)} ${exact(y - 3)}v6M${exact(left + BAR_MM)} ${exact(y - 3)}v6${ticks}"/>
    ${text('Measure this: it must be 100 mm. If it is not, print again at 100 %, not fitted to the page.', width / 2, y + 8)}`;
}

function insideOf(rig: Rig, { paper, puts }: Page<Pattern>, which: string): Markup {
  const { width, height } = paper;
  const pieces = puts.map(
    ({ piece, x, y }) => markup`<g transform="translate(${exact(x)} ${exact(y)})">${piece.svg}</g>`,
  );
  const [name = ''] = wrap(rig.name, 500);
  return markup`${text(name, MARGIN, MARGIN + 5, 'start', 'title')}
    ${text(`true size, 1:1, on ${paper.name} (${exact(width)} × ${exact(height)} mm), ${which}`, MARGIN, MARGIN + 10, 'start')}
    ${pieces}${checkBar(paper)}`;
}

function pageSvg({ width, height }: Page<Pattern>['paper'], inside: Markup): string {
  const style: Markup = { markup: SHEET_STYLE };
  return markup`<svg xmlns="http://www.w3.org/2000/svg" width="${width}mm" height="${height}mm" viewBox="0 0 ${width} ${height}">
    <style>@page { size: ${width}mm ${height}mm; margin: 0; }${style}</style>
    <rect width="${width}" height="${height}" fill="#fff"/>
    ${inside}
  </svg>
`.markup;
}

/** The sheets, in order; none: the rig has neither a platform nor a servo that turns. */
export function sheetsOf(rig: Rig): readonly Sheet[] {
  const { platform } = rig;
  const plates = platform ? [platePattern(platform, 'base'), platePattern(platform, 'moving')] : [];
  const horn = hornPattern(rig);
  const pages = pagesFor(horn ? [...plates, horn] : plates);
  return pages.map((page, i) => {
    const inside = insideOf(rig, page, `sheet ${String(i + 1)} of ${String(pages.length)}`);
    const { name: paper, width, height } = page.paper;
    const shows = page.puts.map(({ piece }) => piece.name);
    return { paper, width, height, shows, text: pageSvg(page.paper, inside), inside: inside.markup };
  });
}
