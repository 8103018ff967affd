/** The lowest natural frequency of what a look or a nod sets going: platform and carriers, not a lid alone. */
import type { Posture } from '../physics/dynamics/places.ts';
import { type Mode, modesAt } from '../physics/vibration/modes.ts';
import type { Rig } from '../rig/rig.ts';

/** Null: no stiffness or nothing that weighs, or the platform is singular there. */
export function lowestLarge(rig: Rig, { q, pose }: Posture): Mode | null {
  const alone = new Set(rig.joints.filter(({ kind, axis }) => kind === 'axis' && !axis).map(({ name }) => name));
  const modes = modesAt(rig, q, pose)?.modes ?? [];
  return modes.find(({ mostly }) => !mostly.every((name) => alone.has(name))) ?? modes[0] ?? null;
}
