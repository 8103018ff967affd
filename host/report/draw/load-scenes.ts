/** The prop from the side where its servos have most to do: holding, within the soft limits; and along a stream. */
import type { JointLoad, LoadAnswer } from '../../load/result.ts';
import { effortWords, placeWords } from '../../load/words.ts';
import type { Posture } from '../../physics/dynamics/places.ts';
import type { Rig } from '../../rig/rig.ts';
import type { StoredStream } from '../../stream/stored.ts';
import { figure, kept, percent } from './figures.ts';
import { postureAlong, postureAtPlace } from './load-place.ts';
import { type Markup, markup } from './markup.ts';
import { type Drawing, outlinePoints, propSide, whereStopped } from './prop.ts';
import { type Frame, propSvg } from './scene.ts';

/** A moment to draw: who has most to do, and where the rig stands. */
interface Moment {
  readonly joint: JointLoad;
  readonly at: Posture;
  readonly title: string;
  /** Words beside the ring; null: it is within its limits, and not marked. */
  readonly ringed: string | null;
  readonly caption: string;
  readonly foot: string;
}

const most = (joints: readonly JointLoad[], of: (joint: JointLoad) => number | null): JointLoad | undefined =>
  joints.reduce<JointLoad | undefined>(
    (best, joint) => ((of(joint) ?? -1) > ((best && of(best)) ?? -1) ? joint : best),
    undefined,
  );

/** Where a servo has most to hold. */
function holding(rig: Rig, { joints }: LoadAnswer): Moment | null {
  const joint = most(joints, ({ worst }) => (worst.loose ? Infinity : (worst.use ?? null)));
  const at = joint && postureAtPlace(rig, joint.worst.at);
  if (!joint || !at) return null;
  const { worst, unit, name, continuous_use } = joint;
  const place = placeWords(worst.at);
  const title = 'Hardest to hold';
  if (worst.loose || worst.use === null || worst.effort === null) {
    const caption = `Near ${place} the plate hangs loose: no torque of its servos holds it there.`;
    return { joint, at, title, ringed: `${name}: hangs loose`, caption, foot: 'holding' };
  }
  const long =
    worst.use > 1
      ? ', more than there is'
      : worst.use > continuous_use
        ? `; its continuous limit is ${percent(continuous_use)}`
        : '';
  const where = place === 'home' ? 'at home' : `at ${place}`;
  const untold = joints.some((one) => !one.worst.loose && one.worst.use === null)
    ? ', of those with known figures,'
    : '';
  const caption = `${name}${untold} has most to hold ${where}: ${effortWords(worst.effort, unit)}, ${percent(worst.use)} of what its servo has${long}. Found by search within the soft limits.`;
  const ringed = worst.use > continuous_use ? `${name}: ${percent(worst.use)} to hold` : null;
  return { joint, at, title, ringed, caption, foot: 'holding' };
}

/** When a stream asks most of a servo. */
function moving(rig: Rig, { joints }: LoadAnswer, stream: StoredStream): Moment | null {
  const joint = most(joints, ({ along }) => (along?.impossible ? Infinity : (along?.use ?? null)));
  const along = joint?.along;
  const at = along && postureAlong(rig, stream, along.at_s);
  if (!joint || !along || !at) return null;
  const { name, unit } = joint;
  const when = figure(along.at_s, 's', 2);
  const speed = figure(Math.abs(along.speed), `${unit}/s`, 0);
  const rest = { joint, at, title: 'Hardest to move', foot: `at ${when}` };
  if (along.impossible)
    return {
      ...rest,
      ringed: `${name}: too fast`,
      caption: `At ${when} ${name} is asked for ${speed}, faster than its servo can go, even without load.`,
    };
  const use = percent(along.use ?? 0);
  const caption = `${name} works hardest at ${when}: ${effortWords(along.effort, unit)} at ${speed}, ${use} of what its servo has at that speed.`;
  return { ...rest, ringed: (along.use ?? 0) > joint.peak_use ? `${name}: ${use} to move` : null, caption };
}

/** Home, where it differs. */
function behind(rig: Rig, answer: LoadAnswer, now: readonly Drawing[]): Drawing[] {
  const home = postureAtPlace(rig, answer.at);
  if (!home) return [];
  return propSide(rig, home.q, home.pose)
    .filter(({ role }) => role === 'plate' || role === 'part')
    .filter((was) => {
      const same = now.find(({ name, role }) => name === was.name && role === was.role);
      const [p, q] = [outlinePoints(was), same ? outlinePoints(same) : []];
      return p.some(([x, z], i) => Math.hypot(x - (q[i]?.[0] ?? Infinity), z - (q[i]?.[1] ?? 0)) > 0.2);
    });
}

function sceneOf(
  rig: Rig,
  answer: LoadAnswer,
  { joint, at, title, ringed, foot }: Moment,
  frame: Frame,
): Markup | null {
  const now = propSide(rig, at.q, at.pose);
  const worst_joint = { name: joint.name, error: 0, past: 0, unit: joint.unit };
  const where = whereStopped(rig, { delivered: [...at.q], delivered_pose: at.pose, stopped_by: null, worst_joint });
  const said = `The prop from the side where it is ${title.toLowerCase()}`;
  return propSvg(
    rig,
    {
      now,
      was: behind(rig, answer, now),
      ring: ringed === null ? null : { words: ringed, at: where },
      said,
      foot: `${foot}, looks this way →`,
    },
    frame,
  );
}

/** Beside another, alone with its words beside it, and on a phone. */
const PAIRED = { width: 452, tallest: 400 };
const ALONE = { width: 620, tallest: 460 };
const NARROW = { width: 358, tallest: 380 };

function momentFigure(rig: Rig, answer: LoadAnswer, moment: Moment, isAlone: boolean): Markup {
  const [wide, narrow] = [isAlone ? ALONE : PAIRED, NARROW].map((frame) => sceneOf(rig, answer, moment, frame));
  const words = markup`<figcaption><h3>${moment.title}</h3><p>${kept(moment.caption)}</p></figcaption>`;
  if (!wide || !narrow) return markup`<figure>${words}</figure>`;
  const scene = markup`<div class="scene"><div class="wide">${wide}</div><div class="narrow">${narrow}</div></div>`;
  return isAlone ? markup`<figure class="worst">${scene}${words}</figure>` : markup`<figure>${scene}${words}</figure>`;
}

function ringWords(moments: readonly Moment[]): string {
  const ringed = moments.filter(({ ringed }) => ringed !== null).length;
  return ringed === 0
    ? 'no servo with known figures is asked for more than it should be.'
    : 'the ring marks a joint that is asked for more than it should be.';
}

/** The section; null: neither is known. */
export function scenesSection(rig: Rig, answer: LoadAnswer, stream: StoredStream | null): Markup | null {
  const moments = [holding(rig, answer), stream && moving(rig, answer, stream)].filter((one) => one !== null);
  if (moments.length === 0) return null;
  const isAlone = moments.length === 1;
  const figures = moments.map((moment) => momentFigure(rig, answer, moment, isAlone));
  return markup`<section id="worst">
    <h2>Where its servos work hardest</h2>
    <p class="lead">From its right side; dashed is ${kept(placeWords({ ...answer.at, joints: {} }))}, ${ringWords(moments)}</p>
    ${isAlone ? figures : markup`<div class="pair">${figures}</div>`}
  </section>`;
}
