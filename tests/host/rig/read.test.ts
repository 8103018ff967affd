/** What a right rig file turns into: units, defaults, servo classes by voltage, geometry; and what it is warned of. */
import { describe, expect, it } from 'vitest';
import { levelHome } from '../../../host/rig/geometry.ts';
import { legCoordinate } from '../../../host/rig/legs.ts';
import { readRig, rigSchemaJson } from '../../../host/rig/read.ts';
import { HOME, toDeg, toRad } from '../../../host/rig/rig.ts';
import { JOINTS_ONLY, LINEAR, OWL, problemsOf, rigOf, swap } from './owl.ts';

const joint = (text: string, name: string) => rigOf(text).joints.find((it) => it.name === name)!;

describe('a crank rig', () => {
  const rig = rigOf(OWL);

  it('has its legs first, each on its pin, the joint at index i on i + 2', () => {
    expect(rig.joints.map(({ name, pin }) => [name, pin])).toEqual([
      ['leg1', 2],
      ['leg2', 3],
      ['leg3', 4],
      ['leg4', 5],
      ['leg5', 6],
      ['leg6', 7],
      ['nod', 8],
      ['lid', 9],
    ]);
  });

  it('fills in what a leg does not say', () => {
    expect(rig.joints[0]).toMatchObject({ sense: -1, centre_us: 1512, range_us: [600, 2400] });
    expect(rig.joints[1]).toMatchObject({ sense: 1, centre_us: 1500, kind: 'leg', unit: 'deg', gear_ratio: 1 });
    expect(rig.joints[1]!.speed).toBeCloseTo(toRad(220), 12);
    expect(rig.joints[1]!.minus).toBeCloseTo(toRad(2200), 12);
  });

  it('puts the gear into the pulse scale: 10 us a degree behind 3:1 is 30 us a degree at the axis', () => {
    const nod = rig.joints[6]!;
    expect(nod.us_per_unit * toRad(1)).toBeCloseTo(30, 12);
    expect(nod).toMatchObject({ gear_efficiency: 0.9, gear_play_rad: null, axis: { on: null, along: [0, -1, 0] } });
    expect([nod.lo, nod.hi, nod.rest, nod.home, nod.plus, nod.minus].map((value) => Math.round(toDeg(value)))).toEqual([
      -30, 25, -20, 0, 1500, 1200,
    ]);
  });

  it('takes 0 for home, or the soft limit nearest to it, and home for rest', () => {
    expect(toDeg(rig.joints[7]!.home)).toBeCloseTo(5, 12);
    expect(rig.joints[7]!.rest).toBe(rig.joints[7]!.home);
    expect(joint(JOINTS_ONLY, 'right').home).toBeCloseTo(toRad(-5), 12);
    expect(joint(JOINTS_ONLY, 'left').home).toBe(0);
  });

  it('stands level at home, and where the file says at rest', () => {
    const { legs, home_z_mm, rest } = rig.platform!;
    expect(legs).toHaveLength(6);
    // Level: crank flat, so that rod, its rise and its way over the ground make a right triangle (Pythagoras); by symmetry for all legs.
    const [base, moving, azimuth] = [legs[0]!.base_mm, legs[0]!.moving_mm, legs[0]!.azimuth_rad];
    const way = Math.hypot(moving[0] - base[0] - 22 * Math.cos(azimuth), moving[1] - base[1] - 22 * Math.sin(azimuth));
    expect(home_z_mm).toBeCloseTo(Math.sqrt(120 ** 2 - way ** 2), 9);
    for (const leg of rig.joints.slice(0, 6)) expect(Math.abs(leg.home)).toBeLessThan(1e-9);
    expect(rest).toEqual([0, 0, -8, 0, 0, 0]);
    rig.joints.slice(0, 6).forEach((leg, i) => {
      expect(leg.rest).toBe(legCoordinate(rig.platform!, i, rest));
    });
  });

  it('lays a symmetric plate out as minus, plus around 0, 120 and 240 degrees', () => {
    const azimuths = rig.platform!.legs.map(({ base_mm: [x, y] }) => Math.round((toDeg(Math.atan2(y, x)) + 360) % 360));
    expect(azimuths).toEqual([346, 14, 106, 134, 226, 254]);
    for (const { base_mm, moving_mm } of rig.platform!.legs) {
      expect(Math.hypot(...base_mm)).toBeCloseTo(70, 12);
      expect(Math.hypot(...moving_mm)).toBeCloseTo(55, 12);
    }
  });

  it.each([
    ['outward', [-90, 90, 30, 210, 150, 330]],
    ['inward', [90, -90, 210, 30, 330, 150]],
    ['[1, 2, 3, 4, 5, 6]', [1, 2, 3, 4, 5, 6]],
  ])('turns its cranks %s', (azimuth, expected) => {
    const read = rigOf(
      swap(
        OWL,
        ['crank_azimuth_deg: outward', `crank_azimuth_deg: ${azimuth}`],
        ['  rod_end_deg: 28\n', ''],
        ['rod_mm: 120', 'rod_mm: 150'],
        ['home_z_mm: level', 'home_z_mm: 140'],
        ['limit_deg: [-60, 60]', 'limit_deg: [-88, 88]'],
        ['  rest: { z_mm: -8 }\n', ''],
      ),
    );
    expect(read.platform?.legs.map(({ azimuth_rad }) => Math.round(toDeg(azimuth_rad)))).toEqual(expected);
  });

  it('takes the masses of cranks and rods where they are given, with where they come from', () => {
    expect([rig.platform?.crank_kg, rig.platform?.rod_kg]).toEqual([null, null]);
    const weighed = 'rod_mm: 120\n  crank_kg: 0.012\n  rod_kg: { value: 0.02, from: measured }';
    const read = rigOf(swap(OWL, ['rod_mm: 120', weighed]));
    expect([read.platform?.crank_kg, read.platform?.rod_kg]).toEqual([0.012, 0.02]);
    expect(read.sources.get('platform.rod_kg')).toEqual({ from: 'measured', within_percent: null });
    expect(rigOf(swap(OWL, ['rod_mm: 120', 'rod_mm: 120\n  rod_kg: unknown'])).platform?.rod_kg).toBeNull();
  });

  it('remembers where figures come from', () => {
    expect(rig.sources.get('parts.frame.mass_kg')).toEqual({ from: 'measured', within_percent: 2 });
    expect(rig.sources.get('servos.neck.stiffness_nm_rad')).toEqual({ from: 'unknown', within_percent: null });
    expect(rig.sources.has('servos.neck.stall_torque_nm')).toBe(false);
    expect(rig.joints[6]!.servo).toMatchObject({
      stiffness_nm_rad: null,
      friction_nm: null,
      continuous_use: 0.5,
      peak_use: 0.8,
      no_pulse: 'unknown',
    });
  });

  it('fills in motion and parts', () => {
    expect(rig.motion).toMatchObject({
      tick_hz: 200,
      playback_delay_ms: 120,
      look_ahead_ms: 60,
      hold_s: 10,
      wobble: { cure: 'none' },
    });
    expect(rig.motion.pose_speed).toEqual([null, null, null, null, null, null]);
    expect(rig.parts[0]).toMatchObject({
      on: 'moving',
      mass_kg: 0.62,
      shape: { kind: 'ellipsoid_shell', radii_mm: [60, 55, 50] },
      fitted: true,
    });
    expect(rig.board).toEqual({
      kind: 'pico',
      link: 'usb',
      baud: null,
      stop: { pin: 20, category: 1 },
      power_pin: 21,
    });
  });
});

describe('a measured, crooked platform', () => {
  it('finds the highest height at which the mean crank angle is 0', () => {
    const { platform } = rigOf(OWL);
    const crooked = {
      ...platform!,
      legs: platform!.legs.map((leg, i) => ({
        ...leg,
        base_mm: [leg.base_mm[0], leg.base_mm[1] + i / 5, i / 2] as const,
      })),
    };
    const home_z_mm = levelHome(crooked)!;
    const mean = (z_mm: number) =>
      crooked.legs.reduce((sum, _, i) => sum + legCoordinate({ ...crooked, home_z_mm: z_mm }, i, HOME)! / 6, 0);
    expect(Math.abs(mean(home_z_mm))).toBeLessThan(1e-12);
    // The mean angle rises with the height, so there is no higher one.
    expect(mean(home_z_mm + 1)).toBeGreaterThan(0);
    expect(mean(home_z_mm - 1)).toBeLessThan(0);
  });
});

describe('a linear rig', () => {
  it('goes by mm, with mid-stroke at the centre pulse', () => {
    const rig = rigOf(LINEAR);
    expect(rig.platform).toMatchObject({
      drive: 'linear',
      stroke_mm: [250, 350],
      crank_mm: 0,
      rod_end_rad: null,
      mounted: false,
    });
    expect(rig.joints[0]).toMatchObject({
      unit: 'mm',
      centre: 300,
      us_per_unit: 8,
      lo: 255,
      hi: 345,
      speed: 30,
      plus: 200,
      minus: 200,
    });
    expect(rig.joints[1]).toMatchObject({ lo: 260, hi: 340 });
    expect(rig.joints[0]!.servo).toMatchObject({ drive: 'linear', stall: 90, no_load_speed: 40 });
  });

  it('may have its plates at one height, home_z_mm 0, when its points are measured', () => {
    const ring = (radius: number, z: number) =>
      JSON.stringify(
        [10, 50, 130, 170, 250, 290].map((deg) => [radius * Math.cos(toRad(deg)), radius * Math.sin(toRad(deg)), z]),
      );
    const text = swap(
      LINEAR,
      ['{ radius_mm: 200, half_angle_deg: 10 }', `{ points_mm: ${ring(200, 0)} }`],
      ['{ radius_mm: 150, half_angle_deg: 50 }', `{ points_mm: ${ring(150, 290)} }`],
      ['home_z_mm: 250', 'home_z_mm: 0'],
    );
    expect(rigOf(text).joints[0]!.home).toBeCloseTo(Math.hypot(50, 290), 9);
  });
});

describe('servo figures', () => {
  const face = (figures: string, after = '') =>
    joint(`${swap(JOINTS_ONLY, ['stall_torque_ozin: 30, no_load_speed_deg_s: 500', figures])}${after}`, 'left').servo;

  // NIST SP 811 (2008), appendix B.8: kilogram-force meter to newton meter 9.80665 E+00, ounce-force inch 7.061552 E-03 (from memory).
  it.each([
    ['stall_torque_kgcm: 10', 0.980665, 1e-12],
    ['stall_torque_ozin: 100', 0.7061552, 1e-7],
    ['stall_torque_nm: 1.5', 1.5, 1e-12],
  ])('%s', (torque, nm, within) => {
    expect(Math.abs(face(`${torque}, no_load_speed_deg_s: 500`).stall! - nm)).toBeLessThan(within);
  });

  it('0.12 s for 60 degrees are 500 degrees a second', () => {
    expect(toDeg(face('stall_torque_nm: 1, no_load_s_per_60deg: 0.12').no_load_speed!)).toBeCloseTo(500, 9);
  });

  const rows =
    'at_v: { 6.0: { stall_torque_nm: 2, no_load_speed_deg_s: 600, stall_current_a: 3 }, 4.8: { stall_torque_nm: 1.6, no_load_speed_deg_s: 480 } }';
  const supply = (volts: string) => `supply: { kind: mains, voltage_v: ${volts} }\n`;

  it('takes the row of the supply’s voltage', () => {
    expect(face(rows, supply('6')).stall).toBe(2);
    expect(face(rows, supply('6')).stall_current_a).toBe(3);
    expect(face(rows, supply('4.8')).stall).toBe(1.6);
  });

  it('goes in a straight line between rows (common practice), and knows nothing where a row does not', () => {
    const servo = face(rows, supply('5.4'));
    expect(servo.stall).toBeCloseTo(1.8, 12);
    expect(toDeg(servo.no_load_speed!)).toBeCloseTo(540, 9);
    expect(servo.stall_current_a).toBeNull();
  });

  it('says when no row can be chosen', () => {
    const { rig, problems } = readRig(swap(JOINTS_ONLY, ['stall_torque_ozin: 30, no_load_speed_deg_s: 500', rows]));
    expect(problems).toMatchObject([{ severity: 'warning', path: 'servos.face.at_v' }]);
    expect(rig?.joints[0]?.servo.stall).toBeNull();
  });
});

describe('warnings', () => {
  const warnings = (text: string) =>
    problemsOf(text)
      .filter(({ severity }) => severity === 'warning')
      .map(({ path, message }) => `${path}: ${message}`);

  it('a board of another name, and pins that a board does not have', () => {
    expect(warnings(swap(OWL, ['kind: pico', 'kind: nano']))).toEqual([
      'board.kind: found nano; there is firmware for pico, f405 and native, and no other',
    ]);
    expect(warnings(swap(OWL, ['pin: 20, category', 'pin: 25, category'], ['power_pin: 21', 'power_pin: 1']))).toEqual([
      'board.stop.pin: found 25; a pico has pins 18 to 22 and 26 to 27 for it: the stop input would do nothing',
      'board.power_pin: found 1; a pico has pins 18 to 22 and 26 to 27 for it: the power switch would do nothing',
    ]);
    expect(warnings(swap(OWL, ['lid: {', 'lid: { pin: 19,']))).toEqual([
      'joints.lid.pin: found 19; a pico has servo pins 2 to 17: this joint would have no pulses',
    ]);
  });

  it('a battery that the board cannot watch, and one that is too much for it', () => {
    const battery = (volts: number, kind: string, low_v = 5.5): string =>
      swap(
        OWL,
        [
          'kind: mains, voltage_v: 6',
          `kind: battery, cells: 2, fuse_a: 10, low_v: ${String(low_v)}, voltage_v: ${String(volts)}`,
        ],
        ['kind: pico', `kind: ${kind}`],
      );
    expect(warnings(battery(6, 'pico'))).toEqual([]);
    expect(warnings(battery(6, 'f405'))).toEqual([
      'supply.low_v: found 5.5, but the board f405 cannot measure its supply: nothing settles the prop when it runs low',
    ]);
    // 18.3 V at the divider are 16.1 V of a battery's name.
    expect(warnings(battery(16.1, 'pico', 13))).toEqual([]);
    expect(warnings(battery(16.2, 'pico', 13))).toEqual([
      'supply.voltage_v: found 16.2; a pico measures its supply, for low_v, up to 18.3 V, and a full battery has up to 14 % more than its name says: more would harm it',
    ]);
  });

  it('more current stalled than the supply gives: 7 × 1 A + 0.5 A over 7 A', () => {
    expect(warnings(swap(OWL, ['current_a: 10', 'current_a: 7']))).toEqual([
      expect.stringMatching(
        /^supply\.current_a: all 8 servos stalled at once would draw 7\.5 A, but the supply gives only 7 A/,
      ),
    ]);
    expect(warnings(swap(OWL, ['current_a: 10', 'current_a: 7.5']))).toEqual([]);
    expect(
      warnings(swap(OWL, ['current_a: 10', 'current_a: 7'], ['stall_current_a: 0.5', 'stall_current_a: unknown'])),
    ).toEqual([]);
  });

  it('a gear that leaves too little travel: 180 deg of the servo behind 4:1 are 45, and 55 are asked', () => {
    expect(warnings(swap(OWL, ['gear_ratio: 3', 'gear_ratio: 4']))).toEqual([
      expect.stringMatching(/^joints\.nod\.gear_ratio: a gear of 4:1 leaves 45 deg .* ask for 55 deg/),
    ]);
  });

  it('what may not run unattended', () => {
    expect(
      warnings(swap(OWL, ['rest: on_stop', 'rest: powered'], ['audience: bench', 'audience: within_reach'])),
    ).toEqual([expect.stringMatching(/^rest: .*would fall/), expect.stringMatching(/^audience: .*behind_barrier/)]);
  });

  it('moments of inertia that no body has', () => {
    expect(warnings(swap(OWL, ['at_mm: [60, 0, 40]', 'at_mm: [60, 0, 40], inertia_kgmm2: [1, 1, 9]']))).toEqual([
      expect.stringMatching(/^parts\.frame\.inertia_kgmm2: found 1, 1 and 9/),
    ]);
  });
});

describe('the JSON Schema', () => {
  const schema = JSON.parse(JSON.stringify(rigSchemaJson())) as {
    properties: Record<string, object> & { platform: { oneOf: { properties: Record<string, object> }[] } };
    additionalProperties: boolean;
    required: string[];
  };

  it('knows the same keys, closed to others', () => {
    expect(Object.keys(schema.properties)).toEqual([
      'rig',
      'platform',
      'parts',
      'servos',
      'joints',
      'motion',
      'supply',
      'rest',
      'audience',
      'board',
      'night',
    ]);
    expect(schema.additionalProperties).toBe(false);
    expect(schema.required).toEqual(['rig', 'servos', 'rest']);
    const weighed = schema.properties.platform.oneOf.map(({ properties }) =>
      Object.keys(properties).filter((key) => key.endsWith('_kg')),
    );
    expect(weighed).toEqual([['crank_kg', 'rod_kg'], []]);
  });
});
