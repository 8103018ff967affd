/**
 * How the report looks: system fonts, one restrained palette in a light and a dark form, print always light.
 * Indigo and amber stay apart for colour-blind eyes, and solid, dashed and ringed stay apart without any colour.
 */

export const LIGHT = `
  --paper: #fdfcf9; --card: #f5f3ed; --ink: #1c2530; --soft: #5c6670; --hair: #dcd8ce;
  --delivered: #2f4f8f; --wash: #2f4f8f24; --asked: #a86008; --band: #ece8dd; --edge: #b7b09f; --stop: #b23024;`;

export const DARK = `
  --paper: #12161c; --card: #1a2028; --ink: #e6e4de; --soft: #98a2ad; --hair: #2c343e;
  --delivered: #8fb0f0; --wash: #8fb0f02e; --asked: #e6ac55; --band: #202832; --edge: #4a5563; --stop: #ff8d78;`;

const PAGE = `
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; text-size-adjust: 100%; }
body { margin: 0; background: var(--paper); color: var(--ink);
  font: 16px/1.55 system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans", "Liberation Sans", sans-serif;
  font-variant-numeric: tabular-nums; overflow-wrap: break-word; }
main { max-width: 960px; margin: 0 auto; padding: 44px 24px 64px; }
h1 { font-size: 2rem; line-height: 1.2; letter-spacing: -0.015em; font-weight: 650; margin: 0 0 .25em; }
h2 { font-size: 1.25rem; line-height: 1.3; letter-spacing: -0.005em; font-weight: 650; margin: 0 0 .35em; }
h3 { font-size: 1rem; font-weight: 650; margin: 0; }
p { margin: 0 0 .7em; max-width: 44em; text-wrap: pretty; }
section { margin-top: 52px; }
ul { margin: 0; padding-left: 1.15em; max-width: 44em; }
li { margin-bottom: .4em; }
figure { margin: 0; }
svg { display: block; width: 100%; height: auto; }
code { font: .9em ui-monospace, "SF Mono", Consolas, "Liberation Mono", monospace; }
.lead { color: var(--soft); max-width: 50em; }
.verdicts { display: grid; grid-template-columns: 1fr 1fr; gap: 16px; margin: 24px 0 0; }
.verdict { background: var(--card); border: 1px solid var(--hair); border-radius: 10px; padding: 16px 20px; }
.verdict dt { color: var(--soft); }
.verdict dd { margin: 0; }
.verdict strong { display: flex; align-items: center; gap: 10px; font-size: 1.5rem; line-height: 1.4; font-weight: 650; }
.verdict strong svg { width: 18px; flex: none; }
.verdict p { margin: .2em 0 0; }
`;

/** How a drawing of the prop looks. */
export const PICTURE = `
.worst { display: grid; grid-template-columns: minmax(0, 1fr) 264px; gap: 28px; align-items: center; }
.worst .scene { background: var(--card); border: 1px solid var(--hair); border-radius: 10px; }
.narrow { display: none; }
.keys { list-style: none; padding: 0; margin: 14px 0 0; color: var(--soft); font-size: .875rem; }
.keys li { display: flex; align-items: center; gap: 10px; margin: 0 0 4px; }
.keys svg { width: 34px; flex: none; }
.scene text { font-size: 12.5px; fill: var(--soft); paint-order: stroke; stroke: var(--card); stroke-width: 4px; stroke-linejoin: round; }
.scene .stopped-words { fill: var(--stop); font-weight: 650; }
.ground, .post { stroke: var(--edge); stroke-width: 1.5; fill: none; }
.stand { stroke: var(--edge); stroke-width: 1.5; stroke-dasharray: 1 4; stroke-linecap: round; fill: none; }
.scale-bar { stroke: var(--ink); stroke-width: 1.5; fill: none; }
.was path, .was ellipse { fill: none; stroke: var(--asked); stroke-width: 1.4; stroke-dasharray: 5 3.5; }
.was circle { fill: var(--asked); }
.now path, .now ellipse { fill: none; stroke: var(--delivered); stroke-width: 1.7; stroke-linejoin: round; stroke-linecap: round; }
.now circle { fill: var(--delivered); }
.now .part:not(circle) { fill: var(--wash); stroke-width: 1.4; }
.now .body { stroke: var(--edge); stroke-width: 1; }
.now .body:not(circle) { fill: var(--edge); fill-opacity: .13; }
.now circle.body { fill: var(--edge); stroke: none; }
.now .arm { stroke: var(--edge); stroke-width: 2; }
.now .carrier { stroke: var(--soft); stroke-width: 5; stroke-opacity: .55; }
.now .pivot { fill: var(--card); stroke: var(--ink); stroke-width: 2; }
.now .plate, .now .base { fill: var(--delivered); fill-opacity: .18; stroke-width: 3; }
.now .base { stroke: var(--soft); fill: var(--soft); }
.now .crank { stroke: var(--ink); stroke-width: 3.6; }
.now .rod { stroke-width: 2; }
.now .far { stroke-opacity: .42; }
.ring { fill: none; stroke: var(--stop); stroke-width: 2.5; }
.leader { fill: none; stroke: var(--stop); stroke-width: 1; }
`;

const CHARTS = `
.charts { display: grid; grid-template-columns: repeat(3, minmax(0, 1fr)); gap: 14px 22px; margin-top: 10px; }
.chart { max-width: 430px; }
.chart text { font-size: 11.25px; fill: var(--soft); }
.chart .name { fill: var(--ink); font-weight: 600; }
.grid { stroke: var(--hair); stroke-width: .7; fill: none; }
.zero { stroke: var(--edge); stroke-width: .8; fill: none; }
.axis, .tick { stroke: var(--edge); stroke-width: 1; fill: none; }
.band { fill: var(--band); }
.edge { stroke: var(--edge); stroke-width: 1; fill: none; }
.mark { stroke: var(--stop); stroke-width: 1; stroke-dasharray: 1 2; fill: none; }
.asked { fill: none; stroke: var(--asked); stroke-width: 1.5; stroke-dasharray: 4 2.5; }
.delivered { fill: var(--delivered); fill-opacity: .55; stroke: var(--delivered); stroke-width: 1.2; stroke-linejoin: round; stroke-linecap: round; }
.torque { max-width: 720px; }
.small { font-size: .875rem; }
.needed { fill: var(--wash); stroke: var(--delivered); stroke-width: 1.4; }
.has { fill: none; stroke: var(--asked); stroke-width: 1.6; stroke-dasharray: 5 3; }
.hatch { fill: var(--stop); }
.bar { fill: var(--delivered); }
.allowed { stroke: var(--stop); stroke-width: 1.5; stroke-dasharray: 5 3; fill: none; }
.joint { margin-top: 26px; }
.joint header { display: flex; flex-wrap: wrap; gap: 0 14px; align-items: baseline; border-top: 1px solid var(--hair); padding-top: 10px; }
.joint header p { margin: 0; color: var(--soft); }
.captioned figcaption { font-size: .875rem; color: var(--soft); }
.timing { display: grid; grid-template-columns: repeat(2, minmax(0, 340px)); gap: 14px 40px; margin-top: 18px; }
.captioned figcaption { margin-top: 6px; }
`;

const TABLES = `
table { border-collapse: collapse; width: 100%; font-size: .875rem; line-height: 1.4; margin-top: 10px; }
th, td { text-align: left; vertical-align: top; padding: 9px 10px 9px 0; border-bottom: 1px solid var(--hair); }
thead th { font-weight: 500; color: var(--soft); border-bottom-color: var(--edge); white-space: nowrap; }
tbody th { font-weight: 650; }
.joints .head { display: none; }
.joints .value, .joints .beside { display: block; white-space: nowrap; }
.beside { color: var(--soft); font-size: .9em; }
.bar-of { max-width: 100%; margin-top: 4px; }
.room { fill: var(--band); stroke: var(--edge); stroke-width: .5; }
.share { fill: var(--delivered); }
.over { fill: var(--stop); }
.stop { stroke: var(--ink); stroke-width: 1.2; fill: none; }
.counts { display: grid; grid-template-columns: repeat(4, minmax(0, 1fr)) minmax(0, 1.3fr); gap: 16px; margin: 14px 0 0; }
.counts div { border-top: 2px solid var(--edge); padding-top: 8px; }
.counts .some { border-top-color: var(--stop); }
.counts dt { font-size: 1rem; font-weight: 650; }
.counts dd { margin: 0; font-size: .875rem; line-height: 1.4; color: var(--soft); }
.stops { columns: 3; column-gap: 22px; list-style: none; padding: 0; margin: 6px 0 20px; max-width: none; font-size: .875rem; }
.stops li { break-inside: avoid; margin: 0 0 2px; }
#timing h3 { margin-top: 22px; }
.safety { background: var(--card); border-left: 4px solid var(--stop); padding: 14px 20px; margin-top: 18px; }
.safety p:last-child { margin-bottom: 0; }
`;

const NARROW = `
@media screen and (max-width: 860px) {
  .worst { grid-template-columns: 1fr; gap: 16px; }
  .charts { grid-template-columns: repeat(2, minmax(0, 1fr)); }
  .joints thead { display: none; }
  .joints, .joints tbody { display: block; }
  .joints tr { display: grid; grid-template-columns: repeat(auto-fill, minmax(128px, 1fr)); gap: 12px 16px; padding: 14px 0; border-bottom: 1px solid var(--edge); }
  .joints th, .joints td { display: block; border: 0; padding: 0; }
  .joints td:first-of-type { grid-column: span 2; }
  .joints tbody th { grid-column: 1 / -1; font-size: 1rem; }
  .joints .head { display: block; color: var(--soft); }
}
@media screen and (max-width: 600px) {
  main { padding: 28px 16px 48px; }
  section { margin-top: 40px; }
  h1 { font-size: 1.6rem; }
  .wide { display: none; }
  .narrow { display: block; }
  .verdicts, .charts, .timing { grid-template-columns: 1fr; }
  .counts { grid-template-columns: 1fr 1fr; }
  .stops { columns: 1; }
  .joints tr { grid-template-columns: repeat(3, 1fr); gap: 12px 10px; }
  .joints td:first-of-type { grid-column: 1 / -1; }
}
`;

const PRINT = `
@page { margin: 14mm 12mm; }
@media print {
  :root { color-scheme: light; }
  body { font-size: 10.5pt; background: none; }
  main { padding: 0; max-width: none; }
  section { margin-top: 22pt; }
  h2, h3, .lead, .keys.across { break-after: avoid; }
  .lead, .keys { break-inside: avoid; }
  figure, svg, tr, .joint, .verdict, .counts, .safety, .worst { break-inside: avoid; }
  .worst { grid-template-columns: minmax(0, 1fr) 190px; gap: 18px; }
  .charts { gap: 10px 14px; }
  .charts .chart text { font-size: 12px; }
  table { font-size: 8.5pt; }
  th, td { padding-right: 6px; }
}
`;

/** The colours: light, dark where the screen asks for it, and light on paper. */
export const PALETTE = `:root { color-scheme: light dark; ${LIGHT} }
@media screen and (prefers-color-scheme: dark) { :root { ${DARK} } }
`;

/** The whole style sheet. */
export const STYLE = `${PALETTE}${PAGE}${PICTURE}${CHARTS}${TABLES}${NARROW}${PRINT}`;
