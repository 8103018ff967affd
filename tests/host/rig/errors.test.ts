/** Every mistake a maker may make in a rig file: told at its key, with its line, in words that say what is allowed. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readRig } from '../../../host/rig/read.ts';
import { JOINTS_ONLY, LINEAR, OWL, lineOf, problemsOf, swap } from './owl.ts';

/** What is wrong, what to put for what, where it is told, and words of the message. */
type Case = readonly [what: string, from: string, to: string, path: string, words: RegExp];

const CASES: readonly Case[] = [
  [
    'a wrong type',
    'crank_mm: 22',
    'crank_mm: long',
    'platform.crank_mm',
    /found "long"; allowed: a length in mm, above 0/,
  ],
  ['a decimal comma', 'crank_mm: 22', 'crank_mm: 22,5', 'platform.crank_mm', /decimal point: 22\.5/],
  ['a unit beside the number', 'crank_mm: 22', 'crank_mm: 22 mm', 'platform.crank_mm', /the number alone/],
  ['an unknown key', 'crank_mm: 22', 'crank_m: 22', 'platform.crank_m', /nearest known key is crank_mm/],
  ['an unknown key at the top', 'audience: bench', 'audence: bench', 'audence', /nearest known key is audience/],
  [
    'an unknown key in a figure',
    'within_percent: 2 ',
    'within_percnt: 2 ',
    'parts.frame.mass_kg.within_percnt',
    /within_percent/,
  ],
  [
    'a negative length',
    'rod_mm: 120',
    'rod_mm: -120',
    'platform.rod_mm',
    /found -120; allowed: a length in mm, above 0/,
  ],
  ['a length of 0', 'radius_mm: 70', 'radius_mm: 0', 'platform.base.radius_mm', /found 0; allowed/],
  [
    'a length that cannot be unknown',
    'rod_mm: 120',
    'rod_mm: unknown',
    'platform.rod_mm',
    /found unknown, but nothing can be worked out/,
  ],
  ['1e400', 'rod_mm: 120', 'rod_mm: 1e400', 'platform.rod_mm', /number without end/],
  ['.inf', 'stall_torque_nm: 1.9', 'stall_torque_nm: .inf', 'servos.neck.stall_torque_nm', /without end/],
  ['.nan', 'stall_torque_nm: 1.9', 'stall_torque_nm: .nan', 'servos.neck.stall_torque_nm', /not a number/],
  ['1e300', 'stall_torque_nm: 1.9', 'stall_torque_nm: 1e300', 'servos.neck.stall_torque_nm', /no prop comes near/],
  [
    'limits crossed',
    'limit_deg: [-30, 25]',
    'limit_deg: [25, -30]',
    'joints.nod.limit_deg',
    /the first below the second/,
  ],
  [
    'limits of the legs crossed',
    'limit_deg: [-60, 60]',
    'limit_deg: [60, -60]',
    'platform.limit_deg',
    /the first below the second/,
  ],
  [
    'a leg that widens its limits',
    'sense: -1 }',
    'sense: -1, limit_deg: [-70, 60] }',
    'joints.leg1.limit_deg',
    /within platform\.limit_deg/,
  ],
  ['a rod shorter than the crank', 'rod_mm: 120', 'rod_mm: 20', 'platform.rod_mm', /longer than the crank, 22 mm/],
  [
    'a home out of reach',
    'home_z_mm: level',
    'home_z_mm: 190',
    'platform.home_z_mm',
    /at home leg1, .* and leg6: out of reach/,
  ],
  [
    'a home below the base',
    'home_z_mm: level',
    'home_z_mm: 0',
    'platform.home_z_mm',
    /not above its joint on the base.*upside down/,
  ],
  [
    'a home outside the limits',
    'limit_deg: [-60, 60]',
    'limit_deg: [10, 60]',
    'platform.home_z_mm',
    /at home .*outside the soft limits, at 0 deg; allowed: 10 … 60 deg/,
  ],
  ['no level home', 'rod_mm: 120', 'rod_mm: 24', 'platform.home_z_mm', /no height at which the cranks stand level/],
  [
    'a rest out of reach',
    'rest: { z_mm: -8 }',
    'rest: { z_mm: 60 }',
    'platform.rest',
    /at rest leg1 and leg2: out of reach, 148\.6 mm/,
  ],
  [
    'a rest outside the limits',
    'rest: { z_mm: -8 }',
    'rest: { x_mm: -21 }',
    'platform.rest',
    /at rest .*outside the soft limits/,
  ],
  ['a rest beyond the rod ends', 'rod_end_deg: 28', 'rod_end_deg: 1', 'platform.home_z_mm', /a rod end would tilt by/],
  [
    'a joint’s rest outside its limits',
    'rest_deg: -20',
    'rest_deg: -31',
    'joints.nod.rest_deg',
    /found -31; allowed: within limit_deg, -30 … 25 deg/,
  ],
  [
    'a pulse outside the range',
    'limit_deg: [-60, 60]',
    'limit_deg: [-95, 60]',
    'platform.limit_deg',
    /550 us at -95 deg; allowed: range_us, 600 … 2400 us/,
  ],
  [
    'a pulse outside the range behind a gear',
    'limit_deg: [-30, 25]',
    'limit_deg: [-31, 25]',
    'joints.nod.limit_deg',
    /570 us at -31 deg.*gear of 3:1.*-30 … 30 deg/,
  ],
  [
    'two joints on one pin',
    'lid: { servo: face,',
    'lid: { servo: face, pin: 8,',
    'joints.lid.pin',
    /found pin 8 for nod \(which names none.*\) and lid/,
  ],
  ['a leg on the pin of another', 'leg1: {', 'leg1: { pin: 4,', 'joints.leg1.pin', /found pin 4 for leg1 and leg3/],
  ['the stop input on a joint’s pin', 'pin: 20', 'pin: 9', 'board.stop.pin', /lid .* and the stop input/],
  [
    'an unknown carrier of the platform',
    'on: nod\n',
    'on: nood\n',
    'platform.on',
    /found nood, .*allowed: ground, nod or lid/,
  ],
  ['an unknown carrier of a part', 'shell, on: moving', 'shell, on: movin', 'parts.shell.on', /nearest: moving/],
  [
    'a part on a joint without a place',
    'shell, on: moving',
    'shell, on: lid',
    'parts.shell.on',
    /give joints\.lid\.axis/,
  ],
  [
    'a ring of carriers',
    'axis: { at_mm',
    'axis: { on: moving, at_mm',
    'platform.on',
    /ring: base is carried by nod is carried by moving is carried by base/,
  ],
  ['a joint on itself', 'axis: { at_mm', 'axis: { on: nod, at_mm', 'joints.nod.axis.on', /ring: nod is carried by nod/],
  [
    'an axis without direction',
    'along: [0, -2, 0]',
    'along: [0, 0, 0]',
    'joints.nod.axis.along',
    /allowed: a direction/,
  ],
  ['ticks too slow', 'tick_hz: 200', 'tick_hz: 40', 'motion.tick_hz', /found 40; allowed: .*from 50 to 1000/],
  ['ticks too fast', 'tick_hz: 200', 'tick_hz: 1050', 'motion.tick_hz', /found 1050; allowed: .*from 50 to 1000/],
  [
    'ticks no multiple of the frame rate',
    'tick_hz: 200',
    'tick_hz: 180',
    'motion.tick_hz',
    /no multiple of the 50 pulses a second of neck/,
  ],
  [
    'two torques',
    'stall_torque_nm: 1.9',
    'stall_torque_nm: 1.9\n    stall_torque_kgcm: 19',
    'servos.neck',
    /found stall_torque_nm and stall_torque_kgcm; allowed: one/,
  ],
  [
    'two speeds',
    'no_load_s_per_60deg: 0.12',
    'no_load_s_per_60deg: 0.12\n    no_load_speed_deg_s: 500',
    'servos.face',
    /found no_load_speed_deg_s and no_load_s_per_60deg; allowed: one/,
  ],
  [
    'no torque',
    '    stall_torque_nm: 1.9\n',
    '',
    'servos.neck',
    /one of stall_torque_nm, stall_torque_kgcm or stall_torque_ozin is missing/,
  ],
  [
    'no speed',
    '    no_load_speed_deg_s: 380\n',
    '',
    'servos.neck',
    /one of no_load_speed_deg_s or no_load_s_per_60deg is missing/,
  ],
  ['no pulse scale', '    us_per_deg: 10\n', '', 'servos.neck', /us_per_deg is missing/],
  [
    'keys of two kinds of servo',
    'stall_torque_nm: 1.9',
    'force_n: 19',
    'servos.neck',
    /found no_load_speed_deg_s beside keys of a linear servo/,
  ],
  [
    'an unknown servo class',
    'servo: neck\n  limit',
    'servo: nekc\n  limit',
    'platform.servo',
    /found nekc, which is no servo class.*neck or face/,
  ],
  ['no speed of a joint', 'speed_deg_s: 400, ', '', 'joints.lid.speed_deg_s', /is missing; it takes a speed in deg\/s/],
  [
    'no acceleration of a joint',
    ', accel_deg_s2: 4000',
    '',
    'joints.lid.accel_deg_s2',
    /is missing; it takes .*\{ plus, minus \}/,
  ],
  [
    'acceleration one way only',
    '{ plus: 1500, minus: 1200 }',
    '{ plus: 1500 }',
    'joints.nod.accel_deg_s2.minus',
    /is missing; it takes an acceleration in deg\/s²/,
  ],
  [
    'a limit gone at no speed',
    ', accel_deg_s2: 4000',
    ', accel_deg_s2: 4000, accel_gone_at_deg_s: { plus: 0 }',
    'joints.lid.accel_gone_at_deg_s.plus',
    /found 0; allowed: a speed in deg\/s, from 0\.01 to 100000/,
  ],
  [
    'a limit of a leg that fades',
    'sense: -1 }',
    'sense: -1, accel_gone_at_deg_s: { plus: 100 } }',
    'joints.leg1.accel_gone_at_deg_s',
    /only a joint that is no leg has it/,
  ],
  ['no speed of the legs', 'speed_deg_s: 220, ', '', 'motion.leg.speed_deg_s', /is missing: .*no default/],
  [
    'no motion of the legs',
    '  leg: { speed_deg_s: 220, accel_deg_s2: { plus: 1500, minus: 2200 } }\n',
    '',
    'motion.leg.accel_deg_s2',
    /is missing/,
  ],
  [
    'a speed at one leg',
    'sense: -1 }',
    'sense: -1, speed_deg_s: 100 }',
    'joints.leg1.speed_deg_s',
    /does not belong here: for all legs together it is under motion\.leg/,
  ],
  ['a leg7', 'leg1: {', 'leg7: {', 'joints.leg7', /allowed: leg1 to leg6/],
  ['a joint named like a column', 'lid: {', 'yaw: {', 'joints.yaw', /a meaning of its own/],
  [
    'a gear without efficiency',
    '    gear_efficiency: 0.9\n',
    '',
    'joints.nod.gear_efficiency',
    /^is missing: a gear never passes on all/,
  ],
  ['a battery without its keys (cells)', 'kind: mains', 'kind: battery', 'supply.cells', /a battery needs cells/],
  ['a battery without its keys (low_v)', 'kind: mains', 'kind: battery', 'supply.low_v', /a battery needs low_v/],
  ['a battery without its keys (fuse)', 'kind: mains', 'kind: battery', 'supply.fuse_a', /a battery needs fuse_a/],
  [
    'stop category 0 without power_pin',
    'category: 1 }, power_pin: 21',
    'category: 0 }',
    'board.power_pin',
    /category 0 needs a power_pin/,
  ],
  ['a stop category there is not', 'category: 1', 'category: 3', 'board.stop.category', /found 3; allowed: 0, 1 or 2/],
  ['a duplicate key', 'crank_mm: 22', 'crank_mm: 22\n  crank_mm: 23', 'crank_mm', /stands here twice/],
  [
    'both ways to give a plate',
    'half_angle_deg: 14',
    'half_angle_deg: 14, points_mm: [[1, 0, 0], [1, 0, 0], [1, 0, 0], [1, 0, 0], [1, 0, 0], [1, 0, 0]]',
    'platform.base',
    /points_mm and a radius/,
  ],
  [
    'five points',
    '{ radius_mm: 70, half_angle_deg: 14 }',
    '{ points_mm: [[1, 0, 0], [1, 0, 0], [1, 0, 0], [1, 0, 0], [1, 0, 0]] }',
    'platform.base.points_mm',
    /six points/,
  ],
  [
    'five azimuths',
    'crank_azimuth_deg: outward',
    'crank_azimuth_deg: [0, 0, 0, 0, 0]',
    'platform.crank_azimuth_deg',
    /six angles/,
  ],
  [
    'two shapes',
    'shape: { ellipsoid_shell:',
    'shape: { box: { size_mm: [1, 1, 1] }, ellipsoid_shell:',
    'parts.shell.shape',
    /found ellipsoid_shell and box; allowed: one/,
  ],
  [
    'a cure without its frequency',
    'tick_hz: 200',
    'tick_hz: 200\n  wobble: { cure: broad, damping: 0 }',
    'motion.wobble.hz',
    /^is missing: the frequency/,
  ],
  [
    'a key of a linear drive',
    'crank_mm: 22',
    'crank_mm: 22\n  stroke_mm: [1, 2]',
    'platform.stroke_mm',
    /it is for drive: linear/,
  ],
  [
    'another drive',
    'drive: crank',
    'drive: hydraulic',
    'platform.drive',
    /found "hydraulic"; allowed: crank or linear/,
  ],
  ['a null', 'crank_mm: 22', 'crank_mm:', 'platform.crank_mm', /found nothing; allowed/],
  [
    'load and parts on one joint',
    'gear_ratio: 3',
    'load: { mass_kg: 1, arm_mm: 10 }\n    gear_ratio: 3',
    'joints.nod.load',
    /nothing is weighed twice/,
  ],
];

describe('one mistake at a time', () => {
  it.each(CASES)('%s', (_, from, to, path, words) => {
    const text = swap(OWL, [from, to]);
    const found = problemsOf(text).find((problem) => problem.path === path && words.test(problem.message));
    expect(found, JSON.stringify(problemsOf(text), null, 1)).toMatchObject({ severity: 'error' });
  });

  it('says nothing of the rig that is right', () => {
    expect(problemsOf(OWL)).toEqual([]);
  });
});

describe('the whole file', () => {
  it.each([
    ['', /is empty/],
    ['# nothing\n', /is empty/],
    ['abc', /no keys and values/],
    ['[1, 2]', /no keys and values/],
    ['rig: [', /bracket/],
    ['rig: a\n\tb: 1', /tab|not YAML|indent/],
    ['rig: a\n---\nrig: b', /second document/],
    ['rig: *nowhere', /alias/],
  ])('%j', (text, words) => {
    const problems = problemsOf(text);
    expect(problems[0]?.message).toMatch(words);
    expect(problems[0]).toMatchObject({ severity: 'error' });
  });

  it('is not brought down by aliases of aliases', () => {
    const bomb = ['a0: &a0 [x, x]', ...Array.from({ length: 30 }, (_, i) => `a${i + 1}: &a${i + 1} [*a${i}, *a${i}]`)];
    expect(problemsOf(bomb.join('\n'))[0]?.severity).toBe('error');
  });

  it('reads any text without throwing (seed 20)', () => {
    const lines = OWL.split('\n');
    const spoiled = fc
      .tuple(
        fc.nat(lines.length - 1),
        fc.oneof(
          fc.string(),
          fc.constantFrom('x: .inf', '- 1', '', '  servo: {}', 'joints: 3', '__proto__: 1', '  toString: 1'),
        ),
      )
      .map(([at, line]) => lines.with(at, line).join('\n'));
    fc.assert(
      fc.property(fc.oneof(fc.string(), spoiled), (text) => {
        problemsOf(text);
      }),
      { seed: 20, numRuns: 150 },
    );
  });
});

describe('all at once', () => {
  const text = swap(
    OWL,
    ['crank_mm: 22', 'crank_mm: -22'],
    ['limit_deg: [-60, 60]', 'limit_deg: [-60, 60]\n  colour: red'],
    ['speed_deg_s: 70', 'speed_deg_s: fast'],
    ['shell, on: moving', 'shell, on: tail'],
    ['lid: { servo: face,', 'lid: { servo: face, pin: 8,'],
    ['tick_hz: 200', 'tick_hz: 170'],
    ['kind: mains', 'kind: battery'],
  );

  it('tells mistakes of different groups together, each with the line of its key', () => {
    const told = problemsOf(text).map(({ path, line }) => [path, line]);
    for (const [path, passage] of [
      ['platform.crank_mm', 'crank_mm'],
      ['platform.colour', 'colour'],
      ['joints.nod.speed_deg_s', 'speed_deg_s: fast'],
      ['parts.shell.on', '- { name: shell'],
      ['joints.lid.pin', 'lid:'],
      ['motion.tick_hz', 'tick_hz'],
      ['supply.cells', 'supply:'],
    ] as const)
      expect(told).toContainEqual([path, lineOf(text, passage)]);
  });

  it('does not blame what is right for what is wrong elsewhere', () => {
    expect(problemsOf(text)).toHaveLength(10);
  });

  it('comes in the order of the lines', () => {
    const lines = problemsOf(text).map(({ line }) => line);
    expect(lines).toEqual([...lines].sort((a, b) => a - b));
  });
});

describe('rigs of other kinds', () => {
  it.each<Case>([
    [
      'a home outside the stroke',
      'home_z_mm: 250',
      'home_z_mm: 400',
      'platform.home_z_mm',
      /out of reach, .* mm pin to pin; allowed: the stroke, 250 … 350 mm/,
    ],
    [
      'limits beyond the stroke',
      'limit_mm: [255, 345]',
      'limit_mm: [240, 345]',
      'platform.limit_mm',
      /within stroke_mm/,
    ],
    ['level', 'home_z_mm: 250', 'home_z_mm: level', 'platform.home_z_mm', /found "level"; allowed: a height in mm/],
    [
      'degrees for mm',
      'speed_mm_s: 30',
      'speed_deg_s: 30',
      'motion.leg.speed_deg_s',
      /allowed: speed_mm_s and accel_mm_s2/,
    ],
    [
      'degrees for mm at a leg',
      'leg2: { limit_mm: [260, 340] }',
      'leg2: { limit_deg: [1, 2] }',
      'joints.leg2.limit_deg',
      /allowed: limit_mm/,
    ],
    [
      'a rotary servo',
      'force_n: 90, speed_mm_s: 40',
      'stall_torque_nm: 1, no_load_speed_deg_s: 40',
      'servos.stick',
      /linear servo/,
    ],
    ...['stiffness_nm_rad: 12', 'rotor_inertia_kgm2: 1.0e-4', 'friction_nm: 0.1'].map(
      (key) =>
        [
          `${key} of a servo that does not turn`,
          'force_n: 90,',
          `force_n: 90, ${key},`,
          'servos.stick',
          new RegExp(`found ${key.split(':')[0]!} beside keys of a linear servo; allowed: one kind`),
        ] as const,
    ),
    [
      'the same beside rows by voltage',
      'force_n: 90, speed_mm_s: 40,',
      'at_v: { 6.0: { force_n: 90, speed_mm_s: 40 } }, stiffness_nm_rad: 12,',
      'servos.stick',
      /found stiffness_nm_rad beside keys of a linear servo/,
    ],
    ['a pulse outside the range', 'us_per_mm: 8', 'us_per_mm: 12', 'platform.limit_mm', /960 us at 255 mm/],
  ])('linear: %s', (_, from, to, path, words) => {
    const problems = problemsOf(swap(LINEAR, [from, to]));
    expect(
      problems.some((problem) => problem.path === path && words.test(problem.message)),
      JSON.stringify(problems),
    ).toBe(true);
  });

  it('more than sixteen joints', () => {
    const more = Array.from(
      { length: 17 },
      (_, i) => `  j${i}: { servo: face, limit_deg: [0, 55], speed_deg_s: 400, accel_deg_s2: 4000 }`,
    );
    const text = swap(JOINTS_ONLY, [
      /joints:\n(?: .*\n)+/.exec(JOINTS_ONLY)?.[0] ?? '',
      `joints:\n${more.join('\n')}\n`,
    ]);
    expect(problemsOf(text)).toMatchObject([{ path: 'joints', message: 'found 17 joints; allowed: up to 16' }]);
  });

  it('nothing that moves', () => {
    expect(readRig('rig: stone\nservos: {}\nrest: hanging').problems[0]?.message).toMatch(/nothing would move/);
  });

  it.each([
    ['6.5', /the supply gives 6\.5 V, and the rows of face go from 4\.8 to 6 V/],
    ['4', /the supply gives 4 V, and the rows/],
  ])('a supply of %s V outside the rows of a class', (volts, words) => {
    const rows =
      'at_v: { 4.8: { stall_torque_ozin: 30, no_load_speed_deg_s: 500 }, 6.0: { stall_torque_ozin: 40, no_load_speed_deg_s: 600 } }';
    const text = `${swap(JOINTS_ONLY, ['stall_torque_ozin: 30, no_load_speed_deg_s: 500', rows])}supply: { kind: mains, voltage_v: ${volts} }\n`;
    expect(problemsOf(text)).toMatchObject([
      { path: 'servos.face.at_v', severity: 'error', message: expect.stringMatching(words) as string },
    ]);
  });
});
