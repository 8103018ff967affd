/**
 * What takes the weight off a servo that cannot hold its load: a counterweight or a torsion spring, sized so that the worst
 * torque left over the joint's range is as small as it can be. At the joint's coordinate: rad, N·m, kg·m².
 */
import { least } from '../load/sizing/least.ts';
import type { Place } from '../physics/servo/limits.ts';
import { G_M_S2 } from '../physics/dynamics/mechanism.ts';

const WINDINGS = 60;
/** Further than half a turn a torsion spring of a prop is not wound (common practice). */
const MOST_WOUND = Math.PI;

/** Torque peak·cos(θ - level_at) toward plus, from a weight on an arm. */
export interface Counterweight {
  readonly peak: number;
  readonly level_at: number;
  /** Worst |torque| that the servo still holds. */
  readonly residual: number;
}

/** Torque stiffness·(free_at - θ). */
export interface Spring {
  readonly stiffness: number;
  readonly free_at: number;
  /** At the middle of the range, and how far it is wound up there. */
  readonly torque: number;
  readonly wound: number;
  readonly residual: number;
}

const worst = (places: readonly Place[], help: (at: number) => number): number =>
  Math.max(...places.map(({ at, hold }) => Math.abs(hold - help(at))));

const most = (places: readonly Place[]): number => Math.max(...places.map(({ hold }) => Math.abs(hold)));

/** The best counterweight: two convex searches, one within the other, over the parts that are level at 0 and upright at 0. */
export function counterweightFor(places: readonly Place[]): Counterweight {
  // Over a small range a large upright part may do what little of the level one would.
  const reach = 2 * most(places);
  const along = (level: number) =>
    least(-reach, reach, (up) => worst(places, (at) => level * Math.cos(at) + up * Math.sin(at)));
  const { x: level } = least(-reach, reach, (value) => along(value).value);
  const { x: up, value } = along(level);
  return { peak: Math.hypot(level, up), level_at: Math.atan2(up, level), residual: value };
}

/** The same with the weight on an arm so long: mass, and what it adds to the inertia. */
export const weightOn = (arm_m: number, { peak }: Counterweight): { mass_kg: number; inertia: number } => ({
  mass_kg: peak / (G_M_S2 * arm_m),
  inertia: (peak * arm_m) / G_M_S2,
});

/** The best torsion spring that stays wound over the whole range, and is wound no further than half a turn in its middle. */
export function springFor(places: readonly Place[]): Spring {
  const lo = places[0]!.at;
  const hi = places.at(-1)!.at;
  const middle = (lo + hi) / 2;
  const reach = 2 * most(places);
  let best: Spring | null = null;
  for (let k = 0; k < WINDINGS; k++) {
    const shortest = Math.min((hi - lo) / 2, MOST_WOUND);
    const wound = shortest + ((MOST_WOUND - shortest) * k) / (WINDINGS - 1);
    for (const side of [1, -1] as const) {
      const free_at = middle + side * wound;
      const { x, value } = least(0, reach, (torque) => worst(places, (at) => (torque * (free_at - at)) / wound));
      if (!best || value < best.residual) best = { stiffness: x / wound, free_at, torque: x, wound, residual: value };
    }
  }
  return best!;
}
