/** Where a counterweight goes: opposite what gravity turns a joint by, at a given distance from its axis. */
import { homePosture } from '../../physics/dynamics/places.ts';
import type { Rig, Vec3 } from '../../rig/rig.ts';
import { cross } from '../../rig/rotation.ts';
import { Demand } from '../demand.ts';
import { type Arm, withCounterweight } from './changed.ts';

/** Gravity turns nothing about an axis that stands up: of an arm's weight so little is rounding. */
const NOTHING = 1e-6;

/** Two directions across an axis. */
function across(along: Vec3): readonly [Vec3, Vec3] {
  const other: Vec3 = Math.abs(along[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0];
  const u = cross(along, other);
  const size = Math.hypot(...u);
  const unit: Vec3 = [u[0] / size, u[1] / size, u[2] / size];
  return [unit, cross(along, unit)];
}

const from = (at: Vec3, [x, y, z]: Vec3, mm: number): Vec3 => [at[0] + x * mm, at[1] + y * mm, at[2] + z * mm];

/** What joint i holds at home, and a quarter turn on. */
function held(rig: Rig, i: number): readonly [number, number] {
  const demand = new Demand(rig);
  const home = homePosture(rig);
  const at = (turn: number): number =>
    demand.hold({ ...home, q: home.q.with(i, home.q[i]! + turn) }) ? demand.effort[i]! : NaN;
  return [at(0), at(Math.PI / 2)];
}

/** Null: gravity does not turn this joint, as far as its load is known. */
export function armFor(rig: Rig, i: number, arm_mm: number): Arm | null {
  const { axis, load } = rig.joints[i]!;
  if (load) return load.mass_kg && load.arm_mm ? { arm_mm, at_mm: null } : null;
  if (!axis) return null;
  const [u, v] = across(axis.along);
  // At two angles a quarter turn apart: what there is, and what 1 kg on each of two arms adds, tell where its weight lies.
  const bare = held(rig, i);
  const adds = [u, v].map((way) => {
    const laden = held(withCounterweight(rig, i, 1, { arm_mm, at_mm: from(axis.at_mm, way, arm_mm) }), i);
    return [laden[0] - bare[0], laden[1] - bare[1]] as const;
  });
  const [[a, c], [b, d]] = [adds[0]!, adds[1]!];
  const whole = a * d - b * c;
  if (!(Math.abs(whole) > NOTHING * (a * a + b * b + c * c + d * d))) return null;
  const [cu, cv] = [(bare[0] * d - b * bare[1]) / whole, (a * bare[1] - c * bare[0]) / whole];
  const size = Math.hypot(cu, cv);
  if (!(size > NOTHING)) return null;
  const way = u.map((value, k) => -(value * cu + v[k]! * cv) / size) as unknown as Vec3;
  return { arm_mm, at_mm: from(axis.at_mm, way, arm_mm) };
}
