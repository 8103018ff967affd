/** The page of `check`: a rig as a labelled drawing, what its file says, and what is doubtful in it. */
import type { Rig } from '../rig/rig.ts';
import { counted } from '../rig/words.ts';
import { kept } from './draw/figures.ts';
import { markup } from './draw/markup.ts';
import type { Markup } from './draw/markup.ts';
import { DRAWING_STYLE, drawingIn } from './drawing/drawing.ts';
import { htmlPage } from './page.ts';
import { SAFETY } from './reading.ts';

/** A warning of the file: its key path, its line from 1 (0: none) and what it says. */
export interface Doubt {
  readonly path: string;
  readonly line: number;
  readonly message: string;
}

const STYLE = `${DRAWING_STYLE}
.said th { width: 11em; font-weight: 650; }
#drawing svg { background: var(--card); border: 1px solid var(--hair); border-radius: 10px; }
@media print { #drawing, #drawing svg { break-inside: auto; } }
`;

function doubtsSection(doubts: readonly Doubt[]): Markup | null {
  if (doubts.length === 0) return null;
  const items = doubts.map(({ path, line, message }) => {
    const where = [line > 0 ? `line ${String(line)}` : '', path].filter((words) => words !== '').join(', ');
    return markup`<li><strong>${where}</strong> ${message}</li>`;
  });
  return markup`<section id="warnings">
    <h2>Look at these again</h2>
    <ul>
      ${items}
    </ul>
  </section>`;
}

/**
 * The whole page as text.
 * @param rows what the file says, name by name; @param doubts what the reader warned of.
 */
export function renderCheckReport(
  rig: Rig,
  rows: readonly (readonly [name: string, words: string])[],
  doubts: readonly Doubt[],
): string {
  const said = rows.map(([name, words]) => markup`<tr><th scope="row">${name}</th><td>${kept(words)}</td></tr>`);
  const warned = doubts.length === 0 ? 'without a warning' : `with ${counted(doubts.length, 'warning')}`;
  return htmlPage(
    `${rig.name}: what its file says`,
    markup`<header>
        <h1>${rig.name}: what its file says</h1>
        <p class="lead">It is a valid rig, ${warned}. Compare the drawing with the prop, dimension by dimension, before anything has power.</p>
      </header>
      ${doubtsSection(doubts)}
      <section id="summary">
        <h2>In words</h2>
        <table class="said"><tbody>${said}</tbody></table>
      </section>
      <section id="drawing">
        <h2>What the numbers mean</h2>
        ${drawingIn(rig)}
      </section>
      <section id="rests">${SAFETY}</section>`,
    STYLE,
  );
}
