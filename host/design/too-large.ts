/** How much of a stream a design can follow: the share of its poses that is in reach all along, and where it is furthest from that. */
import { whatStops } from '../physics/kinematics/inverse.ts';
import { AXES, AXIS_NAMES, shownAs, unitOf } from '../reach/axes.ts';
import type { Rig } from '../rig/rig.ts';
import { short } from '../rig/words.ts';
import type { SampledStream } from './evaluate/ask.ts';

export interface TooLarge {
  /** Largest share of every pose at once that is in reach at every tick. */
  readonly share: number;
  readonly t_s: number;
  /** The pose there, mm and rad, and what stops it. */
  readonly pose: readonly number[];
  readonly leg: string;
  readonly cause: string;
}

const HALVINGS = 20;
const CAUSES = { rod: 'its rod', stroke: 'its stroke', limit: 'its limit', rod_end: 'its rod ends' } as const;

/** Null: every pose is in reach. */
export function tooLarge(rig: Rig, stream: SampledStream): TooLarge | null {
  let worst: TooLarge | null = null;
  // Reach need not hold all on the way home: a pose that is in reach may be out of it where it is smaller.
  for (;;) {
    const next = smaller(rig, stream, worst);
    if (next === worst) return worst;
    worst = next;
  }
}

/** Once along the stream at the share so far, and at less of it from where that is out of reach. */
function smaller(rig: Rig, { rows, size, ticks, dt_s }: SampledStream, before: TooLarge | null): TooLarge | null {
  let worst = before;
  let share = before?.share ?? 1;
  const scaled = (pose: readonly number[], by: number) =>
    whatStops(
      rig,
      pose.map((value) => value * by),
    );
  for (let tick = 0; tick < ticks; tick++) {
    const pose = Array.from(rows.subarray((tick + 1) * size, (tick + 1) * size + 6), (value) => value || 0);
    const stop = scaled(pose, share);
    if (!stop) continue;
    let lo = 0;
    for (let k = 0; k < HALVINGS; k++) {
      const middle = (lo + share) / 2;
      if (scaled(pose, middle)) share = middle;
      else lo = middle;
    }
    share = lo;
    const at = scaled(pose, 1) ?? stop;
    worst = { share, t_s: tick * dt_s, pose, leg: at.joint, cause: CAUSES[at.cause] };
  }
  return worst;
}

/** Such as `at 0.8 s, z 240 mm, leg3 is stopped by its rod`. @param radius_mm of the plate: how much a turn moves */
export function whereWords({ t_s, pose, leg, cause }: TooLarge, radius_mm: number): string {
  const way = (axis: (typeof AXES)[number]): number => Math.abs(pose[axis]!) * (axis < 3 ? 1 : radius_mm);
  const most = AXES.reduce((a, b) => (way(b) > way(a) ? b : a));
  return `at ${short(t_s, 2)} s, ${AXIS_NAMES[most]} ${short(shownAs(most, pose[most]!))} ${unitOf(most)}, ${leg} is stopped by ${cause}`;
}
