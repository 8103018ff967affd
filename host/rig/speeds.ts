/** Speed limits that no torque is left for: at its no-load speed a servo only just turns itself. Advice, never an error. */
import type { Path, Say } from './problem.ts';
import { type Joint, toShown } from './rig.ts';
import { short } from './words.ts';

/** Of limits that were worked out, a share. */
const ROUNDED = 1e-6;

/** Where a joint's speed limit stands in the file: the legs have one for all. */
function pathOf({ kind, name, unit }: Joint): Path {
  const key = `speed_${unit}_s`;
  return kind === 'leg' ? ['motion', 'leg', key] : ['joints', name, key];
}

/** Legs share limits and servo: it is said of the first. */
export function adviseSpeeds(joints: readonly Joint[], say: Say): void {
  const first = joints.find(({ kind }) => kind === 'leg');
  for (const joint of joints) {
    const { servo, gear_ratio, speed, unit } = joint;
    if (servo.no_load_speed === null || (joint.kind === 'leg' && joint !== first)) continue;
    const most = servo.no_load_speed / gear_ratio;
    if (!(speed > most * (1 + ROUNDED))) continue;
    const shown = (rate: number): string => `${short(toShown({ unit }, rate), 1)} ${unit}/s`;
    const gear = gear_ratio === 1 ? '' : ` behind a gear of ${short(gear_ratio, 2)}:1`;
    say.warning(
      pathOf(joint),
      `found ${short(toShown({ unit }, speed), 1)}; ${servo.name} does ${shown(most)} without load${gear}, and less with one: "posewright tune" works out how much to allow`,
    );
  }
}
