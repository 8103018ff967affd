/** Six numbers in one option, as `--pose 0,0,2,0,-4,6` has them. */
import { POSE_KEYS, type Pose, toRad } from '../rig/rig.ts';
import { readNumber } from '../stream/decimal.ts';
import { type Problem, problemOf } from './output.ts';

export type Six = readonly [number, number, number, number, number, number];

const LEGS = ['leg1', 'leg2', 'leg3', 'leg4', 'leg5', 'leg6'] as const;

/** The numbers in an option's text, one for each name, or all that is wrong with them. */
function sixNumbers(option: string, text: string, names: readonly string[]): { six: Six } | { problems: Problem[] } {
  const cells = text.split(',');
  if (cells.length !== 6) {
    const found = text.trim() === '' ? 'nothing' : `${String(cells.length)} of them`;
    return {
      problems: [problemOf(option, `takes six numbers with commas between: ${names.join(',')}; found ${found}`)],
    };
  }
  const read = cells.map((cell) =>
    cell.trim() === '' ? 'is empty: write 0 where nothing is meant' : readNumber(cell),
  );
  const problems = read.flatMap((value, k) =>
    typeof value === 'string' ? [problemOf(option, `${names[k] ?? ''} ${value}`)] : [],
  );
  return problems.length > 0 ? { problems } : { six: read as unknown as Six };
}

/** A pose from `x,y,z,roll,pitch,yaw` in mm and degrees. */
export function readPose(option: string, text: string): { pose: Pose } | { problems: Problem[] } {
  const read = sixNumbers(option, text, POSE_KEYS);
  if ('problems' in read) return read;
  const [x, y, z, roll, pitch, yaw] = read.six;
  return { pose: [x, y, z, toRad(roll), toRad(pitch), toRad(yaw)] };
}

/** Six leg coordinates, leg1 to leg6, in the unit they are shown in. */
export function readLegs(option: string, text: string): { legs: Six } | { problems: Problem[] } {
  const read = sixNumbers(option, text, LEGS);
  return 'problems' in read ? read : { legs: read.six };
}
