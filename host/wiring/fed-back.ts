/** What a falling load feeds back into the supply: power is torque times speed, of each joint at its hardest place and at its limit. */
import type { LoadAnswer } from '../load/result.ts';
import type { Joint, Rig } from '../rig/rig.ts';
import type { FedBack } from './result.ts';

/** How long all joints come down together at their limits: ours. */
const FOR_S = 0.1;

/** Voltage of a capacitor that takes so much energy: E = C·(V2² - V1²) / 2. */
export const risesTo_v = (voltage_v: number, energy_j: number, farad: number): number =>
  Math.sqrt(voltage_v * voltage_v + (2 * energy_j) / farad);

/** W at a servo's output: effort there in N·m or N; the joint's speed in rad/s or mm/s, at the load side of its gear. */
export const power_w = (
  effort: number,
  { speed, unit, gear_ratio }: Pick<Joint, 'speed' | 'unit' | 'gear_ratio'>,
): number => Math.abs(effort) * speed * gear_ratio * (unit === 'mm' ? 1e-3 : 1);

/** An upper bound: not all joints are at their hardest at once, and a gear lets less through backwards. */
export function fedBack(rig: Rig, { joints }: LoadAnswer, capacitor_uf: number): FedBack {
  const efforts = joints.map(({ worst }) => worst.effort);
  const unknown = rig.joints.filter((_, i) => efforts[i] === null).map(({ name }) => name);
  const powers = rig.joints.flatMap((joint, i) => {
    const effort = efforts[i] ?? null;
    return effort === null ? [] : [power_w(effort, joint)];
  });
  const total = powers.length > 0 ? powers.reduce((sum, value) => sum + value, 0) : null;
  const voltage_v = rig.supply?.voltage_v ?? null;
  const rises_to_v =
    total === null || voltage_v === null ? null : risesTo_v(voltage_v, total * FOR_S, capacitor_uf * 1e-6);
  return { power_w: total, rises_to_v, for_s: FOR_S, unknown };
}
