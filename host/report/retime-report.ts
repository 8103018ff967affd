/** The page of `retime`: what was slowed and by how much, what the joints were asked for and are asked for now. */
import { effortOf } from '../replay/words.ts';
import type { RetimeAnswer, RetimedJoint } from '../retime/result.ts';
import type { Retimed } from '../retime/retime.ts';
import {
  paceWords,
  besideLimit,
  canItFollow,
  fittedWords,
  isUnchanged,
  keptWords,
  lengthsWords,
  mostChanged,
  noiseWords,
  placeWords,
  smoothedWords,
  tempoWords,
  softenedWords,
  usedWords,
} from '../retime/words.ts';
import { PLUS_MINUS_NOTE, UNKNOWN } from '../rig/terms.ts';
import { capital } from '../rig/words.ts';
import { count, kept, number } from './draw/figures.ts';
import { type Markup, markup } from './draw/markup.ts';
import { stretchStrip } from './draw/stretch-strip.ts';
import { htmlPage, verdictCard, fileName } from './page.ts';
import { SAFETY, list } from './reading.ts';

/** What only this page needs beside the common style. */
const STYLE = `
.stretched { max-width: 900px; }
.bar-of-time { fill: var(--edge); fill-opacity: .35; }
.slower { fill: var(--asked); }
.faster { fill: var(--delivered); }
.between { opacity: .35; }
.beat { fill: none; stroke: var(--ink); stroke-width: 1.2; }
.retimed .was { color: var(--soft); }
@media screen and (max-width: 860px) {
  .retimed td:first-of-type { grid-column: auto; }
  .retimed tr { grid-template-columns: repeat(2, minmax(0, 1fr)); }
}
@media screen and (max-width: 600px) {
  .retimed tr { grid-template-columns: minmax(0, 1fr); gap: 8px; }
}
`;

const WIDE = 860;
const NARROW = 358;
const MOST_PLACES = 12;

function head(answer: RetimeAnswer): Markup {
  const verdict = canItFollow(answer);
  const unchanged = answer.ok
    ? 'Nothing was changed: it could follow as it is.'
    : 'Nothing was changed: slowing it would not help.';
  const lead = isUnchanged(answer) ? unchanged : `${lengthsWords(answer)}.`;
  return markup`<header id="verdict">
    <h1>${fileName(answer.stream)} for ${answer.rig}</h1>
    <p class="lead">${kept(lead)} Calculated, not played: nothing here has run on a board or on a real prop.</p>
    <dl class="verdicts">${verdictCard({ ...verdict, because: `${capital(verdict.because)}.` })}</dl>
  </header>`;
}

const key = (kind: string, words: string): Markup =>
  markup`<li><svg viewBox="0 0 34 16" aria-hidden="true"><path class="${kind}" d="M2 3H32V13H2Z"/></svg><span>${words}</span></li>`;

const beatKey = markup`<li><svg viewBox="0 0 34 16" aria-hidden="true"><path class="beat" d="M17 1V15"/></svg><span>a time that had to stay</span></li>`;

function stripSection({ answer, traces, stream }: Retimed): Markup {
  const start_s = stream.time(0);
  return markup`<section id="stretched">
    <h2>Where time was stretched</h2>
    <p class="lead">
      Above, the stream as it was; below, as it is now; both on the same time scale. Drawn is the joint nearest to one of its limits, whether
      speed, acceleration (plus is upward, minus downward) or servo torque; the dashed line is that limit, and hatched is beyond it. The
      scale ends at two and a half times the limit.
    </p>
    <div class="wide">${stretchStrip(answer, traces, start_s, WIDE)}</div>
    <div class="narrow">${stretchStrip(answer, traces, start_s, NARROW)}</div>
    <ul class="keys">${key('slower', 'takes longer than before: the darker, the longer')}${answer.hurried.length > 0 ? key('faster', 'plays faster, to recover lost time') : null}${answer.kept.length > 0 ? beatKey : null}</ul>
  </section>`;
}

function placesSection(answer: RetimeAnswer): Markup | null {
  const [slowed, more] = mostChanged(answer.slowed, MOST_PLACES);
  const [hurried] = mostChanged(answer.hurried, MOST_PLACES);
  // Names of joints and axes stay as they are.
  const sentences = [
    ...smoothedWords(answer).map(capital),
    ...answer.fitted.map(fittedWords),
    ...tempoWords(answer),
    ...answer.softened.map(softenedWords),
    ...[
      ...slowed.map(placeWords),
      ...(more > 0 ? [`and ${count(more, 'more passage')} that cost less`] : []),
      ...hurried.map(placeWords),
      ...paceWords(answer),
      ...keptWords(answer),
    ].map(capital),
    ...noiseWords(answer),
  ];
  if (sentences.length === 0) return null;
  return markup`<section id="places"><h2>What was changed</h2>${list(sentences.map((words) => kept(`${words}.`)))}</section>`;
}

interface Cell {
  readonly head: string;
  readonly value: Markup;
}

function cellsOf(joint: RetimedJoint): Cell[] {
  const changed = (head: string, key: 'speed' | 'plus' | 'minus', per: string): Cell => {
    const [was, is, limit] = [
      joint.before[key],
      besideLimit(joint.after[key], joint.limits[key]),
      joint.limits[key],
    ].map((value) => number(value, 0));
    const unit = `${joint.unit}/${per}`;
    const value = markup`<span class="was">${was ?? ''} →</span> ${kept(`${is ?? ''} of ${limit ?? ''} ${unit}`)}`;
    return { head, value };
  };
  const used = usedWords(joint);
  return [
    changed('top speed', 'speed', 's'),
    changed('plus', 'plus', 's²'),
    changed('minus', 'minus', 's²'),
    {
      head: `${effortOf([joint])} used`,
      value: used ? markup`<span class="was">${used[0]} →</span> ${kept(used[1])}` : markup`${UNKNOWN}`,
    },
  ];
}

function jointRow(joint: RetimedJoint): Markup {
  const cells = cellsOf(joint).map(
    ({ head, value }) =>
      markup`<td role="cell"><span class="head" aria-hidden="true">${head}</span><span class="value">${value}</span></td>`,
  );
  return markup`<tr role="row"><th role="rowheader" scope="row">${joint.name}</th>${cells}</tr>`;
}

function jointsSection({ joints }: RetimeAnswer): Markup | null {
  const moving = joints.filter(({ before }) => before.speed > 0);
  if (moving.length === 0) return null;
  const heads = ['joint', 'top speed', 'plus', 'minus', `${effortOf(moving)} used`];
  return markup`<section id="joints">
    <h2>The joints, before and after</h2>
    <p class="lead">The largest figures along the whole stream, each with its limit. ${PLUS_MINUS_NOTE} ${capital(effortOf(moving))} used is the share of what the servo can give at that speed.</p>
    <table role="table" class="joints retimed">
      <thead role="rowgroup"><tr role="row">${heads.map((words) => markup`<th role="columnheader" scope="col">${words}</th>`)}</tr></thead>
      <tbody role="rowgroup">${moving.map(jointRow)}</tbody>
    </table>
  </section>`;
}

const restsSection = ({ gaps }: RetimeAnswer): Markup =>
  markup`<section id="rests">
    <h2>What it is based on</h2>
    ${list([
      'Every tick of the new stream was checked as the controller plays it: speeds and accelerations are differences from tick to tick.',
      'Torque is calculated for rigid bodies and servos whose torque falls in a straight line from stall to no-load speed; friction counts where the file gives friction_nm; play and bending are left out. Test the margins on the real prop.',
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
