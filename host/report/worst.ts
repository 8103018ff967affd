/** Section 2, the first picture: the worst instant with what the keys mean and how far the prop is from what was asked. */
import { poseDistance } from '../physics/pose-distance.ts';
import type { Answer, Instant, Replay } from '../replay/result.ts';
import { toDeg, type Rig } from '../rig/rig.ts';
import { figure, within } from './figures.ts';
import { markup } from './markup.ts';
import type { Markup } from './markup.ts';
import { sceneSvg } from './scene.ts';
import { SMOOTH_WITHIN, causeWords, withinTolerance } from '../replay/verdict.ts';

const WIDE = { width: 620, tallest: 480 };
const NARROW = { width: 358, tallest: 400 };

/** What stops it, or who is behind, in few words; null when it follows. */
export function stoppedWords(answer: Answer, { stopped_by, worst_joint }: Instant): string | null {
  if (stopped_by) return `${stopped_by.joint}: ${causeWords(stopped_by.cause)}`;
  if (!worst_joint || (withinTolerance(answer) && Math.abs(worst_joint.error) <= SMOOTH_WITHIN)) return null;
  return `${worst_joint.name}: ${figure(Math.abs(worst_joint.error), worst_joint.unit)} behind`;
}

/** In deg or mm: less is not being behind. */
const WORTH_SAYING = 0.05;

/** The caption in sentences. */
export function worstWords(answer: Answer, instant: Instant): string {
  const when = `At ${figure(instant.at_s, 's', 2)}, its worst instant,`;
  if (!instant.delivered_pose) return `${when} the prop’s place could not be told from its joints.`;
  const { mm, rad } = poseDistance(instant.asked_pose, instant.delivered_pose);
  const distance = `${within(mm, 'mm')} and ${within(toDeg(rad), 'deg')}`;
  if (stoppedWords(answer, instant) === null && withinTolerance(answer)) {
    return `${when} it is within ${distance} of where it was asked to be: it follows within tolerance.`;
  }
  const { worst_joint: worst, stopped_by: stop } = instant;
  const behind =
    worst && Math.abs(worst.error) >= WORTH_SAYING
      ? ` The joint furthest behind is ${worst.name}, by ${figure(Math.abs(worst.error), worst.unit, 2)}.`
      : '';
  const because = stop ? ` What stops it is ${stop.joint}: ${causeWords(stop.cause)}.` : '';
  const plate = withinTolerance(answer) ? `the moving plate is within ${distance} of` : `it is ${distance} from`;
  return `${when} ${plate} where it was asked to be.${because}${behind}`;
}

const key = (sample: Markup, words: string): Markup =>
  markup`<li>
    <svg viewBox="0 0 34 16" aria-hidden="true">${sample}</svg><span>${words}</span>
  </li>`;

const keys = (stopped: boolean): Markup =>
  markup`<ul class="keys">
    ${key(markup`<g class="now"><path class="part" d="M2 14Q17 -8 32 14Z"/></g>`, 'delivered: where it was')}
    ${key(markup`<g class="was"><path d="M2 14Q17 -8 32 14Z"/></g>`, 'asked: where it should be')}
    ${key(markup`<g class="now"><path class="crank" d="M4 13L12 4"/><path class="rod" d="M12 4H32"/></g>`, 'crank and rod')}
    ${key(markup`<g class="now"><circle class="pivot" cx="17" cy="8" r="5"/></g>`, 'pivot of an axis')}
    ${stopped ? key(markup`<circle class="ring" cx="17" cy="8" r="6.5"/>`, 'what stops it') : null}
  </ul>`;

/** The section; a rig with nothing placed in space gets the words alone. */
export function worstSection(rig: Rig, { answer, traces }: Replay): Markup {
  const stopped = stoppedWords(answer, traces.worst);
  const words = worstWords(answer, traces.worst);
  const [wide, narrow] = [WIDE, NARROW].map((frame) => sceneSvg(rig, traces.worst, stopped, frame));
  if (!wide || !narrow) {
    return markup`<section id="worst">
      <h2>The worst instant</h2>
      <p>
        ${words} The rig file gives no joint a place in space, so there is no
        picture.
      </p>
    </section>`;
  }
  return markup`<section id="worst">
    <h2>The worst instant</h2>
    <figure class="worst">
      <div class="scene">
        <div class="wide">${wide}</div>
        <div class="narrow">${narrow}</div>
      </div>
      <figcaption>
        <p>${words}</p>
        ${keys(stopped !== null)}
      </figcaption>
    </figure>
  </section>`;
}
