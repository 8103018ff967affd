/** The page of `wiring`: the circuit drawn, every cable in a table, what to buy, and a list to tick before first power. */
import { capital } from '../rig/words.ts';
import type { Run, WiringAnswer } from '../wiring/result.ts';
import { figure, kept } from './draw/figures.ts';
import { type Markup, markup } from './draw/markup.ts';
import { wiringDiagram } from './draw/wiring-diagram.ts';
import { htmlPage, verdictCard } from './page.ts';
import { SAFETY, list } from './reading.ts';
import { WIRING_STYLE } from './wiring-style.ts';

const sentence = (words: string): string => kept(`${capital(words)}.`);

function fits({ troubles, unknown, ok }: WiringAnswer): Markup {
  const question = 'Does it fit together?';
  if (troubles.length > 0) return verdictCard({ question, word: 'no', because: sentence(troubles[0] ?? '') });
  if (!ok)
    return verdictCard({
      question,
      word: 'unknown',
      because: `Not all figures are known. ${sentence(unknown[0] ?? '')}`,
    });
  return verdictCard({
    question,
    word: 'yes',
    because: 'Every fuse and wire could be chosen, and the supply gives what all servos draw when stalled.',
  });
}

const head = (answer: WiringAnswer): Markup => markup`<header id="verdict">
    <h1>${answer.rig}: how to wire it</h1>
    <p class="lead">
      Drawn for this rig and a ${answer.board}. What the rig file does not give is marked unknown: what rests on it is not chosen.
    </p>
    <dl class="verdicts">${fits(answer)}</dl>
  </header>`;

/** Beyond the one that the verdict tells. */
function openSection({ troubles, unknown }: WiringAnswer): Markup | null {
  const open = [...troubles, ...unknown];
  return open.length === 0
    ? null
    : markup`<section id="open">
    <h2>What does not fit, or is unknown</h2>
    <ul class="beware">${open.map((words) => markup`<li>${sentence(words)}</li>`)}</ul>
  </section>`;
}

const drawing = (answer: WiringAnswer): Markup => markup`<section id="drawing">
    <h2>The circuit</h2>
    <p class="lead">
      Symbols as in IEC 60617, colours in the letters of IEC 60757: RD red, BK black, OG orange, YE yellow, WH white. A question mark stands for what is unknown. Wires that cross
      without a dot do not touch. Each servo’s cable bears its label W at both ends.
    </p>
    <p class="slide">Slide the drawing sideways to see all of it.</p>
    <div class="sheet" tabindex="0" role="group" aria-label="Circuit diagram">${wiringDiagram(answer)}</div>
  </section>`;

const known = (value: number | null, unit: string, digits?: number): string =>
  value === null ? 'unknown' : figure(value, unit, digits);

const runRow = (run: Run, joint: string, pin: string, servo: string): Markup => markup`<tr>
    <th scope="row">${run.label}</th><td>${joint}</td><td>${pin}</td><td>${servo}</td>
    <td>${known(run.stalled_a, 'A', 2)}</td><td>${known(run.moving_a, 'A', 2)}</td><td>${known(run.fuse_a, 'A')}</td>
    <td>${known(run.mm2, 'mm²')}</td><td>${known(run.length_m, 'm')}</td><td>${known(run.drop_v, 'V', 3)}</td>
  </tr>`;

const cables = ({ trunk, servos }: WiringAnswer): Markup => markup`<section id="cables">
    <h2>Cables</h2>
    <p class="lead">Moving: the most that each servo’s peak_use allows, or the stream asks. Lost: there and back, stalled.</p>
    <div class="scroll" tabindex="0" role="group" aria-label="Cables"><table>
      <thead><tr>${['cable', 'joint', 'pin', 'servo', 'stalled', 'moving', 'fuse', 'wire', 'length', 'lost'].map((name) => markup`<th scope="col">${name}</th>`)}</tr></thead>
      <tbody>${runRow(trunk, 'supply to star point', '', '')}${servos.map((run) => runRow(run, run.joint, run.pin_name, run.servo))}</tbody>
    </table></div>
  </section>`;

const material = ({ parts }: WiringAnswer): Markup => markup`<section id="parts">
    <h2>What to buy</h2>
    <table>
      <thead><tr><th scope="col">part</th><th scope="col">count</th><th scope="col">size</th></tr></thead>
      <tbody>${parts.map(({ name, count, size }) => markup`<tr><th scope="row">${name}</th><td>${count}</td><td>${kept(size)}</td></tr>`)}</tbody>
    </table>
  </section>`;

const nightTable = ({ night }: WiringAnswer): Markup | null =>
  night.length === 0
    ? null
    : markup`<section id="night">
    <h2>Lines of the night</h2>
    <p class="lead">Not in the circuit above. Board pins bear 3.3 V, and never more. They are no safety device.</p>
    <table>
      <thead><tr><th scope="col">line</th><th scope="col">pin</th><th scope="col">goes to</th></tr></thead>
      <tbody>${night.map(({ what, pin_name, goes_to }) => markup`<tr><th scope="row">${what}</th><td>${pin_name}</td><td>${goes_to}</td></tr>`)}</tbody>
    </table>
  </section>`;

const ticks = ({ checklist }: WiringAnswer): Markup => markup`<section id="first-power">
    <h2>Before first power</h2>
    <p class="lead">From the top down, with a meter; go on only when the line before is ticked.</p>
    <ul class="ticks">${checklist.map((words) => markup`<li>${sentence(words)}</li>`)}</ul>
  </section>`;

/** The whole page as text. */
export const renderWiringReport = (answer: WiringAnswer): string =>
  htmlPage(
    `${answer.rig}: how to wire it`,
    markup`${head(answer)}${openSection(answer)}
      <section id="cautions"><h2>Cautions</h2><ul class="beware">${answer.cautions.map((words) => markup`<li>${sentence(words)}</li>`)}</ul>${SAFETY}</section>
      ${drawing(answer)}${cables(answer)}${nightTable(answer)}${material(answer)}${ticks(answer)}
      <section id="rests"><h2>How it was chosen</h2>${list(answer.notes.map(sentence))}</section>`,
    WIRING_STYLE,
  );
