/**
 * The quickest move that any motion could make with the same share of the servo: full torque forth, then full torque back, in
 * the phase plane, from the axis's own figures and nothing of the code under test.
 */
import { toDeg, toRad } from '../../../host/rig/rig.ts';
import { PEAK_USE } from './sick.ts';

/** A weight on an arm that is level at 0, over ±30 deg. */
export interface RaisedAxis {
  readonly stall_nm: number;
  readonly no_load_deg_s: number;
  readonly ratio: number;
  readonly efficiency: number;
  readonly mass_kg: number;
  readonly arm_mm: number;
  readonly inertia_kgm2: number;
  readonly rotor_kgm2: number;
}

const G = 9.80665;
const RANGE = toRad(60);

/** The axis by hand: torque its peak_use leaves at a speed, its weight's torque, its inertia. */
export const byHand = (it: RaisedAxis) => ({
  spends: (v: number): number =>
    PEAK_USE * it.stall_nm * it.ratio * it.efficiency * Math.max(0, 1 - (toDeg(v) * it.ratio) / it.no_load_deg_s),
  weighs: (q: number): number => ((it.mass_kg * G * it.arm_mm) / 1000) * Math.cos(q),
  inertia: it.inertia_kgm2 + it.rotor_kgm2 * it.ratio ** 2,
});

const STEPS = 20_000;

/** Seconds to raise it from -30 to 30 deg: the fastest there is with peak_use, by squares of the speed over places. */
export function quickest(it: RaisedAxis): number {
  const { spends, weighs, inertia } = byHand(it);
  const step = RANGE / STEPS;
  const at = (k: number): number => toRad(-30) + k * step;
  const forth = new Float64Array(STEPS + 1);
  for (let k = 0; k < STEPS; k++) {
    const rise = (square: number): number =>
      Math.max(0, forth[k]! + (2 * step * (spends(Math.sqrt(square)) - weighs(at(k + 0.5)))) / inertia);
    forth[k + 1] = rise((forth[k]! + rise(forth[k]!)) / 2);
  }
  const back = new Float64Array(STEPS + 1);
  for (let k = STEPS; k > 0; k--) back[k - 1] = back[k]! + (2 * step * (spends(0) + weighs(at(k - 0.5)))) / inertia;
  let seconds = 0;
  const speed = (k: number): number => Math.sqrt(Math.min(forth[k]!, back[k]!));
  for (let k = 0; k < STEPS; k++) seconds += (2 * step) / (speed(k) + speed(k + 1));
  return seconds;
}
