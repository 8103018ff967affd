/** The night card as a page: one sheet of A5 on paper, one column on a phone. */
import type { Rig } from '../rig/rig.ts';
import { HOME } from '../rig/rig.ts';
import { type Card, SPARE, linesWords, titleWords } from '../shows/card.ts';
import { READING, codeName } from '../shows/light-words.ts';
import { blinkSvg } from './draw/blinks.ts';
import { kept } from './draw/figures.ts';
import { type Markup, markup } from './draw/markup.ts';
import { propSide } from './draw/prop.ts';
import { propSvg } from './draw/scene.ts';
import { htmlPage } from './page.ts';

const CARD_STYLE = `
main { max-width: 640px; padding: 24px 20px 40px; }
section { margin-top: 26px; }
.top { display: grid; grid-template-columns: minmax(0, 1fr) 190px; gap: 18px; align-items: start; }
.top svg { max-height: 200px; }
.codes { list-style: none; padding: 0; margin: 10px 0 0; max-width: none; }
.codes li { display: grid; grid-template-columns: 2.6em 118px minmax(0, 1fr); gap: 4px 12px; align-items: center; border-top: 1px solid var(--hair); padding: 8px 0; margin: 0; break-inside: avoid; }
.codes b { font-size: 1.25rem; white-space: nowrap; }
.codes p { margin: 0; line-height: 1.35; }
.codes .then { font-weight: 650; }
.blinks { color: var(--delivered); }
.fill { border-bottom: 1px solid var(--ink); display: inline-block; min-width: 9em; }
.spare td, .spare th { padding: 5px 8px 5px 0; }
.spare .us { text-align: right; padding-right: 14px; }
.beware { border-left: 4px solid var(--stop); padding-left: 30px; }
.scroll { overflow-x: auto; }
@media screen and (max-width: 480px) {
  .top { grid-template-columns: minmax(0, 1fr); }
  .top svg { max-height: 170px; }
  .codes li { grid-template-columns: 2.4em minmax(0, 1fr); }
  .codes .words { grid-column: 1 / -1; }
  .blinks { max-width: 148px; }
}
@media screen and (min-width: 691px) {
  .scroll { margin-inline: calc((600px - min(100vw - 40px, 780px)) / 2); }
  .spare td { white-space: nowrap; }
}
@media screen and (max-width: 690px) {
  .spare thead { display: none; }
  .spare, .spare tbody { display: block; }
  .spare tr { display: grid; grid-template-columns: repeat(auto-fill, minmax(98px, 1fr)); gap: 4px 12px; padding: 10px 0; border-bottom: 1px solid var(--edge); }
  .spare th, .spare td { display: block; border: 0; padding: 0; text-align: left; }
  .spare .us { text-align: left; padding: 0; }
  .spare tbody th { grid-column: 1 / -1; font-size: 1rem; }
  .spare tbody th::before { content: "cable "; font-weight: 500; color: var(--soft); }
  .spare td[data-head]::before { content: attr(data-head); display: block; color: var(--soft); line-height: 1.2; }
}
@page { size: A5; margin: 6mm 7mm; }
@media print {
  body { font-size: 6.8pt; line-height: 1.22; }
  h1 { font-size: 12pt; } h2 { font-size: 8pt; margin-bottom: 0; }
  main { padding: 0; }
  section { margin-top: 3.5pt; }
  .top { grid-template-columns: minmax(0, 1fr) 40mm; gap: 8pt; }
  .top svg { max-height: 27mm; }
  .scene text { font-size: 12px; }
  p { margin-bottom: 1pt; max-width: none; }
  ul { max-width: none; } li { margin-bottom: 0; }
  .codes { margin-top: 1pt; }
  .codes li { grid-template-columns: 3.4em 24mm minmax(0, 1fr); padding: 1pt 0; gap: 0 6pt; }
  .codes b { font-size: 9pt; } .codes p { line-height: 1.2; margin: 0; }
  .spare { font-size: 6pt; margin-top: 1pt; } .spare td, .spare th { padding: .4pt 4pt .4pt 0; line-height: 1.15; }
  .scroll { overflow: visible; }
  .beware { padding-left: 14pt; margin-top: 0; }
}
`;

function picture(rig: Rig): Markup | null {
  const coordinates = rig.joints.map(({ home }) => home);
  const now = propSide(rig, coordinates, rig.platform ? HOME : null);
  const said = `${rig.name} from its right side, at home`;
  const svg = propSvg(
    rig,
    { now, was: [], ring: null, said, foot: 'looks this way \u2192' },
    { width: 260, tallest: 260 },
  );
  return svg && markup`<div class="scene">${svg}</div>`;
}

const codes = (card: Card, where: string | null): Markup => markup`<section id="light">
    <h2>The light</h2>
    <p>${READING}${where === null ? '' : ` The wires: ${where}`}</p>
    <ul class="codes">${card.codes.map(
      (it) =>
        markup`<li><b>${codeName(it)}</b>${blinkSvg(it)}<div class="words"><p>${kept(it.means)}</p><p class="then">${kept(it.then)}</p></div></li>`,
    )}</ul>
  </section>`;

function cables({ joints, board }: Card): Markup {
  const heads = [
    'cable',
    'joint',
    'pin',
    ...(board === 'pico' ? ['on the board'] : []),
    'servo',
    'rest, µs',
    'home, µs',
    'ends, µs',
    'range',
  ];
  const rows = joints.map(
    ({ label, joint, pin, connector, servo, rest_us, home_us, ends_us, ends }) => markup`<tr>
      <th scope="row">${label}</th><td data-head="joint">${joint}</td><td data-head="pin">${pin}</td>${board === 'pico' ? markup`<td data-head="on the board">${connector}</td>` : null}<td data-head="servo">${servo}</td>
      <td class="us" data-head="rest, µs">${String(rest_us)}</td><td class="us" data-head="home, µs">${String(home_us)}</td><td class="us" data-head="ends, µs">${ends_us.map(String).join(' to ')}</td><td data-head="range">${kept(ends)}</td>
    </tr>`,
  );
  return markup`<section id="cables">
    <h2>Cables, and a spare servo’s pulses</h2>
    <p>${SPARE}</p>
    <div class="scroll"><table class="spare"><thead><tr>${heads.map((head) => markup`<th scope="col"${{ markup: head.endsWith('µs') ? ' class="us"' : '' }}>${head}</th>`)}</tr></thead><tbody>${rows}</tbody></table></div>
  </section>`;
}

/** Of A5 between its margins, and of a card as printed without its joints and with each of them, px, as seen in Chromium. */
const SHEET_PX = 735;
const CARD_PX = 668;
const JOINT_PX = 9.5;

/** Smaller in print, where there are many joints: it stays one sheet. */
const fitting = ({ joints }: Card): string =>
  `@media print { main { zoom: ${Math.min(1, SHEET_PX / (CARD_PX + JOINT_PX * joints.length)).toFixed(3)}; } }`;

/** The whole page as text. */
export function renderCard(rig: Rig, card: Card): string {
  return htmlPage(
    `${card.rig}: night card`,
    markup`<header class="top"><div>
      <h1>${card.rig}</h1>
      <p>${titleWords(card)}</p>
      <p>The maker: <span class="fill">\u00a0</span></p>
      <p>The stop is here: <span class="fill">\u00a0</span></p>
      <p>The supply’s switch: <span class="fill">\u00a0</span></p>
    </div>${picture(rig)}</header>
    ${card.codes.length === 0 ? null : codes(card, linesWords(card))}
    ${card.button.length === 0 ? null : markup`<section id="button"><h2>The button</h2><ul>${card.button.map((words) => markup`<li>${words}</li>`)}</ul></section>`}
    <section id="stop"><h2>The stop</h2><p>${kept(card.stop.join(' '))}</p></section>
    <section id="cautions"><h2>Cautions</h2><ul class="beware">${card.cautions.map((words) => markup`<li>${words}</li>`)}</ul></section>
    ${cables(card)}`,
    CARD_STYLE + fitting(card),
  );
}
