/** What only the page of wiring needs beside the common style: the circuit, and a list to tick on paper. */
export const WIRING_STYLE = `
.sheet { overflow-x: auto; background: #fff; border: 1px solid var(--hair); border-radius: 10px; margin-top: 14px; }
svg.wiring { min-width: 720px; color: #1c2530; }
svg.wiring text { font-size: 11px; fill: #4a545e; paint-order: stroke; stroke: #fff; stroke-width: 3px; stroke-linejoin: round; }
svg.wiring .name, svg.wiring .pin { fill: #1c2530; font-weight: 650; }
svg.wiring .pin { stroke: none; }
svg.wiring .letter { fill: #1c2530; font-size: 14px; stroke: none; }
svg.wiring .wire { fill: none; stroke-width: 2; }
svg.wiring .rd { stroke: #c0281c; } svg.wiring .bk { stroke: #1c2530; } svg.wiring .og { stroke: #d97a00; }
svg.wiring .ye { stroke: #b89600; } svg.wiring .wh { stroke: #9aa2aa; }
svg.wiring .dot { fill: #1c2530; }
svg.wiring .symbol { fill: none; stroke: #1c2530; stroke-width: 1.6; }
svg.wiring .filled { fill: #fff; }
svg.wiring .gap { stroke: #fff; stroke-width: 5; fill: none; }
svg.wiring .works { stroke: #1c2530; stroke-width: 1.2; stroke-dasharray: 6 4; fill: none; }
svg.wiring .board { fill: #f5f3ed; stroke: #1c2530; stroke-width: 1.6; }
.slide { display: none; color: var(--soft); font-size: .875rem; }
.scroll { overflow-x: auto; }
.scroll table { min-width: 640px; }
.ticks { list-style: none; padding: 0; }
.ticks li { display: flex; gap: 10px; break-inside: avoid; }
.ticks li::before { content: ""; flex: none; width: 14px; height: 14px; margin-top: 5px; border: 1.5px solid var(--ink); border-radius: 2px; }
.beware { border-left: 4px solid var(--asked); padding-left: 32px; margin-top: 16px; }
@media screen and (max-width: 760px) { .slide { display: block; } }
@media print {
  .sheet, .scroll { overflow: visible; border: 0; }
  svg.wiring { min-width: 0; max-height: 250mm; }
  .scroll table { min-width: 0; }
  #drawing, #first-power { break-before: page; }
}
`;
