/** Section 2, the first picture: the worst instant with what the keys mean and how far the prop is from what was asked. */
import { poseDistance } from '../physics/kinematics/pose-distance.ts';
import type { Answer, Instant, Replay } from '../replay/result.ts';
import { toDeg, type Rig } from '../rig/rig.ts';
import { figure, within } from './draw/figures.ts';
import { markup } from './draw/markup.ts';
import type { Markup } from './draw/markup.ts';
import { whereStopped } from './draw/prop.ts';
import { sceneSvg } from './draw/scene.ts';
import { SMOOTH_WITHIN, VISIBLE, causeWords, withinTolerance } from '../replay/verdict.ts';

const WIDE = { width: 620, tallest: 480 };
const NARROW = { width: 358, tallest: 400 };

/** `is 1.61 deg behind`, or how far it is past everything asked, and from what is asked now. */
function offWords({ error, past, unit }: NonNullable<Instant['worst_joint']>): string {
  const off = figure(Math.abs(error), unit, 2);
  if (!(past >= VISIBLE)) return `is ${off} behind`;
  const beyond = figure(past, unit, 2);
  return `is ${beyond} past everything asked of it${beyond === off ? '' : `, and ${off} from what is asked now`}`;
}

/** What stops it, or who is past or behind, in few words; null when it follows. */
export function stoppedWords(answer: Answer, { stopped_by, worst_joint }: Instant): string | null {
  if (stopped_by) return `${stopped_by.joint}: ${causeWords(stopped_by.cause)}`;
  if (!worst_joint || (withinTolerance(answer) && Math.abs(worst_joint.error) <= SMOOTH_WITHIN)) return null;
  const { name, error, past, unit } = worst_joint;
  return past >= VISIBLE ? `${name}: ${figure(past, unit)} past` : `${name}: ${figure(Math.abs(error), unit)} behind`;
}

/** How far the plate is from its pose; null without a platform, or when its joints do not tell. */
function plateDistance({ asked_pose, delivered_pose }: Instant): string | null {
  if (!delivered_pose) return null;
  const { mm, rad } = poseDistance(asked_pose, delivered_pose);
  return `${within(mm, 'mm')} and ${within(toDeg(rad), 'deg')}`;
}

/** The caption in sentences. */
export function worstWords({ platform }: Rig, answer: Answer, instant: Instant): string {
  const when = `At ${figure(instant.at_s, 's', 2)}, its worst instant,`;
  const { worst_joint: worst, stopped_by: stop } = instant;
  const off = worst && Math.abs(worst.error) >= VISIBLE ? offWords(worst) : null;
  const distance = platform ? plateDistance(instant) : null;
  if (platform && distance === null) return `${when} no place of the plate fits its six legs.`;
  if (distance !== null && !withinTolerance(answer)) {
    const because = stop ? ` What stops it is ${stop.joint}: ${causeWords(stop.cause)}.` : '';
    const furthest = worst && off ? ` The joint furthest off is ${worst.name}: it ${off}.` : '';
    return `${when} it is ${distance} from where it was asked to be.${because}${furthest}`;
  }
  if (stoppedWords(answer, instant) === null || !worst || !off) {
    return distance === null
      ? `${when} every joint follows within tolerance.`
      : `${when} it is within ${distance} of where it was asked to be: it follows within tolerance.`;
  }
  const plate =
    distance === null
      ? ''
      : ` The moving plate itself is within ${distance} of its pose on ${platform?.on ?? 'the ground'}.`;
  return `${when} ${worst.name} ${off}.${plate}`;
}

const key = (sample: Markup, words: string): Markup =>
  markup`<li>
    <svg viewBox="0 0 34 16" aria-hidden="true">${sample}</svg><span>${words}</span>
  </li>`;

const LEG = markup`<g class="now"><path class="rod" d="M12 4H32"/><path class="crank" d="M4 13L12 4"/></g>`;
const PIVOT = markup`<g class="now"><circle class="pivot" cx="17" cy="8" r="5"/></g>`;

const FACE = markup`<g class="now"><circle class="face" cx="17" cy="8" r="2.6"/></g>`;

const keys = (rig: Rig, ringed: string | null): Markup =>
  markup`<ul class="keys">
    ${key(markup`<g class="now"><path class="part" d="M2 14Q17 -8 32 14Z"/></g>`, 'delivered: where it was')}
    ${key(markup`<g class="was"><path d="M2 14Q17 -8 32 14Z"/></g>`, 'asked: where it should be')}
    ${rig.platform ? key(LEG, rig.platform.drive === 'crank' ? 'crank and rod' : 'actuator') : null}
    ${rig.joints.some(({ axis }) => axis) ? key(PIVOT, 'pivot of an axis') : null}
    ${rig.joints.some(({ at_mm }) => at_mm) ? key(FACE, 'joint on the plate') : null}
    ${ringed === null ? null : key(markup`<circle class="ring" cx="17" cy="8" r="6.5"/>`, ringed)}
  </ul>`;

/** The section; a rig with nothing placed in space gets the words alone. */
export function worstSection(rig: Rig, { answer, traces }: Replay): Markup {
  const stopped = stoppedWords(answer, traces.worst);
  const ringed =
    stopped === null || whereStopped(rig, traces.worst) === null
      ? null
      : traces.worst.stopped_by
        ? 'what stops it'
        : `the joint that is ${(traces.worst.worst_joint?.past ?? 0) >= VISIBLE ? 'past' : 'behind'}`;
  const words = worstWords(rig, answer, traces.worst);
  const [wide, narrow] = [WIDE, NARROW].map((frame) => sceneSvg(rig, traces.worst, stopped, frame));
  if (!wide || !narrow) {
    return markup`<section id="worst">
      <h2>The worst instant</h2>
      <p>
        ${words} The rig file gives nothing a place in space, so there is no
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
        ${keys(rig, ringed)}
      </figcaption>
    </figure>
  </section>`;
}
