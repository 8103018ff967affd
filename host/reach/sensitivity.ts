/** Each dimension of a rig changed by a step, up and down, and how far it travels then: all twelve ways worked out anew. */
import { firmnessAt } from '../physics/kinematics/firmness.ts';
import { type Stop, whatStops } from '../physics/kinematics/inverse.ts';
import type { Pose, Rig } from '../rig/rig.ts';
import { settled } from './axes.ts';
import { type Dimension, dimensionsOf } from './dimensions.ts';
import type { AxisTravel, Change, Unsure } from './result.ts';
import { shownTravel, travelsOf } from './travels.ts';
import { stopWords } from './words.ts';
import { pulseAt } from '../rig/pulse.ts';

/** From the same pose as `from`. The rig must have a platform. */
export function sensitivity(rig: Rig, from: Pose): Change[] {
  return dimensionsOf(rig).flatMap((dimension) =>
    [dimension.value - dimension.step, dimension.value + dimension.step]
      .filter((to) => isPossible(rig, dimension, to))
      .map((to) => changed(rig, from, dimension, to)),
  );
}

/** What a rig file allows for a dimension. */
function isPossible({ platform }: Rig, { path, unit, value }: Dimension, to: number): boolean {
  const isPosition = path.includes('pivot_mm') || path.includes('limit');
  if (!isPosition && to <= 0) return false;
  if (path.endsWith('half_angle_deg')) return to <= 60;
  if (path.endsWith('rod_end_deg')) return to <= 90;
  const [crank, rod] = [platform?.crank_mm ?? 0, platform?.rod_mm ?? 0];
  if (path.endsWith('crank_mm')) return to < rod;
  if (path.endsWith('rod_mm')) return to > crank;
  return unit !== 'mm' || !path.endsWith('stroke_mm') || to > (platform?.stroke_mm?.[0] ?? value);
}

function changed(rig: Rig, from: Pose, dimension: Dimension, to: number): Change {
  const { path, words, unit, value } = dimension;
  const other = dimension.change(rig, to);
  const common = { path, words, unit, from: settled(value), to: settled(to) };
  const cannot = (home_z_mm: number | null, but: string): Change => ({
    ...common,
    home_z_mm,
    axes: null,
    condition: null,
    but,
  });
  if (!other.platform || Number.isNaN(other.platform.home_z_mm))
    return cannot(null, 'then there is no home with level cranks');
  const { home_z_mm } = other.platform;
  const stop = whatStops(other, from);
  if (stop) return cannot(home_z_mm, `then it cannot reach this pose because of ${stopWords(stop)}`);
  return {
    ...common,
    home_z_mm,
    axes: travelsOf(other, from).map(shownTravel),
    condition: firmnessAt(other.platform, from)?.condition ?? null,
    but: objection(other),
  };
}

/** What else speaks against a changed rig: a rest it cannot stand in, soft limits that its servos' pulses do not reach. */
function objection(rig: Rig): string | null {
  const stop: Stop | null = rig.platform && whatStops(rig, rig.platform.rest);
  if (stop) return `then its rest is out of reach because of ${stopWords(stop)}`;
  for (const joint of rig.joints) {
    const { name, kind, lo, hi, range_us } = joint;
    if (kind !== 'leg') continue;
    const pulses = [lo, hi].map((at) => pulseAt(joint, at));
    if (Math.min(...pulses) < range_us[0] - 1e-6 || Math.max(...pulses) > range_us[1] + 1e-6)
      return `${name} needs a servo that takes pulses beyond ${range_us.join(' to ')} µs`;
  }
  return null;
}

/**
 * How far the figures that say how far they may be off (`within_percent`) move the travel: each at both of its ends, and
 * for each figure the travel that it moves by the largest share.
 */
export function unsure(rig: Rig, from: Pose, axes: readonly AxisTravel[]): Unsure[] {
  return dimensionsOf(rig).flatMap((dimension) => {
    const within_percent = rig.sources.get(dimension.path)?.within_percent ?? 0;
    if (!(within_percent > 0)) return [];
    const share = within_percent / 100;
    const ends = [dimension.value * (1 - share), dimension.value * (1 + share)];
    const moved = ends
      .filter((to) => isPossible(rig, dimension, to))
      .flatMap((to) => changed(rig, from, dimension, to).axes ?? []);
    const most = mostMoved(axes, moved);
    return most ? [{ path: dimension.path, within_percent, ...most }] : [];
  });
}

function mostMoved(
  axes: readonly AxisTravel[],
  moved: readonly AxisTravel[],
): Pick<Unsure, 'axis' | 'unit' | 'by'> | null {
  let most: (Pick<Unsure, 'axis' | 'unit' | 'by'> & { readonly share: number }) | null = null;
  for (const then of moved) {
    const now = axes.find(({ axis }) => axis === then.axis);
    if (!now) continue;
    const by = Math.max(Math.abs(then.minus - now.minus), Math.abs(then.plus - now.plus));
    const share = by / Math.max(now.plus - now.minus, 1e-9);
    if (share > (most?.share ?? 0)) most = { axis: now.axis, unit: now.unit, by, share };
  }
  return most && { axis: most.axis, unit: most.unit, by: most.by };
}
