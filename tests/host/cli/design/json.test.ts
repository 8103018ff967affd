/** What is built of each design, in the JSON document: keys with their units, null where there is none or it is as given. */
import { expect, it } from 'vitest';
import type { Answer } from '../../../../host/design/answer.ts';
import { type Design, designOf } from '../../../../host/design/design.ts';
import type { Judged } from '../../../../host/design/judge.ts';
import { describeProblem, subjectOf } from '../../../../host/design/problem-of.ts';
import { answerJson } from '../../../../host/cli/design/json.ts';
import type { Rig } from '../../../../host/rig/rig.ts';
import { toRad } from '../../../../host/rig/rig.ts';
import { NECK, wantOf } from '../../design/want/wants.ts';
import { LIFT, rigFrom } from '../../load/rigs.ts';

const want = wantOf(NECK);

/** The first of the front, with this design and the servos of this rig. */
function first(rig: Rig, design: Partial<Design>): unknown {
  const judged = {
    rig,
    travel: [],
    use: null,
    hold_use: 0.2,
    torque_used: { use: 0.2, joint: 'leg1', where: 'home' },
    lowest_hz: 6,
    price: null,
    size_mm: { base_radius: 70, plate_radius: 55, height: 150 },
    peak_a: null,
    axis_hold_nm: {},
    left_alone: [],
  } as unknown as Judged;
  const shown = {
    ...{ file: '1.yaml', name: 'one', why: 'smallest', balanced: true, binds: [], objectives: [] },
    ...{ robust: null, travel_share: null, least_axis: null, volume_cm3: 2000 },
    design: { ...designOf(rig), ...design },
    judged,
  };
  const answer: Answer = {
    subject: subjectOf(describeProblem(want)),
    front: { shown: [shown], dropped: [], before_nm: {} },
    ...{
      relaxed: [],
      nearest: [],
      missing: [],
      evaluated: 1,
      feasible: 1,
      late: false,
      few: true,
      complete: true,
      seed: 1,
    },
  };
  return (answerJson(answer) as { front: unknown[] }).front[0];
}

it('cranks and rods; soft limits in degrees, null as given; the servo of each joint that is designed', () => {
  const axis = { joint: 'nod', gear_ratio: 3, counterweight: null, servo: 1 };
  const limits = [toRad(-40), toRad(50)] as const;
  const drawnIn = first(want.base, { limits, axes: [axis] });
  expect(drawnIn).toMatchObject({ crank_mm: 22, rod_mm: 120, stroke_mm: null, limits_deg: [-40, 50] });
  expect(drawnIn).toMatchObject({
    axes: [{ ...axis, servo: want.base.joints.find(({ name }) => name === 'nod')!.servo.name }],
  });
  expect(first(want.base, {})).toMatchObject({ limits_deg: null });
});

it('actuators: shortest and longest in place of cranks and rods, soft limits in mm', () => {
  const lift = rigFrom(LIFT);
  const none = { crank_mm: null, rod_mm: null };
  expect(first(lift, { limits: [150, 170] })).toMatchObject({ ...none, stroke_mm: [130, 200], limits_mm: [150, 170] });
  expect(first(lift, {})).toMatchObject({ ...none, limits_mm: null });
});
