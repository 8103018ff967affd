/** The page of `design`: the designs that are left to choose between, or which wish to relax; at the end how they trade off. */
import type { Answer } from '../design/answer.ts';
import { asBuiltWords, doneWords } from '../design/as-built.ts';
import { holdPlaces } from '../design/hold-use.ts';
import { leftAloneWords } from '../design/left-alone.ts';
import { lostWords } from '../design/lost-words.ts';
import { type Shown, alikeOf } from '../design/shown.ts';
import { type AxisWords, type ToBuy, WEIGHTS, pricedWords, toBuy } from '../design/to-buy.ts';
import type { Want } from '../design/want/want.ts';
import { capital, counted, short } from '../rig/words.ts';
import { DESIGN_STYLE } from './design-style.ts';
import { designFigures } from './draw/design-figures.ts';
import { figure, kept, number, percent } from './draw/figures.ts';
import { type Markup, markup } from './draw/markup.ts';
import { tradeChart } from './draw/trade-chart.ts';
import { htmlPage } from './page.ts';
import { SAFETY, list } from './reading.ts';

const NO_BREAK = '\u00a0';

/** The whole page as text. */
export function renderDesignReport(answer: Answer): string {
  const { subject, front } = answer;
  const title = `${subject.want.name}: designs`;
  const body = front.shown.length > 0 ? found(answer) : lost(answer);
  return htmlPage(title, markup`${body} ${restsSection(answer)}`, DESIGN_STYLE);
}

const found = (answer: Answer): Markup => {
  const { subject, front } = answer;
  const many = front.shown.length > 1;
  const none = many ? ` None is better than another in all that counts (${subject.want.better.join(', ')}).` : '';
  return markup`<header id="verdict">
    <h1>${subject.want.name}: ${counted(front.shown.length, 'design')}${many ? ' to choose between' : ''}</h1>
    <p class="lead">${kept(`${doneWords(front.shown, subject.want.must)}.`)}${none} ${searchedWords(answer)} Calculated from the rig file: nothing here has run on a real prop.</p>
  </header>
  ${tableSection(answer)} ${tradeSection(answer)}`;
};

function lost(answer: Answer): Markup {
  const { subject, relaxed, nearest, front } = answer;
  const wishes = relaxed.map(({ words, by, possible }) =>
    kept(`${words}${possible === null ? '' : ` (${percent(by)})`}.`),
  );
  const dropped = front.dropped.map(({ because, designs }) =>
    kept(`${counted(designs, 'design')} dropped: ${because}.`),
  );
  return markup`<header id="verdict">
    <h1>${subject.want.name}: no design does all that was asked</h1>
    <p class="lead">${lostWords(answer)}</p>
    ${list([...wishes, ...nearest.map((own) => kept(`${own}.`)), ...dropped])}
  </header>`;
}

const searchedWords = ({ evaluated, feasible }: Answer): string =>
  `Of ${number(evaluated, 0)} designs that were looked at, ${number(feasible, 0)} do.`;

/** @param beside a line each */
const cell = (head: string, value: string, ...beside: readonly string[]): Markup =>
  markup`<td role="cell"><span class="head">${head}</span><span class="value">${value}</span>${beside.filter((line) => line !== '').map((line) => markup`<span class="beside">${line}</span>`)}</td>`;

function tableSection(answer: Answer): Markup {
  const { shown } = answer.front;
  const { margins } = answer.subject.want;
  const drawings = designFigures(shown.map(({ judged }) => judged.rig));
  const columns = columnsOf(answer);
  const rows = shown.map((own, i) => rowOf(own, i, columns, drawings.figures[i]!, answer));
  const spare = `with ${short(100 * margins.heavier, 0)} % more weight and ${short(100 * margins.less_voltage, 0)} % less voltage`;
  const scale = `the bar is ${figure(drawings.scale_mm, 'mm', 0)} long`;
  return markup`<section id="designs">
    <h2>The designs</h2>
    <p class="lead">Drawn from above at home, all at one scale: ${drawings.of}; ${scale}. ${kept(`Torque and frequency are ${spare}.`)} The link is the rig file.</p>
    <table role="table" class="designs joints">
      <thead role="rowgroup"><tr role="row">${['', ...columns.map(({ head }) => head)].map((head) => markup`<th role="columnheader" scope="col">${head}</th>`)}</tr></thead>
      <tbody role="rowgroup">${rows}</tbody>
    </table>
  </section>`;
}

type WantedAxis = Want['axes'][number];

interface Column {
  readonly head: string;
  readonly cell: (own: Shown) => Markup;
}

const column = (head: string, of: (own: Shown) => readonly [string, ...string[]]): Column => ({
  head,
  cell: (own) => cell(head, ...of(own)),
});

const unbroken = (words: string): string => words.replaceAll(' ', NO_BREAK);

function columnsOf(answer: Answer): Column[] {
  const { subject, front } = answer;
  const { want } = subject;
  const bought = (own: Shown): ToBuy => toBuy(want, own, front.before_nm);
  const priced = front.shown.some(({ judged }) => judged.price !== null) ? pricedWords(want) : '';
  return [
    travelColumn(wantedAxes(answer)),
    column('torque used', ({ judged: { use, hold_use, torque_used, peak_a } }) => [
      percent(torque_used.use),
      kept(`${use === null ? 'to hold: ' : ''}${torque_used.joint}, ${torque_used.where}`),
      use === null ? '' : `${percent(hold_use)} to hold`,
      peak_a === null ? '' : `${figure(peak_a, 'A', 1)} at most`,
    ]),
    column('lowest frequency', ({ judged }) => [figure(judged.lowest_hz, 'Hz', 1)]),
    column('size', ({ judged: { size_mm }, volume_cm3 }) => [
      figure(volume_cm3, 'cm³', 0),
      unbroken(`base ${figure(2 * size_mm.base_radius, 'mm', 0)} wide`),
      unbroken(`plate ${figure(2 * size_mm.plate_radius, 'mm', 0)} wide`),
      unbroken(`${figure(size_mm.height, 'mm', 0)} high`),
    ]),
    partsColumn(bought, priced),
    ...want.axes.map((axis, k) => axisColumn(axis, (own) => bought(own).axes[k]!)),
  ];
}

/** The share of what was asked, then how far along each of these axes. */
const travelColumn = (axes: readonly string[]): Column =>
  column('travel', ({ judged, travel_share, least_axis }) => [
    travel_share === null ? '' : `${percent(travel_share)}, ${least_axis ?? ''}`,
    ...axes.map((name) => {
      const { minus, plus, unit } = judged.travel.find(({ axis }) => axis === name)!;
      return unbroken(`${name} ${number(minus, 1)} … ${figure(plus, unit, 1)}`);
    }),
  ]);

/** @param priced what a price is of; empty: nothing has one */
const partsColumn = (bought: (own: Shown) => ToBuy, priced: string): Column =>
  column('cranks, rods, servos', (own) => {
    const { crank, rod, servo } = bought(own);
    return [
      kept(crank === '' ? rod : `cranks ${crank}`),
      kept(crank === '' ? '' : `rods ${rod}`),
      unbroken(servo),
      ...(priced !== '' ? [own.judged.price === null ? 'no price' : `${priced} ${number(own.judged.price)}`] : []),
    ];
  });

const axisColumn = ({ joint, counterweight: weighed }: WantedAxis, bought: (own: Shown) => AxisWords): Column =>
  column(weighed ? `${joint}: counterweight` : joint, (own) => {
    const { counterweight, gear, servo, holds } = bought(own);
    return [
      counterweight === '' ? '' : kept(counterweight),
      gear === '' ? '' : `gear ${gear}`,
      servo,
      'holds at its hardest',
      holds.replaceAll(' N', `${NO_BREAK}N`),
    ];
  });

/** Names of the axes that something was asked of; without such, all. */
function wantedAxes({ subject, front }: Answer): string[] {
  const all = front.shown[0]?.judged.travel.map(({ axis }) => axis) ?? [];
  const asked = all.filter((_, k) => {
    const { minus, plus } = subject.want.must.travel[k]!;
    return minus < 0 || plus > 0;
  });
  return asked.length > 0 ? asked : all;
}

function rowOf(own: Shown, i: number, columns: readonly Column[], drawing: Markup, { subject, front }: Answer): Markup {
  const { file, why, binds } = own;
  const built = capital(asBuiltWords(front.shown, i, subject.want.must));
  const stands = binds.length === 0 ? '' : `Stands against ${binds.join('; ')}.`;
  const words = kept(`${stands}${built === '' ? '' : ` ${built}.`}`);
  return markup`<tr role="row" class="design">
    <th role="rowheader" scope="row">${drawing}<span class="name">${i + 1} ${capital(why)}</span></th>
    ${columns.map((column) => column.cell(own))}
  </tr>
  <tr role="row" class="more"><td role="cell" colspan="${1 + columns.length}"><a href="${file}">${file}</a> ${words}</td></tr>`;
}

function tradeSection({ subject, front }: Answer): Markup | null {
  if (front.shown.length < 2) return null;
  const objectives = front.shown.map((own) => own.objectives);
  const chart = (width: number): Markup => tradeChart(subject.want.better, objectives, alikeOf(subject.want), width);
  return markup`<section id="trade">
    <h2>Trade-offs</h2>
    <p class="lead">A column for each design, by its number; the higher its mark, the better it is in that row, and a filled mark is the best.</p>
    <figure class="wide">${chart(720)}</figure>
    <figure class="narrow">${chart(340)}</figure>
  </section>`;
}

/** What of the search was not done. */
function partWords({ complete, missing }: Answer): string {
  if (missing.length > 0) return ` Not all that was planned: ${missing.join(', ')}.`;
  return complete ? '' : ' It was stopped before all of it was done.';
}

function restsSection(answer: Answer): Markup {
  const { subject, front, seed } = answer;
  const { margins, must, clearance, firm } = subject.want;
  const alone = leftAloneWords(subject.want, front.shown);
  return markup`<section id="rests">
    <h2>What it is based on</h2>
    ${list(
      [
        `Torque and frequencies are with ${short(100 * margins.heavier, 0)} % more weight and ${short(100 * margins.less_voltage, 0)} % less voltage; at most ${percent(firm.use)} of a servo to move and ${percent(firm.hold_use)} to hold.`,
        `“load” of a design uses no margins and looks everywhere within the soft limits; “to hold” here is ${holdPlaces(subject.want)}. What a joint holds at its hardest is as “load” says, in the given rig and in the design.`,
        `Travels are from home, each alone with the others held, up to where a leg stops or two bodies come nearer than ${figure(clearance.gap_mm, 'mm', 1)}. Every design was read, checked and judged again by what “check”, “reach” and “load” use.`,
        ...(must.follow
          ? [
              `Torque is the most that ${must.follow.name} takes of a leg or a designed joint, as the stream is written, before limits slow it.`,
            ]
          : []),
        ...(must.built_within_mm > 0
          ? [
              `As built: with every joint off by ${short(must.built_within_mm, 2)} mm in each direction (one standard deviation), 95 of 100 platforms go at least so far of what was asked. Bodies are looked at as drawn, not as built.`,
            ]
          : []),
        `Collisions are between simple bodies${clearance.assumed.length > 0 ? `; as usual, not measured: ${clearance.assumed.join(', ')}` : ''}.`,
        ...(subject.want.axes.some(({ counterweight }) => counterweight) ? [`${capital(WEIGHTS)}.`] : []),
        'Height is at home, from the base plate’s face to the moving plate or its rod ends, whichever is higher; “compare” counts from the joints of the base.',
        'Soft limits are as given, or drawn in until, with these margins, the legs hold everywhere within them.',
        'Masses are the given rig’s: other servos, cranks and rods weigh something else.',
        ...alone.map((words) => `Left alone: ${words}.`),
        ...front.dropped.map(
          ({ because, designs }) => `${counted(designs, 'design')} dropped by check, reach or load: ${because}.`,
        ),
        `Seed ${String(seed)}: the same search finds the same designs.${partWords(answer)}`,
      ].map(kept),
    )}
    ${SAFETY}
  </section>`;
}
