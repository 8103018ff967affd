/** The page of `retime`: what was slowed and by how much, what the joints were asked for and are asked for now. */
import type { RetimeAnswer, RetimedJoint } from '../retime/result.ts';
import type { Retimed } from '../retime/retime.ts';
import {
  besideLimit,
  canItFollow,
  fittedWords,
  isUnchanged,
  keptWords,
  lengthsWords,
  mostChanged,
  noiseWords,
  percentWords,
  placeWords,
  usedBefore,
} from '../retime/words.ts';
import { count, kept, number } from './figures.ts';
import { type Markup, markup } from './markup.ts';
import { htmlPage, verdictCard } from './page.ts';
import { SAFETY, list } from './reading.ts';
import { stretchStrip } from './stretch-strip.ts';

/** What only this page needs beside the common style. */
const STYLE = `
.stretched { max-width: 900px; }
.bar-of-time { fill: var(--edge); fill-opacity: .35; }
.slower { fill: var(--asked); }
.faster { fill: var(--delivered); }
.between { opacity: .35; }
.beat { fill: none; stroke: var(--ink); stroke-width: 1.2; }
.retimed td { white-space: nowrap; }
.retimed .was { color: var(--soft); }
@media screen and (max-width: 860px) { .retimed { display: block; overflow-x: auto; } }
`;

const WIDE = 860;
const NARROW = 358;
const MOST_PLACES = 12;

const capital = (words: string): string => `${words.slice(0, 1).toUpperCase()}${words.slice(1)}`;
const fileName = (path: string): string => path.split(/[\\/]/).at(-1) ?? path;

function head(answer: RetimeAnswer): Markup {
  const verdict = canItFollow(answer);
  const lead = isUnchanged(answer) ? 'Nothing was changed: it could follow as it is.' : `${lengthsWords(answer)}.`;
  return markup`<header id="verdict">
    <h1>${fileName(answer.stream)} for ${answer.rig}</h1>
    <p class="lead">${kept(lead)} Worked out, not played: nothing here has run on a board or on metal.</p>
    <dl class="verdicts">${verdictCard({ ...verdict, because: `${capital(verdict.because)}.` })}</dl>
  </header>`;
}

const key = (kind: string, words: string): Markup =>
  markup`<li><svg viewBox="0 0 34 16" aria-hidden="true"><path class="${kind}" d="M2 3H32V13H2Z"/></svg><span>${words}</span></li>`;

const beatKey = markup`<li><svg viewBox="0 0 34 16" aria-hidden="true"><path class="beat" d="M17 1V15"/></svg><span>a time that was to stay</span></li>`;

function stripSection({ answer, traces, stream }: Retimed): Markup {
  const start_s = stream.time(0);
  return markup`<section id="stretched">
    <h2>Where time was stretched</h2>
    <p class="lead">
      Above, the stream as it was; below, as it is; both on one scale of time. The dashed line is the limit, of speed, plus, minus or
      of what a servo may give; more than two and a half times a limit is drawn as that.
    </p>
    <div class="wide">${stretchStrip(answer, traces, start_s, WIDE)}</div>
    <div class="narrow">${stretchStrip(answer, traces, start_s, NARROW)}</div>
    <ul class="keys">${key('slower', 'takes longer than it did: the darker, the more')}${answer.hurried.length > 0 ? key('faster', 'plays faster, to make good') : null}${answer.kept.length > 0 ? beatKey : null}</ul>
  </section>`;
}

function placesSection(answer: RetimeAnswer): Markup | null {
  const [slowed, more] = mostChanged(answer.slowed, MOST_PLACES);
  const [hurried] = mostChanged(answer.hurried, MOST_PLACES);
  const sentences = [
    ...slowed.map(placeWords),
    ...(more > 0 ? [`and ${count(more, 'place')} more that cost less`] : []),
    ...hurried.map(placeWords),
    ...keptWords(answer),
    ...noiseWords(answer),
  ];
  if (sentences.length + answer.fitted.length === 0) return null;
  return markup`<section id="places"><h2>What was changed</h2>${list([...answer.fitted.map(fittedWords), ...sentences.map(capital)].map((words) => kept(`${words}.`)))}</section>`;
}

function jointRow(joint: RetimedJoint): Markup {
  const cell = (key: 'speed' | 'plus' | 'minus', per: string): Markup =>
    markup`<td><span class="was">${number(joint.before[key], 0)} →</span> ${number(besideLimit(joint.after[key], joint.limits[key]), 0)} of ${kept(`${number(joint.limits[key], 0)} ${joint.unit}/${per}`)}</td>`;
  const use = [usedBefore(joint), percentWords(joint.after.use), percentWords(joint.limits.use)];
  return markup`<tr><th scope="row">${joint.name}</th>${cell('speed', 's')}${cell('plus', 's²')}${cell('minus', 's²')}
    <td><span class="was">${use[0] ?? ''} →</span> ${use[1] ?? ''} of ${kept(`${use[2] ?? ''} %`)}</td></tr>`;
}

const jointsSection = ({ joints }: RetimeAnswer): Markup =>
  markup`<section id="joints">
    <h2>The joints, before and after</h2>
    <p class="lead">The largest figures along the whole stream, each beside its limit. Servo used: the share of its torque at that speed.</p>
    <table class="retimed">
      <thead><tr>${['joint', 'top speed', 'plus', 'minus', 'servo used'].map((words) => markup`<th scope="col">${words}</th>`)}</tr></thead>
      <tbody>${joints.filter(({ before }) => before.speed > 0).map(jointRow)}</tbody>
    </table>
  </section>`;

const restsSection = ({ gaps }: RetimeAnswer): Markup =>
  markup`<section id="rests">
    <h2>What it rests on</h2>
    ${list([
      'Every tick of the new stream was looked at as the controller plays it: speeds and accelerations are differences from tick to tick.',
      'Torque is that of rigid bodies on a straight servo line, from stall to no-load speed; friction, play and what rods bend are not in it. Margins need a real test.',
      ...gaps.map((words) => kept(`${capital(words)}.`)),
    ])}
    ${SAFETY}
  </section>`;

/** The whole page as text. */
export function renderRetimeReport(retimed: Retimed): string {
  const { answer } = retimed;
  return htmlPage(
    `${fileName(answer.stream)} for ${answer.rig}`,
    markup`${head(answer)} ${stripSection(retimed)} ${placesSection(answer)} ${jointsSection(answer)} ${restsSection(answer)}`,
    STYLE,
  );
}
