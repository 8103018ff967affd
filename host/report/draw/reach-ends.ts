/** Travel as pictures: the prop where each of the twelve ways ends, over where it began, the leg that stops it marked. */
import { extent } from 'd3-array';
import { inverse } from '../../physics/kinematics/inverse.ts';
import { poseAt } from '../../physics/kinematics/travel.ts';
import { AXES, type AxisName, axisOf, fromShown, unitAlong } from '../../reach/axes.ts';
import type { FirmTravel } from '../../reach/result.ts';
import { stopWords, wayWords } from '../../reach/words.ts';
import type { Platform, Pose, Rig } from '../../rig/rig.ts';
import { figure } from './figures.ts';
import { markup } from './markup.ts';
import type { Markup } from './markup.ts';
import { type Drawing, type Role, VIEWS, extentOf, propSide, whereStopped } from './prop.ts';
import { type Placed, drawingSvg } from './scene.ts';
import type { Point } from './silhouette.ts';

type ViewName = keyof typeof VIEWS;

/** From where a motion is seen best. */
const SEEN: Readonly<Record<AxisName, ViewName>> = {
  x: 'side',
  y: 'front',
  z: 'side',
  roll: 'front',
  pitch: 'side',
  yaw: 'above',
};
const SEEN_WORDS: Readonly<Record<ViewName, string>> = {
  side: 'from its right side',
  front: 'from its front',
  above: 'from above',
};

/** The platform and what is on it: bodies that carry it would make it small. */
const SHOWN: readonly Role[] = ['base', 'crank', 'rod', 'plate', 'part'];
const WIDTH = 210;
const HEIGHT = 170;
const EDGE = 14;
const RING = 8;

/** One way: where it begins and ends, both drawn. */
interface End {
  readonly travel: FirmTravel;
  readonly way: 'minus' | 'plus';
  readonly before: readonly Drawing[];
  readonly after: readonly Drawing[];
  /** Where what stops it sits. */
  readonly ring: Point | null;
}

function coordinatesAt(rig: Rig, platform: Platform, pose: Pose): number[] {
  const legs = inverse(platform, pose);
  return rig.joints.map((joint, i) => (joint.kind === 'leg' ? (legs?.[i] ?? joint.home) : joint.home));
}

function endOf(rig: Rig, platform: Platform, at: Pose, travel: FirmTravel, way: 'minus' | 'plus'): End {
  const axis = axisOf(travel.axis) ?? AXES[0];
  const pose = poseAt(at, unitAlong(axis), fromShown(axis, travel[way]));
  const delivered = coordinatesAt(rig, platform, pose);
  const seen = VIEWS[SEEN[travel.axis]];
  const drawn = (coordinates: readonly number[], where: Pose): Drawing[] =>
    propSide(rig, coordinates, where, seen).filter(({ role }) => SHOWN.includes(role));
  const stopped_by = travel[`${way}_stop`];
  const ring =
    stopped_by && whereStopped(rig, { delivered, delivered_pose: pose, stopped_by, worst_joint: null }, seen);
  return {
    travel,
    way,
    before: drawn(coordinatesAt(rig, platform, at), at).filter(({ role }) => role === 'plate' || role === 'part'),
    after: drawn(delivered, pose),
    ring,
  };
}

/** One scale for all, and for each view one place of its middle. */
function placedBy(ends: readonly End[]): (view: ViewName) => Placed {
  const spans = new Map(
    (Object.keys(VIEWS) as ViewName[]).map((view) => {
      const drawings = ends
        .filter(({ travel }) => SEEN[travel.axis] === view)
        .flatMap(({ before, after }) => [...before, ...after]);
      return [view, extentOf(drawings)] as const;
    }),
  );
  const widest = extent([...spans.values()], ({ x }) => x[1] - x[0])[1] ?? 1;
  const tallest = extent([...spans.values()], ({ z }) => z[1] - z[0])[1] ?? 1;
  const px_per_mm = Math.min((WIDTH - 2 * EDGE) / widest, (HEIGHT - 2 * EDGE) / tallest);
  return (view) => {
    const { x, z } = spans.get(view) ?? { x: [0, 0], z: [0, 0] };
    const middle: Point = [(x[0] + x[1]) / 2, (z[0] + z[1]) / 2];
    return {
      px_per_mm,
      width: WIDTH,
      height: HEIGHT,
      view: (point) => [
        WIDTH / 2 + (point[0] - middle[0]) * px_per_mm,
        HEIGHT / 2 - (point[1] - middle[1]) * px_per_mm,
      ],
    };
  };
}

function endFigure({ travel, way, before, after, ring }: End, placed: Placed): Markup {
  const { axis, unit } = travel;
  const stop = travel[`${way}_stop`];
  const isBlocking = ({ name, role }: Drawing): boolean => name === stop?.joint && (role === 'crank' || role === 'rod');
  const svg = (drawings: readonly Drawing[]): Markup[] => drawings.map((drawing) => drawingSvg(drawing, placed));
  const at = ring && placed.view(ring);
  const said = `The prop ${SEEN_WORDS[SEEN[axis]]} at the end of ${axis}, ${wayWords(axis, way)}`;
  return markup`<figure class="end">
    <svg viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${said}">
      <g class="was">${svg(before)}</g>
      <g class="now">${svg(after.filter((drawing) => !isBlocking(drawing)))}</g>
      <g class="now blocking">${svg(after.filter(isBlocking))}</g>
      ${at ? markup`<circle class="ring" cx="${at[0]}" cy="${at[1]}" r="${RING}"/>` : null}
    </svg>
    <figcaption>
      <b>${axis} ${figure(travel[way], unit, 2)}</b> ${wayWords(axis, way)}
      <span class="stopped-by">${stop ? stopWords(stop) : 'nothing stops it: half a turn'}</span>
      <span class="beside">${SEEN_WORDS[SEEN[axis]]}</span>
    </figcaption>
  </figure>`;
}

/** The section with the twelve pictures. */
export function endsSection(rig: Rig, at: Pose, axes: readonly FirmTravel[], place: string): Markup | null {
  const { platform } = rig;
  if (!platform) return null;
  const ends = axes.flatMap((travel) =>
    (['minus', 'plus'] as const).map((way) => endOf(rig, platform, at, travel, way)),
  );
  const placed = placedBy(ends);
  return markup`<section id="ends">
    <h2>Where travel ends</h2>
    <p class="lead">
      Solid is the end of travel, dashed is ${place}. The leg that stops it
      is drawn in red, with a ring around what stops it. All are drawn to the same scale.
    </p>
    <div class="ends">${ends.map((end) => endFigure(end, placed(SEEN[end.travel.axis])))}</div>
  </section>`;
}
