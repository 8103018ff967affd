/**
 * The labelled drawing of a rig: plan, side view, the whole prop and its joints, every dimension in its place. The same picture
 * stands alone as an SVG file and in a page.
 */
import type { Rig } from '../../rig/rig.ts';
import { markup } from '../draw/markup.ts';
import type { Markup } from '../draw/markup.ts';
import { label } from '../draw/svg.ts';
import { PALETTE, PICTURE } from '../style.ts';
import { jointRows } from './joint-rows.ts';
import { LINE, SIZE, WIDTH, wrap } from './notes.ts';
import { planView } from './plan.ts';
import { sideView } from './side.ts';
import { type Drawn, drawView } from './view.ts';
import { wholeView } from './whole.ts';

/** What the drawing needs beside the colours and the prop's own style. */
export const DRAWING_STYLE = `
.drawing text { font: ${String(SIZE)}px system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans", "Liberation Sans", sans-serif; fill: var(--ink); }
.drawing .soft { fill: var(--soft); }
.drawing .heading { font-size: 18px; font-weight: 650; }
.drawing .title { font-size: 26px; font-weight: 650; }
.lead-line { stroke: var(--edge); stroke-width: .9; fill: none; }
.lead-end { fill: var(--ink); }
.row-line { stroke: var(--hair); stroke-width: 1; }
.plan-base { fill: none; stroke: var(--soft); stroke-width: 1.8; }
.plan-moving { fill: var(--wash); stroke: var(--delivered); stroke-width: 1.8; }
.ray, .datum { stroke: var(--soft); stroke-width: 1; stroke-dasharray: 7 3 1.5 3; fill: none; }
.dim, .turn { stroke: var(--ink); stroke-width: 1.1; fill: none; }
.turn { stroke: var(--asked); stroke-width: 2; }
.head { fill: var(--ink); }
.turn + .head { fill: var(--asked); }
.drawing .crank { stroke: var(--ink); stroke-width: 4; stroke-linecap: round; }
.drawing .rod { stroke: var(--delivered); stroke-width: 2; }
.drawing .far { stroke-opacity: .35; }
.joint-dot, .drawing .pivot { fill: var(--paper); stroke: var(--ink); stroke-width: 1.5; }
`;

const HEAD = 50;
const NO_PLATFORM =
  'This rig has joints only, no platform: plan and side view have nothing to show. Drawn are its axes, parts and joints.';
const NOTHING = 'Nothing of this rig has a place in space: only its joints are listed.';

/** Pieces one below the other, and the height they take. */
function stacked(rig: Rig): Drawn {
  let y = HEAD;
  const stack = (drawn: Drawn): Markup => {
    y += drawn.height;
    return drawn.svg;
  };
  const whole = wholeView(rig);
  const words = [...(rig.platform ? [] : [NO_PLATFORM]), ...(whole ? [] : [NOTHING])];
  const told = words.flatMap((sentence) => wrap(sentence, WIDTH - 40));
  const pieces = [
    stack({
      svg: markup`${told.map((line, i) => label(line, 20, HEAD + 16 + i * LINE, 'start', 'note'))}`,
      height: told.length * LINE,
    }),
    ...(rig.platform ? [stack(drawView(planView(rig, rig.platform), y))] : []),
    ...(rig.platform ? [stack(drawView(sideView(rig, rig.platform), y))] : []),
    ...(whole ? [stack(drawView(whole, y))] : []),
    stack(jointRows(rig, y)),
  ];
  return { svg: markup`${pieces}`, height: Math.ceil(y) };
}

/** The drawing for a page that has the reports' style and DRAWING_STYLE. */
export function drawingIn(rig: Rig): Markup {
  const { svg, height } = stacked(rig);
  return markup`<svg class="drawing" viewBox="0 0 ${WIDTH} ${height}" role="img" aria-label="${rig.name}: its dimensions, joints and masses">
    ${svg}
  </svg>`;
}

/** The drawing as the text of an SVG file: 190 mm wide, which fits a sheet of A4. */
export function drawingFile(rig: Rig): string {
  const { svg, height } = stacked(rig);
  const style: Markup = { markup: `${PALETTE}${PICTURE}${DRAWING_STYLE}` };
  const [title = ''] = wrap(rig.name, (WIDTH - 40) / 2.2);
  return markup`<svg xmlns="http://www.w3.org/2000/svg" class="drawing" width="190mm" height="${(190 * height) / WIDTH}mm" viewBox="0 0 ${WIDTH} ${height}" role="img" aria-label="${rig.name}: its dimensions, joints and masses">
    <style>${style}</style>
    <rect width="${WIDTH}" height="${height}" fill="var(--paper)"/>
    ${label(title, 20, 36, 'start', 'title')}${svg}
  </svg>
`.markup;
}
