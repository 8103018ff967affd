/** What only the page of load needs beside the common style: bars to a 100 % line, and pictures that move. */
export const LOAD_STYLE = `
.hatches { position: absolute; }
.hatch-stop { stroke: var(--stop); stroke-width: 2.4; fill: none; }
.beyond { fill: url(#beyond); stroke: var(--stop); stroke-width: 1; }
.all-of-it { stroke: var(--stop); stroke-width: 1.4; stroke-dasharray: 5 3; fill: none; }
.most-use { stroke: var(--ink); stroke-width: 2; fill: none; }
.hold { fill: var(--delivered); }
.hold-most { fill: var(--delivered); fill-opacity: .38; }
.move { fill: var(--asked); }
.stalled { fill: var(--edge); }
.loads td, .loads th { vertical-align: middle; padding-top: 6px; padding-bottom: 6px; }
.loads th { width: 84px; }
.loads .bars { width: 50%; }
.loads .words span { display: block; line-height: 1.35; }
.loads .scale td { border-bottom: 0; padding-top: 2px; }
.shares { max-width: none; }
.sag { margin-top: 14px; }
.spare td:not(:last-child) { padding-right: 22px; }
.spare thead th { white-space: normal; }
.also { margin-top: 18px; }
.supply .loads th { width: 150px; }
.pair { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); gap: 24px 28px; margin-top: 10px; }
.pair .scene { background: var(--card); border: 1px solid var(--hair); border-radius: 10px; }
.pair figcaption { margin-top: 8px; }
.keys.across { max-width: none; display: flex; flex-wrap: wrap; gap: 4px 22px; }
.modes { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); gap: 20px 28px; margin: 12px 0 14px; }
.mode svg { background: var(--card); border: 1px solid var(--hair); border-radius: 10px; }
.mode figcaption { font-size: .875rem; line-height: 1.4; margin-top: 6px; }
.mode figcaption span { display: block; }
.mode figcaption .beside { display: inline; }
.ends path { stroke-width: 1.1; }
.ends .minus { stroke-dasharray: 1.5 3; }
.mode .still { display: none; }
.mode .still:last-child { display: inline; }
#hold-still:checked ~ .modes .moving { display: none; }
#hold-still:checked ~ .modes .still { display: inline; }
label[for="hold-still"] { font-size: .875rem; color: var(--soft); }
@media (prefers-reduced-motion: reduce) {
  .mode .moving, #hold-still, label[for="hold-still"] { display: none; }
  .mode .still { display: inline; }
}
@media print {
  .mode .moving, #hold-still, label[for="hold-still"] { display: none; }
  .mode .still { display: inline; }
  .mode { break-inside: avoid; }
}
@media screen and (max-width: 600px) {
  .pair, .modes { grid-template-columns: minmax(0, 1fr); }
  .loads, .loads tbody { display: block; }
  .loads tr { display: grid; grid-template-columns: minmax(0, 1fr); gap: 2px; padding: 10px 0; border-bottom: 1px solid var(--hair); }
  .loads th, .loads td, .supply .loads th { display: block; border: 0; padding: 0; width: auto; }
  .loads .bars { width: auto; }
  .loads .scale { padding: 2px 0; border: 0; }
  .loads .scale td:not(.bars) { display: none; }
}
`;
