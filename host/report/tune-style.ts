/** What only the page of tuning needs beside the common style. */
export const TUNE_STYLE = `
.limits .was { color: var(--soft); }
.limits .new { font-weight: 650; }
.limits .gone { display: block; color: var(--soft); font-size: .9em; }
.told { display: grid; grid-template-columns: 5em 1fr; gap: 6px 12px; margin: 14px 0 0; max-width: 50em; }
.told dt { font-weight: 650; }
.told dd { margin: 0; }
.both { display: grid; grid-template-columns: repeat(2, minmax(0, 360px)); gap: 18px 28px; margin-top: 12px; }
.swing-line { fill: var(--wash); stroke: var(--delivered); stroke-width: 1.2; stroke-linejoin: round; }
.costs { margin-top: 18px; }
@media screen and (max-width: 600px) {
  .both { grid-template-columns: minmax(0, 1fr); }
  .limits td:first-of-type { grid-column: auto; }
  .limits tr { grid-template-columns: repeat(2, 1fr); }
}
`;
