/**
 * Soft limits that lie off the middle of what the servo takes: which centre pulse would hold both, and how many teeth of the horn's
 * spline that is. For a range that is lost (joints.ts) and one that is all but used up at one end only (advice).
 */
import type { Say, Path } from './problem.ts';
import { pulseAt } from './pulse.ts';
import { type Joint, toRad } from './rig.ts';
import { short } from './words.ts';

/** Teeth of a servo's spline: hobby servos of standard size have 25 (common practice; some have 21, 23 or 24). */
const TEETH = 25;
/** So near to an end of the range nothing is left for trim, and with so much at the other it need not be (ours). */
const NO_ROOM_US = 20;
const MUCH_ROOM_US = 200;

interface Room {
  /** What is left of range_us beyond the pulses at the soft limits; below 0: the range is too small there. */
  readonly low_us: number;
  readonly high_us: number;
}

function roomOf(joint: Joint): Room {
  const pulses = [pulseAt(joint, joint.lo), pulseAt(joint, joint.hi)];
  return { low_us: Math.min(...pulses) - joint.range_us[0], high_us: joint.range_us[1] - Math.max(...pulses) };
}

/** The centre pulse that leaves as much at both ends, us; null: the soft limits ask for more than the whole range. */
export function bestCentre_us(joint: Joint): number | null {
  const { low_us, high_us } = roomOf(joint);
  return low_us + high_us < 0 ? null : joint.centre_us + (high_us - low_us) / 2;
}

/** The same in words, and what to do to the horn; null: no centre holds both. */
export function centreWords(joint: Joint): string | null {
  const best_us = bestCentre_us(joint);
  if (best_us === null) return null;
  const words = `centre_us: ${short(best_us, 0)} would hold both soft limits`;
  if (joint.unit === 'mm') return words;
  const tooth_us = (joint.us_per_unit / joint.gear_ratio) * toRad(360 / TEETH);
  const teeth = Math.round((best_us - joint.centre_us) / tooth_us);
  const { low_us, high_us } = roomOf(joint);
  const moved_us = teeth * tooth_us;
  const fits = low_us + moved_us >= 0 && high_us - moved_us >= 0;
  if (teeth === 0 || !fits) return `${words}: less than a tooth of the horn’s spline, so set the horn or the rod anew`;
  const many = `${String(Math.abs(teeth))} ${Math.abs(teeth) === 1 ? 'tooth' : 'teeth'}`;
  return `${words}; with the horn moved by ${many} of its spline, so that it stands at 0 with a ${moved_us < 0 ? 'shorter' : 'longer'} pulse, it is about centre_us: ${short(joint.centre_us + moved_us, 0)} (${String(TEETH)} teeth are usual, not measured; ${short(tooth_us, 0)} µs each)`;
}

/** Tells of every joint whose soft limits end where the servo does, though at its other end much is left. */
export function adviseCentres(joints: readonly Joint[], say: Say): void {
  for (const joint of joints) {
    const { low_us, high_us } = roomOf(joint);
    if (Math.min(low_us, high_us) > NO_ROOM_US || Math.max(low_us, high_us) < MUCH_ROOM_US) continue;
    const words = centreWords(joint);
    const path: Path = ['joints', joint.name, 'centre_us'];
    const end = low_us < high_us ? 'narrowest' : 'widest';
    say.warning(
      path,
      `at the ${end} pulse ${short(Math.max(0, Math.min(low_us, high_us)), 0)} µs are left of range_us beyond the soft limit, at the other end ${short(Math.max(low_us, high_us), 0)} µs: the range could be wider, or have room for trim${words === null ? '' : `; ${words}`}`,
    );
  }
}
