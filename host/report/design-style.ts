/** What only the page of designs needs beside the common style: its rows with drawings, and the chart of trade-offs. */
export const DESIGN_STYLE = `
.designs th[scope="row"] { width: 320px; }
.designs .led { display: grid; grid-template-columns: 118px minmax(0, 1fr); gap: 12px; align-items: start; }
.designs .platform { background: var(--card); border: 1px solid var(--hair); border-radius: 8px; }
.designs .name { display: block; }
.designs .beside { display: block; font-weight: 400; white-space: normal; }
.designs .value { white-space: normal; }
.trade { max-width: 720px; }
.trade text { font-size: 12.5px; fill: var(--soft); }
.trade .name { fill: var(--ink); font-weight: 600; }
.trade .thread { stroke: var(--edge); stroke-width: 1; fill: none; }
.trade .bead { fill: var(--paper); stroke: var(--delivered); stroke-width: 1.6; }
.trade .number { fill: var(--ink); font-weight: 650; }
@media screen and (max-width: 860px) { .designs th[scope="row"] { width: auto; } }
`;
