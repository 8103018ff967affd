/** The page of `load`: can it carry it, hold it and move it, at what current; how it swings, and what weight is to spare. */
import { UNKNOWN } from '../rig/terms.ts';
import type { JointLoad, LoadAnswer, Room } from '../load/result.ts';
import {
  carryWords,
  easiestWords,
  getThereWords,
  placeWords,
  powerWords,
  restsWords,
  spareLimitWords,
  tellsMostWords,
  troublesWords,
} from '../load/words.ts';
import type { Told } from '../replay/verdict.ts';
import { neededWords, sagWords } from '../load/sizing-words.ts';
import type { Rig } from '../rig/rig.ts';
import { together, capital } from '../rig/words.ts';
import type { StoredStream } from '../stream/stored.ts';
import { figure, kept, number, percent } from './draw/figures.ts';
import { loadBars } from './draw/load-bars.ts';
import { postureAtPlace } from './draw/load-place.ts';
import { scenesSection } from './draw/load-scenes.ts';
import { LOAD_STYLE } from './load-style.ts';
import { type Markup, markup } from './draw/markup.ts';
import { modesSection } from './draw/mode-figures.ts';
import { htmlPage, verdictCard, fileName } from './page.ts';
import { SAFETY, list } from './reading.ts';
import { supplyBars } from './draw/supply-bars.ts';
import { movingJoints, topUse, useChart } from './draw/use-charts.ts';

const paragraphs = (sentences: readonly string[]): Markup[] =>
  sentences.map((words) => markup`<p>${kept(`${capital(words)}.`)}</p>`);

const placeOf = (answer: LoadAnswer): string => placeWords({ ...answer.at, joints: {} });

function head(answer: LoadAnswer, title: string): Markup {
  const card = (question: string, { verdict, because }: { verdict: Told; because: string }): Markup =>
    verdictCard({ question, word: verdict, because: `${capital(because)}.` });
  const without = answer.without.length === 0 ? '' : `, without ${together(answer.without)}`;
  const along = answer.stream === null ? '' : `, and moving along ${fileName(answer.stream)}`;
  const there = getThereWords(answer);
  const [, ...also] = answer.troubles;
  const easiest = easiestWords(answer);
  const needed = neededWords(answer);
  const more = [
    ...troublesWords(answer, also),
    ...(needed === null ? [] : [`it would take ${needed}`]),
    ...(easiest === null ? [] : [easiest]),
    ...(answer.stopped === null ? [] : [`it cannot move to this pose by itself: ${answer.stopped}`]),
    ...((answer.out_of_reach ?? 0) > 0
      ? [`${percent(answer.out_of_reach ?? 0)} of ${fileName(answer.stream ?? '')} is out of reach, and left out`]
      : []),
  ];
  return markup`<header id="verdict">
    <h1>${title}</h1>
    <p class="lead">What its servos must give, holding at ${kept(placeOf(answer))}${along}${without}. Calculated from the rig file: nothing here has run on a real prop.</p>
    <dl class="verdicts">${there && card('Can it get there?', there)}${card('Can it carry it?', carryWords(answer))}${card('Can you power it?', powerWords(answer))}</dl>
    ${more.length === 0 ? null : markup`<ul class="also">${more.map((words) => markup`<li>${kept(`${capital(words)}.`)}</li>`)}</ul>`}
  </header>`;
}

const key = (sample: Markup, words: string): Markup =>
  markup`<li><svg viewBox="0 0 34 16" aria-hidden="true">${sample}</svg><span>${words}</span></li>`;
const box = (kind: string): Markup => markup`<path class="${kind}" d="M2 3H32V13H2Z"/>`;

const HATCH = markup`<svg class="hatches" width="0" height="0" aria-hidden="true">
  <defs><pattern id="beyond" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path class="hatch-stop" d="M1.2 0V6"/></pattern></defs>
</svg>`;

function sharesOf(joints: readonly JointLoad[], of: (joint: JointLoad) => number): string {
  return [...new Set(joints.map(of))]
    .sort((a, b) => a - b)
    .map((share) => percent(share))
    .join(' or ');
}

function barsSection(rig: Rig, answer: LoadAnswer): Markup {
  const { joints, stream } = answer;
  const sag = sagWords(answer);
  const geared = rig.joints.some(({ gear_ratio }) => gear_ratio !== 1);
  const ticks = `the most that should be used: ${sharesOf(joints, ({ continuous_use }) => continuous_use)} to hold for long (more makes it hot)${stream === null ? '' : `, ${sharesOf(joints, ({ peak_use }) => peak_use)} to move`}`;
  return markup`<section id="loads">
    <h2>How much of each servo is used</h2>
    <p class="lead">The dashed line is 100 %: all the torque the servo has at that speed.${geared ? ' Torques are at the servo, before the gear; speeds are the joint’s.' : ''}</p>
    <ul class="keys across">
      ${key(box('hold'), `to hold at ${kept(placeOf(answer))}`)}${key(box('hold-most'), 'to hold at the hardest pose found within the soft limits')}
      ${stream === null ? null : key(box('move'), 'to move, at its hardest moment')}
      ${key(markup`<path class="most-use" d="M17 1V15"/>`, ticks)}${key(box('beyond'), 'more than the servo has')}
    </ul>
    ${loadBars(answer)}
    ${sag === null ? null : markup`<p class="sag">${kept(`At rest it sags: ${sag}.`)}</p>`}
  </section>`;
}

function timeSection(answer: LoadAnswer, stream: StoredStream | null): Markup | null {
  const { drawn, idle } = movingJoints(answer);
  if (!stream || answer.stream === null || drawn.length + idle.length === 0) return null;
  const span = [stream.time(0), stream.time(stream.count - 1)] as const;
  const top = topUse(drawn);
  const hardly =
    idle.length === 0
      ? []
      : [
          `${together(idle.map(({ name }) => name))} never use${idle.length === 1 ? 's' : ''} more than ${percent(Math.max(...idle.map(({ along }) => along.use ?? 0)))}`,
        ];
  const unknown = answer.joints
    .filter(({ along }) => along && along.use === null && !along.impossible)
    .map(({ name }) => name);
  const notKnown =
    unknown.length === 0 ? [] : [`${UNKNOWN} for ${together(unknown)}, since a figure of the servo is missing`];
  const torn = drawn.some(({ along }) => (along.use ?? 0) > top) ? `The scale ends at ${percent(top)}.` : '';
  return markup`<section id="time">
    <h2>When it works hardest</h2>
    <p class="lead">For each joint, the share of its servo’s torque that ${fileName(answer.stream)} asks for over time, all at the same scale. The dashed line is 100 %, hatched is beyond it, the thin line marks the hardest moment. ${torn}</p>
    <div class="charts">${drawn.map((joint) => useChart(joint, span, top))}</div>
    ${paragraphs([...hardly, ...notKnown])}
  </section>`;
}

function supplySection(answer: LoadAnswer): Markup {
  const { gives_a, fuse_a, unknown } = answer.supply;
  const bars = supplyBars(answer);
  const power = powerWords(answer);
  if (!bars)
    return markup`<section id="supply"><h2>What it draws</h2><p>${kept(`Unknown: ${power.because}.`)}</p></section>`;
  const line =
    gives_a === null
      ? 'What the supply gives is not in the file.'
      : `The dashed line is what the supply gives, ${number(gives_a, 1)} A.`;
  const fuse = fuse_a === null ? '' : ` The tick is the fuse, ${number(fuse_a, 1)} A.`;
  const least = unknown.length === 0 ? '' : ` Without ${together(unknown)}, whose current is unknown.`;
  return markup`<section id="supply" class="supply">
    <h2>What it draws</h2>
    <p class="lead">${kept(`Current of all servos together. ${line}${fuse}${least} Idle current and electronics are extra.`)}</p>
    ${bars}
  </section>`;
}

const kgWords = (kg: number): string => (kg < 0.0995 ? figure(1000 * kg, 'g', 0) : figure(kg, 'kg', 2));

function roomCell({ kg, runs_out, when, because }: Room): Markup {
  if (kg === null) {
    return because === ''
      ? markup`<td><b>more than you would add</b></td>`
      : markup`<td><b>${UNKNOWN}</b> <span class="beside">${kept(because)}</span></td>`;
  }
  const where = when === '' ? '' : ` ${when}`;
  return kg === 0
    ? markup`<td><b>none</b> <span class="beside">${kept(`${runs_out ?? ''} is at its limit${where}`)}</span></td>`
    : markup`<td><b>${kgWords(kg)}</b> <span class="beside">${kept(`then ${runs_out ?? ''} runs out${where}`)}</span></td>`;
}

function spareSection(answer: LoadAnswer): Markup {
  const { spare, stream } = answer;
  const heads = ['added at', 'when holding', ...(stream === null ? [] : [`when moving along ${fileName(stream)}`])];
  const rows = spare.map(
    ({ at, holding, moving }) =>
      markup`<tr><th scope="row">${at}</th>${roomCell(holding)}${moving && roomCell(moving)}</tr>`,
  );
  const table = markup`<table class="spare">
    <thead><tr>${heads.map((words) => markup`<th scope="col">${words}</th>`)}</tr></thead><tbody>${rows}</tbody></table>`;
  return markup`<section id="spare">
    <h2>How much more it could carry</h2>
    <p class="lead">${kept(`The weight that could be added at one point, ${spareLimitWords(answer)}, and which joint is then at its limit.`)}</p>
    ${spare.length === 0 ? markup`<p>Unknown: nothing that moves has a place in space.</p>` : table}
  </section>`;
}

function restsSection(answer: LoadAnswer): Markup {
  const first = tellsMostWords(answer);
  return markup`<section id="rests">
    <h2>What it is based on</h2>
    ${first === null ? null : markup`<p>${kept(`Measure first: ${first}.`)}</p>`}
    ${list([...restsWords(answer), ...answer.left_out, ...answer.assumed, ...answer.model].map((words) => kept(`${capital(words)}.`)))}
    ${SAFETY}
  </section>`;
}

/** The whole page as text; `stream` is the one that the answer went along. */
export function renderLoadReport(rig: Rig, answer: LoadAnswer, stream: StoredStream | null): string {
  const shown: Rig = { ...rig, parts: rig.parts.filter(({ name }) => !answer.without.includes(name)) };
  const title = `${answer.rig}: what its servos carry`;
  return htmlPage(
    title,
    markup`${HATCH}${head(answer, title)} ${scenesSection(shown, answer, stream)} ${barsSection(rig, answer)}
      ${timeSection(answer, stream)} ${supplySection(answer)}
      ${modesSection(shown, postureAtPlace(rig, answer.at), answer.modes, placeOf(answer))} ${spareSection(answer)} ${restsSection(answer)}`,
    LOAD_STYLE,
  );
}
