/** The page of `design`: the designs that are left to choose between, or which wish to relax; at the end how they trade off. */
import type { Answer } from '../design/answer.ts';
import { leftAloneWords } from '../design/left-alone.ts';
import type { Shown } from '../design/shown.ts';
import { capital, counted, short } from '../rig/words.ts';
import { DESIGN_STYLE } from './design-style.ts';
import { designFigures } from './draw/design-figures.ts';
import { figure, kept, number, percent } from './draw/figures.ts';
import { type Markup, markup } from './draw/markup.ts';
import { tradeChart } from './draw/trade-chart.ts';
import { htmlPage } from './page.ts';
import { SAFETY, list } from './reading.ts';

/** The whole page as text. */
export function renderDesignReport(answer: Answer): string {
  const { subject, front } = answer;
  const title = `${subject.want.name}: designs`;
  const body = front.shown.length > 0 ? found(answer) : lost(answer);
  return htmlPage(title, markup`${body} ${restsSection(answer)}`, DESIGN_STYLE);
}

const found = (answer: Answer): Markup =>
  markup`<header id="verdict">
    <h1>${answer.subject.want.name}: ${counted(answer.front.shown.length, 'design')} to choose between</h1>
    <p class="lead">Each does what was asked, and none is better than another in all that counts (${answer.subject.want.better.join(', ')}). ${searchedWords(answer)} Calculated from the rig file: nothing here has run on a real prop.</p>
  </header>
  ${tableSection(answer)} ${tradeSection(answer)}`;

function lost({ subject, relaxed, nearest, front, few }: Answer): Markup {
  const wishes = relaxed.map(({ words, by, possible }) =>
    kept(`${words}${possible === null ? '' : ` (${percent(by)})`}.`),
  );
  const words =
    relaxed.length > 0
      ? 'Relaxing one of these wishes is enough, the smallest step first; all others stay as asked.'
      : few
        ? 'Too few designs were looked at to tell: the one that comes nearest falls short of these.'
        : 'No single wish is enough: the design that comes nearest falls short of these together.';
  const dropped = front.dropped.map(({ because, designs }) =>
    kept(`${counted(designs, 'design')} dropped: ${because}.`),
  );
  return markup`<header id="verdict">
    <h1>${subject.want.name}: no design does all that was asked</h1>
    <p class="lead">${words}</p>
    ${list([...wishes, ...nearest.map((own) => kept(`${own}.`)), ...dropped])}
  </header>`;
}

const searchedWords = ({ evaluated, feasible }: Answer): string =>
  `Of ${number(evaluated, 0)} designs that were looked at, ${number(feasible, 0)} do.`;

const cell = (head: string, value: string, beside = ''): Markup =>
  markup`<td role="cell"><span class="head">${head}</span><span class="value">${value}</span>${beside === '' ? null : markup`<span class="beside">${beside}</span>`}</td>`;

function tableSection(answer: Answer): Markup {
  const { shown } = answer.front;
  const drawings = designFigures(shown.map(({ judged }) => judged.rig));
  const axes = wantedAxes(answer);
  const priced = shown.some(({ judged }) => judged.price !== null);
  const rows = shown.map((own, i) => rowOf(own, i, axes, drawings.figures[i]!, priced));
  const heads = ['', ...axes, 'torque used', 'lowest frequency', ...(priced ? ['price'] : []), 'size'];
  return markup`<section id="designs">
    <h2>The designs</h2>
    <p class="lead">The platforms are drawn from the side at home, all at one scale; the bar is ${figure(drawings.scale_mm, 'mm', 0)} long.</p>
    <table role="table" class="designs joints">
      <thead role="rowgroup"><tr role="row">${heads.map((head) => markup`<th role="columnheader" scope="col">${head}</th>`)}</tr></thead>
      <tbody role="rowgroup">${rows}</tbody>
    </table>
  </section>`;
}

/** Names of the axes that something was asked of; without such, all. */
function wantedAxes({ subject, front }: Answer): string[] {
  const all = front.shown[0]?.judged.travel.map(({ axis }) => axis) ?? [];
  const asked = all.filter((_, k) => {
    const { minus, plus } = subject.want.must.travel[k]!;
    return minus < 0 || plus > 0;
  });
  return asked.length > 0 ? asked : all;
}

function rowOf(
  { file, why, binds, judged, robust }: Shown,
  i: number,
  axes: readonly string[],
  drawing: Markup,
  priced: boolean,
): Markup {
  const { use, hold_use, lowest_hz, price, size_mm, peak_a } = judged;
  const travels = axes.map((name) => {
    const { minus, plus, unit } = judged.travel.find(({ axis }) => axis === name)!;
    return cell(name, `${number(minus, 1)} … ${figure(plus, unit, 1)}`);
  });
  const stands = binds.length === 0 ? '' : `Stands against ${binds.join('; ')}.`;
  const built = robust === null ? '' : ` As built: ${percent(robust)} of what was asked.`;
  const moving = use === null ? percent(hold_use) : percent(use);
  return markup`<tr role="row" class="design">
    <th role="rowheader" scope="row">${drawing}<span class="name">${i + 1} ${capital(why)}</span></th>
    ${travels}
    ${cell('torque used', moving, use === null ? 'to hold' : `${percent(hold_use)} to hold`)}
    ${cell('lowest frequency', figure(lowest_hz, 'Hz', 1), peak_a === null ? '' : `${figure(peak_a, 'A', 1)} at most`)}
    ${priced ? cell('price', price === null ? '–' : number(price)) : null}
    ${cell('size', `${figure(2 * size_mm.base_radius, 'mm', 0)} wide`, `${figure(size_mm.height, 'mm', 0)} high`)}
  </tr>
  <tr role="row" class="more"><td role="cell" colspan="${4 + axes.length + (priced ? 1 : 0)}"><code>${file}</code> ${kept(`${stands}${built}`)}</td></tr>`;
}

function tradeSection({ subject, front }: Answer): Markup | null {
  if (front.shown.length < 2) return null;
  const objectives = front.shown.map((own) => own.objectives);
  const chart = (width: number): Markup => tradeChart(subject.want.better, objectives, width);
  return markup`<section id="trade">
    <h2>What one costs in the other</h2>
    <p class="lead">Each line is one of what counts, the best on the right; the numbers are the designs’, and a thin line follows each down the page.</p>
    <figure class="wide">${chart(720)}</figure>
    <figure class="narrow">${chart(358)}</figure>
  </section>`;
}

function restsSection({ subject, front, seed, complete }: Answer): Markup {
  const { margins, must, clearance, firm } = subject.want;
  const alone = leftAloneWords(front.shown);
  return markup`<section id="rests">
    <h2>What it is based on</h2>
    ${list(
      [
        `Torque and frequencies are with ${short(100 * margins.heavier, 0)} % more weight and ${short(100 * margins.less_voltage, 0)} % less voltage; at most ${percent(firm.use)} of a servo to move and ${percent(firm.hold_use)} to hold.`,
        'Travels are from home, each alone with the others held. Every design was read, checked and judged again by what “check”, “reach” and “load” use.',
        ...(must.follow
          ? [
              `Torque is the most that ${must.follow.name} takes of a leg or a designed joint, as the stream is written, before limits slow it.`,
            ]
          : []),
        ...(must.built_within_mm > 0
          ? [
              `As built: with every joint off by ${short(must.built_within_mm, 2)} mm in each direction (one standard deviation), 95 of 100 platforms go at least so far of what was asked.`,
            ]
          : []),
        `Collisions are between simple bodies${clearance.assumed.length > 0 ? `; as usual, not measured: ${clearance.assumed.join(', ')}` : ''}.`,
        'Masses are the given rig’s: other servos, cranks and rods weigh something else.',
        ...alone.map((words) => `Left alone: ${words}. It is not designed here.`),
        ...front.dropped.map(
          ({ because, designs }) => `${counted(designs, 'design')} dropped by the library: ${because}.`,
        ),
        `Seed ${String(seed)}: the same search finds the same designs.${complete ? '' : ' It was stopped before all of it was done.'}`,
      ].map(kept),
    )}
    ${SAFETY}
  </section>`;
}
