/** Mistakes of the file as a whole, many at once, and those of rigs of other kinds: actuators, joints only. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readRig } from '../../../host/rig/read.ts';
import { type Case, JOINTS_ONLY, LINEAR, OWL, lineOf, problemsOf, swap } from './owl.ts';

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

  it('is a want file: one sentence, at its key', () => {
    const want = '# asked\nwant: neck\nfrom: owl.yaml\nmust: { roll_deg: 3 }\nhold: 3\n';
    expect(problemsOf(want)).toEqual([
      expect.objectContaining({
        path: 'want',
        line: 2,
        message: expect.stringMatching(/^this is a want file, not a rig: /) as string,
      }),
    ]);
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
    ['a pulse outside the range', 'us_per_mm: 8', 'us_per_mm: 12', 'platform.limit_mm', /960 µs at 255 mm/],
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
