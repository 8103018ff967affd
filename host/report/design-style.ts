/** What only the page of designs needs beside the common style: its rows with drawings, and the chart of trade-offs. */
export const DESIGN_STYLE = `
.designs thead th { white-space: normal; vertical-align: bottom; }
.designs th[scope="row"] { width: 170px; min-width: 150px; }
.designs .platform { width: 150px; background: var(--card); border: 1px solid var(--hair); border-radius: 8px; margin-bottom: 4px; }
.designs .platform .rod { stroke-width: 1.2; }
.designs .platform .axis-name { font-size: 15px; fill: var(--ink); }
.designs .design > * { border-bottom: 0; padding-bottom: 2px; vertical-align: top; }
.designs .more a { color: var(--delivered); font-weight: 600; }
.designs .more td { color: var(--soft); padding-top: 0; }
.designs .name { display: block; white-space: normal; }
.designs .beside { display: block; font-weight: 400; white-space: normal; }
.designs .value { white-space: normal; }
.trade { max-width: 720px; }
.trade text { font-size: 12.5px; fill: var(--soft); }
.trade .name { fill: var(--ink); font-weight: 600; }
.trade .value { fill: var(--ink); }
.trade .band { fill: var(--paper); }
.trade .column { stroke: var(--hair); stroke-width: 1; }
.trade .thread { stroke: var(--edge); stroke-width: 1; fill: none; }
.trade .spot { fill: var(--paper); stroke: var(--delivered); stroke-width: 1.6; }
.trade .best { fill: var(--delivered); }
.trade .badge { fill: var(--card); stroke: var(--edge); stroke-width: 1; }
.trade .number { fill: var(--ink); font-weight: 650; }
@media screen and (max-width: 860px) {
  .designs th[scope="row"] { width: auto; }
  .designs .design { border-bottom: 0; padding-bottom: 4px; }
  .designs .design td:first-of-type { grid-column: auto; }
  .designs .more { padding-top: 0; }
  .designs .more td { grid-column: 1 / -1; }
}
`;
