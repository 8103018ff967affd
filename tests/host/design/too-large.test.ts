/** A stream that is too large for a design: by how much, and where. */
import { expect, it } from 'vitest';
import { designOf } from '../../../host/design/design.ts';
import { describeProblem, subjectOf } from '../../../host/design/problem-of.ts';
import { followWords } from '../../../host/design/short-words.ts';
import type { Wish } from '../../../host/design/wishes.ts';
import { tooLarge, whereWords } from '../../../host/design/too-large.ts';
import { whatStops } from '../../../host/physics/kinematics/inverse.ts';
import { LIFT, rigFrom } from '../load/rigs.ts';
import { wantOf, NECK } from './want/wants.ts';

const { base } = wantOf(NECK);
const TICKS = 11;

/** Straight up, so many mm at each tick, with the rows beside its ends; no joint. */
function upwards(each_mm: number) {
  const rows = new Float64Array((TICKS + 2) * 6);
  for (let k = 0; k < TICKS + 2; k++) rows[6 * k + 2] = each_mm * (k - 1);
  return { name: 'up.csv', dt_s: 0.02, ticks: TICKS, size: 6, rows };
}

it('says the largest share of all poses that is in reach, and where it is furthest from that', () => {
  const large = tooLarge(base, upwards(30))!;
  expect(large.t_s).toBeCloseTo(0.2, 9);
  expect(whatStops(base, [0, 0, 300 * large.share, 0, 0, 0])).toBeNull();
  expect(whatStops(base, [0, 0, 300 * large.share + 0.01, 0, 0, 0])).not.toBeNull();
  expect(whereWords(large, 60)).toMatch(/^at 0\.2 s, z 300 mm, leg\d is stopped by its rod$/);
});

it('a pose that is in reach, but not where it is smaller, is looked at again', () => {
  // Actuators that may be hardly shorter than at home: low and far to the side they are long enough, on the way there not.
  const lift = rigFrom(LIFT);
  const joints = lift.joints.map((joint) => ({ ...joint, lo: joint.home - 3, hi: 500 }));
  const rig = { ...lift, joints, platform: { ...lift.platform!, stroke_mm: [10, 900] as const } };
  const poses = [
    [-260, 0, -50, 0, 0, 0],
    [0, 0, 1000, 0, 0, 0],
  ];
  const rows = Float64Array.from([...poses[0]!, ...poses.flat(), ...poses[1]!]);
  expect(whatStops(rig, poses[0]!)).toBeNull();
  const { share } = tooLarge(rig, { name: 'side.csv', dt_s: 0.02, ticks: 2, size: 6, rows })!;
  for (const pose of poses)
    expect(
      whatStops(
        rig,
        pose.map((value) => share * value),
      ),
    ).toBeNull();
});

it('of a stream in reach there is nothing to say', () => {
  expect(tooLarge(base, upwards(0.1))).toBeNull();
});

it('a design that falls short of it is said to, by how much', () => {
  const subject = subjectOf(describeProblem(wantOf(NECK)));
  const moving = { ...subject, ask: { ...subject.ask, stream: upwards(30) } };
  const wish = { path: 'must.follow' } as Wish;
  const design = { ...designOf(base), home_z_mm: null };
  const words = followWords(moving, wish, design);
  expect(words).toMatch(
    /^must\.follow: poses of the stream are out of reach, at \d+ % of their size all are in reach: at 0\.2 s, z 300 mm, leg\d/,
  );
});
