import { afterAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { run, scratch } from './fixture.ts';

const folder = scratch();
afterAll(folder.remove);
/** An owl's head, invented: six cranks, mounted so that it looks forward. */
const OWL = `rig: test-owl
platform:
  drive: crank
  mount: { at_mm: [30, 0, 55], rpy_deg: [0, 90, 0] }
  base: { radius_mm: 70, half_angle_deg: 14 }
  moving: { radius_mm: 55, half_angle_deg: 46 }
  crank_mm: 22
  rod_mm: 120
  crank_azimuth_deg: outward
  rod_end_deg: 28
  home_z_mm: level
  rest: { z_mm: -4 }
  servo: neck
  limit_deg: [-60, 60]
servos:
  neck:
    stall_torque_nm: 1.9
    no_load_speed_deg_s: 380
    frame_hz: 50
    centre_us: 1500
    us_per_deg: 10
    range_us: [600, 2400]
joints:
  leg1: { pin: 2 }
  leg2: { pin: 3 }
  leg3: { pin: 4 }
  leg4: { pin: 5 }
  leg5: { pin: 6 }
  leg6: { pin: 7 }
motion:
  tick_hz: 200
  playback_delay_ms: 80
  leg: { speed_deg_s: 220, accel_deg_s2: { plus: 1500, minus: 2200 } }
rest: on_stop
audience: bench
`;
const owl = folder.put('owl.yaml', OWL);

/** A lift, invented: six actuators of 130 to 200 mm on the ground. */
const lift = folder.put(
  'lift.yaml',
  `rig: test-lift
platform:
  drive: linear
  base: { radius_mm: 90, half_angle_deg: 14 }
  moving: { radius_mm: 60, half_angle_deg: 46 }
  stroke_mm: [130, 200]
  home_z_mm: 150
  rest: { z_mm: -10 }
  servo: ram
  limit_mm: [135, 195]
servos:
  ram:
    force_n: 60
    speed_mm_s: 20
    frame_hz: 50
    centre_us: 1500
    us_per_mm: 14
    range_us: [1000, 2000]
joints:
  leg1: { pin: 2 }
  leg2: { pin: 3 }
  leg3: { pin: 4 }
  leg4: { pin: 5 }
  leg5: { pin: 6 }
  leg6: { pin: 7 }
motion:
  tick_hz: 200
  playback_delay_ms: 80
  leg: { speed_mm_s: 15, accel_mm_s2: 100 }
rest: on_stop
audience: bench
`,
);

const pair = z.tuple([z.number(), z.number()]);
const stop = z.strictObject({ joint: z.string(), cause: z.enum(['rod', 'stroke', 'limit', 'rod_end']) }).nullable();
const crankLegs = z.array(
  z.strictObject({
    name: z.string(),
    angle_deg: z.number().nullable(),
    pulse_us: z.number().nullable(),
    room_deg: pair.nullable(),
  }),
);
const actuators = z.array(
  z.strictObject({
    name: z.string(),
    length_mm: z.number().nullable(),
    pulse_us: z.number().nullable(),
    room_mm: pair.nullable(),
  }),
);
const touching = z.string().nullable();
const cranksAnswer = z.strictObject({
  reachable: z.boolean(),
  joints: crankLegs.length(6),
  stopped_by: stop,
  touching,
});
const actuatorsAnswer = z.strictObject({
  reachable: z.boolean(),
  joints: actuators.length(6),
  stopped_by: stop,
  touching,
});
const record = z.strictObject({
  x_mm: z.number(),
  y_mm: z.number(),
  z_mm: z.number(),
  roll_deg: z.number(),
  pitch_deg: z.number(),
  yaw_deg: z.number(),
});
const legsAnswer = z.strictObject({
  pose: record.nullable(),
  residual_mm: z.number().nullable(),
  stopped_by: stop,
  touching,
});
const refusal = z.object({
  ok: z.literal(false),
  problems: z.array(z.object({ file: z.string(), message: z.string() })),
});

async function json<T>(schema: z.ZodType<T>, code: number, ...argv: string[]): Promise<T> {
  const ran = await run(['solve', ...argv, '--json']);
  expect(ran.code, ran.err).toBe(code);
  expect(ran.out).not.toMatch(/: NaN/);
  return schema.parse(JSON.parse(ran.out));
}

describe('solve --pose', () => {
  it('puts the cranks of a level home at 0 degrees and 1500 us, with all their room', async () => {
    const { reachable, joints, stopped_by } = await json(cranksAnswer, 0, owl, '--pose', '0,0,0,0,0,0');
    expect([reachable, stopped_by]).toEqual([true, null]);
    expect(joints.map(({ name }) => name)).toEqual(['leg1', 'leg2', 'leg3', 'leg4', 'leg5', 'leg6']);
    for (const { angle_deg, pulse_us, room_deg } of joints) {
      expect(angle_deg).toBeCloseTo(0, 9);
      expect(pulse_us).toBeCloseTo(1500, 6);
      expect(room_deg?.[0]).toBeCloseTo(60, 9);
      expect(room_deg?.[1]).toBeCloseTo(60, 9);
    }
  });

  it('takes the axes of the carrier: forward, for a face, is off its base plate, and lifts all cranks', async () => {
    const { joints } = await json(cranksAnswer, 0, owl, '--pose', '5,0,0,0,0,0');
    const angles = joints.map(({ angle_deg }) => angle_deg ?? NaN);
    for (const angle of angles) expect(angle).toBeCloseTo(angles[0]!, 9);
    // Rod nearly upright: 22 mm · sin(angle) is about 5 mm.
    expect(angles[0]).toBeGreaterThan(11);
    expect(angles[0]).toBeLessThan(15);
    for (const { pulse_us, angle_deg } of joints) expect(pulse_us).toBeCloseTo(1500 + 10 * angle_deg!, 9);
  });

  it('tells bodies that come too near at the pose, and does not count them as what stops it', async () => {
    // A crank's end, 22 mm out, is a rod's half thickness of 3 mm above its axis' height of 20 mm less 22 mm · sin(angle): forward is up.
    const bodies = folder.put(
      'bodies.yaml',
      OWL.replace('  rod_mm: 120\n', '  rod_mm: 120\n  clearance: { axes_above_base_mm: 20, gap_mm: 4 }\n'),
    );
    const free = await json(cranksAnswer, 0, bodies, '--pose', '-9,0,0,0,0,0');
    const near = await json(cranksAnswer, 0, bodies, '--pose', '-15,0,0,0,0,0');
    const room = (answer: typeof near): number =>
      20 - 3 + 22 * Math.sin((answer.joints[0]!.angle_deg! * Math.PI) / 180);
    expect(room(free)).toBeGreaterThan(4);
    expect(free.touching).toBeNull();
    expect(room(near)).toBeLessThan(4);
    expect(near.touching).toMatch(
      new RegExp(
        `^leg\\d’s crank and the base plate come within ${room(near).toFixed(1)} mm of each other; gap_mm asks for 4 mm\\.$`,
      ),
    );
    const legs = near.joints.map(({ angle_deg }) => String(angle_deg)).join(',');
    const words = [
      await run(['solve', bodies, '--pose', '-15,0,0,0,0,0']),
      await run(['solve', bodies, '--cranks', legs]),
    ];
    for (const { out } of words)
      expect(out.replace(/leg\d/g, 'leg')).toContain(`\nCaution: ${near.touching!.replace(/leg\d/g, 'leg')}\n`);
  });

  it('exits 1 at a soft limit, and still says where the legs would stand', async () => {
    const narrow = folder.put('narrow.yaml', OWL.replace('limit_deg: [-60, 60]', 'limit_deg: [-12, 8]'));
    const { reachable, joints, stopped_by } = await json(cranksAnswer, 1, narrow, '--pose', '5,0,0,0,0,0');
    expect([reachable, stopped_by]).toEqual([false, { joint: 'leg1', cause: 'limit' }]);
    expect(joints[0]?.room_deg?.[1]).toBeLessThan(0);
    expect(joints[0]?.room_deg?.[0]).toBeCloseTo(12 + joints[0]!.angle_deg!, 9);
  });

  it('exits 1 out of reach: null, never a number, for the legs that do not reach', async () => {
    const { reachable, joints, stopped_by } = await json(cranksAnswer, 1, owl, '--pose', '90,0,0,0,0,0');
    expect([reachable, stopped_by]).toEqual([false, { joint: 'leg1', cause: 'rod' }]);
    for (const { name, ...rest } of joints)
      expect(rest, name).toEqual({ angle_deg: null, pulse_us: null, room_deg: null });
  });

  it('exits 1 when a rod end tilts too far', async () => {
    const stiff = folder.put('stiff.yaml', OWL.replace('rod_end_deg: 28', 'rod_end_deg: 18'));
    const { joints, stopped_by } = await json(cranksAnswer, 1, stiff, '--pose', '0,0,0,0,10,0');
    expect(stopped_by?.cause).toBe('rod_end');
    for (const { angle_deg } of joints) expect(angle_deg).not.toBeNull();
  });

  it('gives lengths in mm for actuators, and their stroke as what stops them', async () => {
    const home = await json(actuatorsAnswer, 0, lift, '--pose', '0,0,0,0,0,0');
    // Pin to pin at home by Pythagoras: radii 90 and 60 mm, 32 degrees apart, 150 mm up.
    const across = 90 ** 2 + 60 ** 2 - 2 * 90 * 60 * Math.cos((32 * Math.PI) / 180);
    for (const { length_mm, pulse_us } of home.joints) {
      expect(length_mm).toBeCloseTo(Math.sqrt(across + 150 ** 2), 9);
      expect(pulse_us).toBeCloseTo(1500 + 14 * (length_mm! - 165), 9);
    }
    const high = await json(actuatorsAnswer, 1, lift, '--pose', '0,0,60,0,0,0');
    expect(high.stopped_by).toEqual({ joint: 'leg1', cause: 'stroke' });
    expect(high.joints[0]?.length_mm).toBeNull();
  });

  it.each([
    ['owl', owl, '0,0,2,0,-8,8', 'yes', ['within its limits', 'leg6', ' deg', ' µs', 'room down']],
    ['owl', owl, '90,0,0,0,0,0', 'no', ['crank and rod of leg1 cannot reach', 'out of reach']],
    ['lift', lift, '0,0,60,0,0,0', 'no', ['leg1 would have to be 216.0 mm long; its stroke is 130 to 200 mm']],
    ['lift', lift, '0,0,40,0,0,0', 'no', ['leg1 would be at 196.6 mm', 'soft limits are 135.0 mm to 195.0 mm']],
    ['owl, stiff', folder.path('stiff.yaml'), '0,0,0,0,10,0', 'no', ['rod end of leg', 'it allows 18.0 deg']],
  ])('says it in words: %s, %s %s', async (_, rig, pose, word, words) => {
    const { code, out } = await run(['solve', rig, '--pose', pose]);
    expect(code).toBe(word === 'yes' ? 0 : 1);
    expect(out).toContain(`Can it get there? ${word}: `);
    for (const text of words) expect(out).toContain(text);
    expect(out).not.toMatch(/NaN|undefined|null/);
  });
});

describe('solve --cranks and --lengths', () => {
  it.each([
    [owl, '--cranks', 'angle_deg', '3,-2,4,5,-6,7'],
    [lift, '--lengths', 'length_mm', '3,-2,4,5,-6,7'],
  ] as const)('find the pose again: %s', async (rig, option, key, pose) => {
    const there = await run(['solve', rig, '--pose', pose, '--json']);
    const { joints } = z.object({ joints: z.array(z.record(z.string(), z.unknown())) }).parse(JSON.parse(there.out));
    const legs = joints.map((joint) => String(joint[key])).join(',');
    const back = await json(legsAnswer, 0, rig, option, legs);
    expect(Object.keys(back.pose!)).toEqual(['x_mm', 'y_mm', 'z_mm', 'roll_deg', 'pitch_deg', 'yaw_deg']);
    pose.split(',').forEach((value, k) => expect(Object.values(back.pose!)[k]).toBeCloseTo(Number(value), 9));
    expect(back.residual_mm).toBeLessThan(1e-9);
    expect(back.stopped_by).toBeNull();
  });

  it('say which soft limit the legs are past, and give the pose all the same', async () => {
    const { pose, stopped_by } = await json(legsAnswer, 1, owl, '--cranks', '0,0,65,65,0,0');
    expect(pose).not.toBeNull();
    expect(stopped_by).toEqual({ joint: 'leg3', cause: 'limit' });
  });

  it('answer null for legs that fit no pose', async () => {
    const apart = await json(legsAnswer, 1, lift, '--lengths', '1,1000,160,160,160,160');
    expect(apart).toEqual({ pose: null, residual_mm: null, stopped_by: null, touching: null });
    const { code, out } = await run(['solve', lift, '--lengths', '1,1000,160,160,160,160']);
    expect(code).toBe(1);
    expect(out).toContain('no pose of the plate fits all six');
  });

  it('say it in words', async () => {
    const { code, out } = await run(['solve', owl, '--cranks', '10,10,10,10,10,10']);
    expect(code).toBe(0);
    for (const text of [
      'yes: these legs hold the plate at this pose',
      'x',
      'yaw',
      '0.000 deg',
      '1600.0 µs',
      '70.00 deg',
      '50.00 deg',
    ])
      expect(out).toContain(text);
  });
});

describe('solve refuses with exit code 2, in words', () => {
  const rigWithoutPlatform = folder.put(
    'lid.yaml',
    OWL.replace(/^platform:\n(?: .*\n)+/m, '')
      .replace(/^ {2}leg\d.*\n/gm, '')
      .replace(/^ {2}leg: .*\n/m, '')
      .replace(
        'joints:\n',
        'joints:\n  lid: { servo: neck, pin: 9, limit_deg: [0, 55], speed_deg_s: 300, accel_deg_s2: 4000 }\n',
      ),
  );
  it.each([
    ['five numbers', [owl, '--pose', '0,0,0,0,0'], '--pose', 'six numbers'],
    ['seven numbers', [owl, '--cranks', '0,0,0,0,0,0,0'], '--cranks', 'found 7'],
    ['nothing', [owl, '--pose', ''], '--pose', 'found nothing'],
    ['words', [owl, '--pose', '0,0,up,0,0,0'], '--pose', 'z_mm is "up", not a number'],
    ['a gap', [owl, '--pose', '0,0,,0,0,0'], '--pose', 'z_mm is empty'],
    ['an infinity', [owl, '--pose', '0,0,Infinity,0,0,0'], '--pose', 'not finite'],
    ['NaN', [owl, '--cranks', '0,NaN,0,0,0,0'], '--cranks', 'leg2 is "NaN"'],
    ['neither option', [owl], 'solve', '--pose or --cranks'],
    ['both', [owl, '--pose', '0,0,0,0,0,0', '--cranks', '0,0,0,0,0,0'], 'solve', 'more than one'],
    ['lengths for cranks', [owl, '--lengths', '1,1,1,1,1,1'], '--lengths', '--cranks'],
    ['cranks for actuators', [lift, '--cranks', '1,1,1,1,1,1'], '--cranks', '--lengths'],
    ['a missing file', [folder.path('none.yaml'), '--pose', '0,0,0,0,0,0'], folder.path('none.yaml'), 'no such file'],
    ['a rig of joints only', [rigWithoutPlatform, '--pose', '0,0,0,0,0,0'], rigWithoutPlatform, 'joints only'],
  ])('%s', async (_, argv, file, words) => {
    const { problems } = await json(refusal, 2, ...argv);
    expect(problems.map((problem) => problem.file)).toContain(file);
    expect(problems.map(({ message }) => message).join('\n')).toContain(words);
    const plain = await run(['solve', ...argv]);
    expect([plain.code, plain.out]).toEqual([2, '']);
    expect(plain.err).toContain(words);
  });

  it('tells all wrong numbers at once', async () => {
    const { problems } = await json(refusal, 2, owl, '--pose', 'a,0,b,0,0,c');
    expect(problems).toHaveLength(3);
  });
});
