/** What has not been walked through is slow; what has been is left as it is. */
import { describe, expect, it } from 'vitest';
import { slow, slowWords, slowed, walkedThrough } from '../../../host/controller/slowed.ts';
import { readRig } from '../../../host/rig/read.ts';
import { toDeg } from '../../../host/rig/rig.ts';
import { OWL } from '../cli/fixture.ts';

const rigOf = (text: string) => readRig(text).rig!;
const LEGS_WALKED = OWL.replace(/(leg\d: \{ pin: \d)/g, '$1, walked_deg: [-60, 60]');
const WALKED = LEGS_WALKED.replace('rest_deg: -20', 'rest_deg: -20\n    walked_deg: [-28, 25]').replace(
  'limit_deg: [0, 55],',
  'limit_deg: [0, 55], walked_deg: [0, 55],',
);

describe('a rig', () => {
  it('not walked through has no joint above 20 deg/s, no pose above 10 mm/s and 15 deg/s', () => {
    const { joints, motion } = slowed(rigOf(LEGS_WALKED));
    expect(Math.max(...joints.map(({ speed }) => toDeg(speed)))).toBeCloseTo(20, 9);
    expect(motion.pose_speed.slice(0, 3)).toEqual([10, 10, 10]);
    for (const speed of motion.pose_speed.slice(3)) expect(toDeg(speed ?? NaN)).toBeCloseTo(15, 9);
    expect(slowWords(rigOf(LEGS_WALKED))).toMatch(/20 deg\/s .*nod and lid have not been walked through/);
    expect(slowWords(rigOf(OWL))).toMatch(/no joint has been walked through/);
  });

  it('walked through is itself, and slow only where that is asked for', () => {
    const rig = rigOf(WALKED);
    expect(walkedThrough(rig)).toBe(true);
    expect(slowed(rig)).toBe(rig);
    expect(slowWords(rig)).toBeNull();
    expect(slow(rig).joints.every(({ speed }) => toDeg(speed) <= 20.0001)).toBe(true);
  });

  it('is warned of when its soft limits go beyond what was walked', () => {
    const { problems } = readRig(WALKED.replace('limit_deg: [0, 55], walked', 'limit_deg: [0, 58], walked'));
    expect(problems).toContainEqual(
      expect.objectContaining({
        path: 'joints.lid.walked_deg',
        severity: 'warning',
        message: expect.stringMatching(/limits are 0 to 58 deg, and it was walked from 0 to 55/) as string,
      }),
    );
    expect(readRig(WALKED).problems.filter(({ path }) => path.includes('walked'))).toEqual([]);
  });
});
