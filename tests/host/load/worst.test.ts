/** The hardest place to hold that is found: against a random search, and against the mirror image of a symmetric rig. */
import { readFileSync } from 'node:fs';
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { describe, expect, it } from 'vitest';
import { Demand } from '../../../host/load/demand.ts';
import { HoldSearch } from '../../../host/load/worst.ts';
import { whatStops } from '../../../host/physics/kinematics/inverse.ts';
import { Mechanism } from '../../../host/physics/dynamics/mechanism.ts';
import { homePosture, postureAt } from '../../../host/physics/dynamics/places.ts';
import { HOME, type Pose, type Rig } from '../../../host/rig/rig.ts';
import { LIFT, OWL, TILT, rigFrom } from './rigs.ts';

const SEED = 2026;
const POSES = 20_000;

/** What each joint holds at most, as found. */
function found(rig: Rig): number[] {
  const demand = new Demand(rig);
  const search = new HoldSearch(demand);
  return rig.joints.map((_, i) => {
    demand.hold(search.worst(i));
    return Math.abs(demand.effort[i]!);
  });
}

/**
 * The most of each joint over poses drawn in random directions, half of them as far as the platform goes, with the other joints
 * anywhere or at their ends; on home's side of singular poses.
 */
function drawn(rig: Rig, poses: number, seed: number): number[] {
  const random = xoroshiro128plus(seed);
  const u = (): number => uniformFloat64(random);
  const mechanism = new Mechanism(rig);
  const home = homePosture(rig);
  mechanism.at(home.q, home.pose);
  const { side } = mechanism;
  const most = rig.joints.map(() => 0);
  for (let k = 0; k < poses; k++) {
    const others = rig.joints.slice(rig.platform ? 6 : 0).map(({ lo, hi }) => {
      const at = u();
      return at < 0.3 ? lo : at < 0.6 ? hi : lo + (hi - lo) * u();
    });
    const way = [150, 150, 150, 1.5, 1.5, 1.5].map((size) => size * (2 * u() - 1) * (u() < 0.3 ? 0.2 : 1));
    const along = (share: number): Pose => way.map((value) => share * value) as unknown as Pose;
    let [last, after] = [0, 1];
    for (let step = 0; rig.platform && step < 12; step++) {
      const middle = (last + after) / 2;
      if (whatStops(rig, along(middle)) === null) last = middle;
      else after = middle;
    }
    const place = postureAt(rig, rig.platform ? along(u() < 0.5 ? last : last * Math.sqrt(u())) : HOME, others);
    if (!place || !mechanism.at(place.q, place.pose) || mechanism.side !== side) continue;
    mechanism.gravity.forEach((effort, i) => (most[i] = Math.max(most[i]!, Math.abs(effort))));
  }
  return most;
}

/** An owl of other measures, on its side or nearly level. */
function variant(seed: number): Rig {
  const random = xoroshiro128plus(seed);
  const between = (lo: number, hi: number): string => (lo + (hi - lo) * uniformFloat64(random)).toFixed(2);
  return rigFrom(
    OWL,
    ['rpy_deg: [0, 90, 0]', `rpy_deg: [${between(-10, 10)}, ${between(0, 100)}, 0]`],
    ['radius_mm: 70, half_angle_deg: 14', `radius_mm: ${between(60, 80)}, half_angle_deg: ${between(8, 20)}`],
    ['crank_mm: 22', `crank_mm: ${between(16, 24)}`],
    ['rod_end_deg: 28', `rod_end_deg: ${between(20, 40)}`],
    ['at_mm: [0, 0, 38]', `at_mm: [${between(-20, 20)}, ${between(-20, 20)}, ${between(10, 60)}]`],
    ['limit_deg: [-60, 60]', `limit_deg: [-${between(35, 60)}, ${between(35, 60)}]`],
  );
}

const fileRig = (name: string): Rig => rigFrom(readFileSync(new URL(`../../../${name}`, import.meta.url), 'utf8'));

describe(`${POSES} poses drawn at random beat it nowhere by more than 1 % (seed ${SEED})`, () => {
  it.each<readonly [string, () => Rig]>([
    ['the demo', () => fileRig('host/demo/night-owl.yaml')],
    ['the bare demo', () => fileRig('host/demo/night-owl-bare.yaml')],
    ['actuators under a weight', () => rigFrom(LIFT)],
    ['joints only', () => rigFrom(TILT)],
    ...[1, 2, 3].map((seed) => [`an owl of other measures, seed ${seed}`, () => variant(seed)] as const),
  ])('%s', (_, make) => {
    const rig = make();
    const [most, tried] = [found(rig), drawn(rig, POSES, SEED)];
    rig.joints.forEach(({ name }, i) => expect(tried[i]!, name).toBeLessThanOrEqual(1.01 * most[i]! + 1e-12));
  });
});

it('legs that are each other’s mirror image hold the same at most, to 1.5 %', () => {
  const most = found(fileRig('host/demo/night-owl.yaml'));
  for (const [left, right] of [
    [0, 1],
    [2, 5],
    [3, 4],
  ] as const)
    expect(Math.abs(most[left]! / most[right]! - 1), `leg${left + 1} and leg${right + 1}`).toBeLessThan(0.015);
});

it('the same rig gives the same places', () => {
  const rig = variant(1);
  expect(found(rig)).toEqual(found(rig));
});
