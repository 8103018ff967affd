/** The page of `reach`: how far the prop goes in figures, as pictures and as maps, and what would make it go further. */
import { axisOf } from '../reach/axes.ts';
import type { ReachAnswer } from '../reach/result.ts';
import { axisSentences, costSentences } from '../reach/strongest.ts';
import { POOR, boxWords, firmWords, isSoft, placeWords, unsureWords } from '../reach/words.ts';
import type { Verdict, Word } from '../replay/verdict.ts';
import { POSE_KEYS, type Pose, type Rig } from '../rig/rig.ts';
import { figure, kept } from './draw/figures.ts';
import { markup } from './draw/markup.ts';
import type { Markup } from './draw/markup.ts';
import { htmlPage, verdictCard } from './page.ts';
import { endsSection } from './draw/reach-ends.ts';
import { HATCHES, planeChart, planeKeys } from './draw/reach-plane.ts';
import { REACH_STYLE } from './reach-style.ts';
import { changeTable, travelTable } from './reach-tables.ts';
import { SAFETY, list } from './reading.ts';
import { capital } from '../rig/words.ts';

function held(answer: ReachAnswer): Verdict {
  const soft = answer.axes.some((way) => isSoft(way.minus_firmness) || isSoft(way.plus_firmness));
  const word: Word = answer.condition === null ? 'no' : soft || answer.condition > POOR ? 'mostly' : 'yes';
  return { question: 'Is it held firmly?', word, because: `${capital(firmWords(answer))}.` };
}

function wanted({ box }: ReachAnswer): Verdict | null {
  if (!box) return null;
  const word: Word = box.share === 1 ? 'yes' : box.share >= 0.95 ? 'mostly' : 'no';
  const ranges = box.ranges.map(({ axis, unit, from, to }) => `${axis} ${String(from)} to ${String(to)} ${unit}`);
  return { question: kept(`Can it get there: ${ranges.join(', ')}?`), word, because: `${capital(boxWords(box))}.` };
}

function head(answer: ReachAnswer): Markup {
  const box = wanted(answer);
  return markup`<header id="verdict">
    <h1>${answer.rig}: how far it goes</h1>
    <p class="lead">
      From ${placeWords(answer)}, one axis at a time with the others held, until something stops it.
      At home the plates are ${figure(answer.home_z_mm, 'mm', 2)} apart.
    </p>
    <dl class="verdicts">${verdictCard(held(answer))}${box ? verdictCard(box) : null}</dl>
  </header>`;
}

const travelSection = (answer: ReachAnswer): Markup =>
  markup`<section id="travel">
    <h2>How far, and what stops it there</h2>
    <p class="lead">Bars in mm are drawn to one scale, bars in degrees to another.</p>
    ${travelTable(answer.axes)}
    ${answer.warnings.length > 0 ? markup`<ul class="beware">${answer.warnings.map((words) => markup`<li>${kept(words)}</li>`)}</ul>` : null}
  </section>`;

const valueAt = ({ at }: ReachAnswer, name: string): number => at[POSE_KEYS[axisOf(name) ?? 0] ?? ''] ?? 0;

function planesSection(answer: ReachAnswer): Markup | null {
  const { planes } = answer;
  if (planes.length === 0) return null;
  const figures = planes.map(
    (plane) =>
      markup`<figure>
        ${planeChart(plane, [valueAt(answer, plane.axes[0]), valueAt(answer, plane.axes[1])])}
      </figure>`,
  );
  return markup`<section id="maps">
    <h2>Two axes at once</h2>
    <p class="lead">
      Inside the line the pose is in reach; outside, the hatching says what
      stops it, and the names along the line say which leg. The other axes are held.
      A soft limit is a joint’s limit_deg or limit_mm in the rig file.
    </p>
    ${HATCHES}${planeKeys(planes, placeWords(answer))}
    <div class="planes">${figures}</div>
  </section>`;
}

function furtherSection(answer: ReachAnswer): Markup | null {
  const { changes, axes } = answer;
  if (!changes) return null;
  const sentences = axes.flatMap((travel) => axisSentences(travel, changes)).map((words) => kept(`${words}.`));
  return markup`<section id="further">
    <h2>What would make it go further</h2>
    ${list(sentences)}
    <h3>What that costs</h3>
    ${list(costSentences(answer).map((words) => kept(`${capital(words)}.`)))}
    <h3>Every dimension, changed by one step</h3>
    <p class="lead">
      By how much the whole travel along each axis, from negative to positive, grows or shrinks.
    </p>
    ${changeTable(changes, axes)}
  </section>`;
}

const restsSection = (answer: ReachAnswer): Markup =>
  markup`<section id="rests">
    <h2>What it is based on</h2>
    ${list([
      ...answer.rests_on.map((words) => `${capital(words)}.`),
      ...answer.unsure.map((words) => kept(`${capital(unsureWords(words))}.`)),
      'Travel ends at the first stop: poses that could be reached again beyond it do not count. A map and a box judge each pose by itself, not the way to it.',
      'The condition number compares how firmly the plate is held in its firmest and in its least firm direction (the largest over the smallest singular value of the Jacobian, with lengths divided by the plate’s radius): 1 is ideal. All six legs are taken as equally stiff, rods and plates as rigid.',
      'This is geometry only: “posewright load” says whether the servos can carry the weight there. Try the ends of travel by hand, slowly, before a show relies on them.',
    ])}
    ${SAFETY}
  </section>`;

/** The whole page as text; `at` is the pose that the answer is counted from. */
export function renderReachReport(rig: Rig, at: Pose, answer: ReachAnswer): string {
  return htmlPage(
    `${answer.rig}: how far it goes`,
    markup`${head(answer)} ${travelSection(answer)}
      ${endsSection(rig, at, answer.axes, placeWords(answer))} ${planesSection(answer)}
      ${furtherSection(answer)} ${restsSection(answer)}`,
    REACH_STYLE,
  );
}
