/** Where weights are looked at: nowhere beyond a singular pose, which no leg takes the plate to. */
import { expect, test } from 'vitest';
import { whatStops } from '../../../../host/physics/kinematics/inverse.ts';
import { legLimits } from '../../../../host/physics/servo/limits.ts';
import { Mechanism } from '../../../../host/physics/dynamics/mechanism.ts';
import { type Posture, homePosture, legPlaces, postureAt, standingPostures } from '../../../../host/physics/dynamics/places.ts';
import type { Pose } from '../../../../host/rig/rig.ts';
import { LIFT, rigFrom } from '../../load/rigs.ts';

/** Its legs stand nearly side by side, so that it hangs loose where it leans far over, well within the strokes. */
const rig = rigFrom(
  LIFT,
  ['half_angle_deg: 46', 'half_angle_deg: 20'],
  ['limit_mm: [150, 170]', 'limit_mm: [131, 199]'],
  ['force_n: 60', 'force_n: 300'],
);
const mechanism = new Mechanism(rig);

const sideOf = ({ q, pose }: Posture): number => (mechanism.at(q, pose) ? mechanism.side : 0);
const homeSide = sideOf(homePosture(rig));

/** In reach, on the other side: so far to its left and rolled, turned a little. */
function beyond(): Posture {
  const pose: Pose = [0.8, 41.3, -2.8, 0.695, 0.139, 0.065];
  const posture = postureAt(rig, pose, []);
  if (!posture || whatStops(rig, pose) || sideOf(posture) !== -homeSide) throw new Error('the test proves nothing');
  return posture;
}

test('legs reach poses beyond a singular one, and none of them counts', () => {
  const there = beyond();
  expect(legPlaces(rig, mechanism, [homePosture(rig), there])).toHaveLength(1);
  const standing = standingPostures(rig);
  expect(standing.length).toBeGreaterThan(100);
  for (const posture of standing) expect(sideOf(posture)).toBe(homeSide);
});

test('what cannot be got to does not make a servo too weak', () => {
  const legs = rig.joints.slice(0, 6);
  const limits = legLimits(legs, legPlaces(rig, mechanism, standingPostures(rig)));
  expect(limits).toHaveProperty('speed');
});
