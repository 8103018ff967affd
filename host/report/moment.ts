/** One moment of a replay as the prop stood: from the traces, which keep the lowest and highest of each stretch of time. */
import { inverse } from '../physics/kinematics/inverse.ts';
import type { Posture } from '../physics/dynamics/places.ts';
import type { EnvelopeData, Replay } from '../replay/result.ts';
import { HOME, type Pose, type Rig, toRad } from '../rig/rig.ts';

/** The middle of what a signal was then, or of the nearest stretch in which it was anything. */
function valueAt({ bucket_s, lo, hi }: EnvelopeData, at_s: number): number {
  const middle = (i: number): number => ((lo[i] ?? NaN) + (hi[i] ?? NaN)) / 2;
  const at = Math.min(Math.max(0, Math.floor(at_s / bucket_s)), lo.length - 1);
  for (let off = 0; off < lo.length; off++)
    for (const i of [at - off, at + off]) if (!Number.isNaN(middle(i))) return middle(i);
  return NaN;
}

/** Where the joints were put; null: no pose of the plate belongs to that. */
export function postureThen(rig: Rig, { traces }: Replay, at_s: number): Posture | null {
  const shown = traces.pose.map(({ delivered }, k) => {
    const value = valueAt(delivered, at_s);
    return k < 3 ? value : toRad(value);
  });
  const pose = rig.platform ? (shown as unknown as Pose) : HOME;
  if (!pose.every(Number.isFinite)) return null;
  const legs = rig.platform ? inverse(rig.platform, pose) : [];
  if (!legs) return null;
  const others = rig.joints.flatMap(({ kind, home, name }) => {
    if (kind === 'leg') return [];
    const trace = traces.joints.find((one) => one.name === name);
    const value = trace ? toRad(valueAt(trace.delivered, at_s)) : home;
    return [Number.isFinite(value) ? value : home];
  });
  return { q: [...legs, ...others], pose };
}
