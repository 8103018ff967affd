/** What only the page of travel needs beside the common style: its twelve small pictures, its maps and its tables. */
export const REACH_STYLE = `
.travel td, .travel th { vertical-align: middle; }
.travel .minus { text-align: right; }
.travel .minus, .travel .plus { width: 27%; }
.travel td.both { width: 36%; padding-left: 10px; }
.travel .value { display: block; font-weight: 650; }
.travel .beside { display: block; }
.zero-mark { stroke: var(--paper); stroke-width: 1.5; fill: none; }
.ends { display: grid; grid-template-columns: repeat(4, minmax(0, 1fr)); gap: 18px 16px; margin-top: 14px; }
.end svg { background: var(--card); border: 1px solid var(--hair); border-radius: 8px; }
.end figcaption { font-size: .875rem; line-height: 1.35; margin-top: 6px; }
.end figcaption span { display: block; }
.stopped-by { color: var(--stop); }
.blocking .crank, .blocking .rod { stroke: var(--stop); stroke-opacity: 1; }
.blocking .crank { stroke-width: 4.5; }
.blocking .rod { stroke-width: 3; }
.planes { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); gap: 22px 28px; margin-top: 14px; }
.planes .plane { max-width: 520px; }
.planes figcaption { font-size: .875rem; color: var(--soft); margin-top: 4px; }
.keys.across { max-width: none; display: flex; flex-wrap: wrap; gap: 4px 22px; }
.hatches { position: absolute; }
.wash-rod { fill: var(--stop); fill-opacity: .14; }
.line-rod { stroke: var(--stop); stroke-opacity: .75; stroke-width: 1; fill: none; }
.wash-limit { fill: var(--asked); fill-opacity: .16; }
.dot-limit { fill: var(--asked); }
.wash-rod_end { fill: var(--delivered); fill-opacity: .12; }
.line-rod_end { stroke: var(--delivered); stroke-opacity: .55; stroke-width: .8; fill: none; }
.stops-rod { fill: url(#rod); }
.stops-limit { fill: url(#limit); }
.stops-rod_end { fill: url(#rod_end); }
.in-reach { fill: var(--paper); stroke: var(--ink); stroke-width: 1.6; stroke-linejoin: round; }
.plane .grid, .plane .zero { stroke-opacity: .8; }
.from { fill: var(--ink); }
.chart .name-of-stop { fill: var(--ink); font-weight: 600; paint-order: stroke; stroke: var(--paper); stroke-width: 4px; stroke-linejoin: round; }
.changes td { text-align: right; white-space: nowrap; }
.changes thead th + th { text-align: right; }
.changes th .beside { display: block; font-weight: 400; }
.changes tbody th { font-weight: 500; }
.changes .head { display: none; }
.changes .more { font-weight: 650; }
.changes .less { color: var(--stop); }
.changes .same { color: var(--soft); }
#further h3 { margin-top: 22px; }
.beware { border-left: 4px solid var(--asked); padding-left: 16px; list-style: none; margin-top: 16px; }
@media screen and (max-width: 860px) {
  .ends { grid-template-columns: repeat(3, minmax(0, 1fr)); }
}
@media screen and (max-width: 600px) {
  .ends { grid-template-columns: repeat(2, minmax(0, 1fr)); gap: 16px 10px; }
  .planes { grid-template-columns: minmax(0, 1fr); }
  .travel, .travel tbody { display: block; }
  .travel tr { display: grid; grid-template-columns: 1fr 1fr; gap: 2px 10px; padding: 12px 0; border-bottom: 1px solid var(--hair); }
  .travel th, .travel td { display: block; border: 0; padding: 0; }
  .travel th { grid-column: 1 / -1; font-size: 1rem; }
  .travel .minus { order: 2; text-align: left; width: auto; }
  .travel .plus { order: 3; text-align: right; width: auto; }
  .travel td.both { order: 1; grid-column: 1 / -1; width: auto; padding: 2px 0 4px; }
  .changes thead { display: none; }
  .changes, .changes tbody { display: block; }
  .changes tr { display: grid; grid-template-columns: repeat(3, 1fr); gap: 6px 10px; padding: 12px 0; border-bottom: 1px solid var(--hair); }
  .changes th, .changes td { display: block; border: 0; padding: 0; text-align: left; }
  .changes th, .changes .none { grid-column: 1 / -1; }
  .changes .head { display: block; color: var(--soft); font-weight: 400; }
}
@media print {
  #ends, #maps { break-before: page; }
  .end, .planes figure { break-inside: avoid; }
  .changes th, .changes td { padding-top: 5px; padding-bottom: 5px; }
  .ends { gap: 10px 12px; }
  .end figcaption, .planes figcaption { font-size: 8.5pt; }
}
`;
