/** A rig that has not been walked through moves slowly on a real board: nobody knows yet where it binds. */
import type { Joint, Rig } from '../rig/rig.ts';
import { together } from '../rig/words.ts';
import { SLOW } from './image.ts';

const isWalked = ({ walked }: Joint): boolean => walked !== null;

/** Whether a bring-up has walked every joint through. */
export const walkedThrough = (rig: Rig): boolean => rig.joints.every(isWalked);

/** The fastest that a joint goes while it is slow, rad/s or mm/s. */
export const slowSpeed = ({ unit }: Pick<Joint, 'unit'>): number => (unit === 'deg' ? SLOW.rad_s : SLOW.mm_s);

/** The rig, no joint and no pose faster than rousing and settling: 20 deg/s or 10 mm/s, 10 mm/s and 15 deg/s of the plate. */
export function slow(rig: Rig): Rig {
  const most = [...Array<number>(3).fill(SLOW.plate_mm_s), ...Array<number>(3).fill(SLOW.plate_rad_s)];
  return {
    ...rig,
    joints: rig.joints.map((joint) => ({ ...joint, speed: Math.min(joint.speed, slowSpeed(joint)) })),
    motion: {
      ...rig.motion,
      pose_speed: rig.motion.pose_speed.map((speed, i) => Math.min(speed ?? Infinity, most[i]!)),
    },
  };
}

/** As a real board is to have it: itself once every joint has been walked, else slow. */
export const slowed = (rig: Rig): Rig => (walkedThrough(rig) ? rig : slow(rig));

/** Why it is slow, in a sentence; null: it is not. */
export function slowWords(rig: Rig): string | null {
  const left = rig.joints.filter((joint) => !isWalked(joint)).map(({ name }) => name);
  if (left.length === 0) return null;
  const which =
    left.length === rig.joints.length ? 'no joint has' : `${together(left)} ${left.length === 1 ? 'has' : 'have'} not`;
  return `it moves at 20 deg/s (10 mm/s) at most: ${which} been walked through; "posewright bringup" does that`;
}
