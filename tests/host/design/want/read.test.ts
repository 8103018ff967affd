import { describe, expect, it } from 'vitest';
import { readWant, wantSchemaJson } from '../../../../host/design/want/read.ts';
import { sizesOf } from '../../../../host/design/want/sizes.ts';
import { toRad } from '../../../../host/rig/rig.ts';
import { LIFT } from '../../load/rigs.ts';
import { NECK, OWL_TEXT, resolved, wantOf } from './wants.ts';

const told = (text: string): string[] =>
  resolved(text).problems.map(({ line, path, message }) => `${String(line)} ${path}: ${message}`);

describe('a want file', () => {
  const want = wantOf(NECK);

  it('has its travels in mm and rad, one number both ways', () => {
    expect(want.must.travel[2]).toEqual({ minus: -8, plus: 4 });
    expect(want.must.travel[3]).toEqual({ minus: -toRad(15), plus: toRad(15) });
    expect(want.must.travel[4]!.minus).toBeCloseTo(toRad(-12), 12);
    expect(want.must.travel[5]).toEqual({ minus: 0, plus: 0 });
  });

  it('has stock sizes one by one where there is a step', () => {
    expect(want.stock.crank_mm).toEqual({ list: [16, 20, 24, 28] });
    expect(want.stock.rod_mm).toEqual({
      list: [90, 95, 100, 105, 110, 115, 120, 125, 130, 135, 140, 145, 150, 155, 160],
    });
    expect(want.stock.base_radius_mm).toMatchObject({ highest: 75 });
  });

  it('has of what is in stock what fits the room', () => {
    const of = (radius: string) =>
      wantOf(NECK.replace('rod_end_deg: 28', `base_radius_mm: ${radius}`)).stock.base_radius_mm;
    expect(of('{ from: 50, to: 90 }')).toEqual({ lowest: 50, highest: 75 });
    expect(of('[60, 75, 80]')).toEqual({ list: [60, 75] });
  });

  it('has both ends of a range in steps that binary fractions do not have', () => {
    expect(sizesOf({ from: 0, to: 0.3, step: 0.1 })).toEqual({ list: [0, 0.1, 0.2, 0.3] });
    expect(sizesOf({ from: 0, to: 0.35, step: 0.1 })).toEqual({ list: [0, 0.1, 0.2, 0.3] });
  });

  it('keeps 10 % of weight and of voltage in hand unless it says otherwise', () => {
    expect(want.margins).toEqual({ heavier: 0.1, less_voltage: 0.1 });
    expect(wantOf(`${NECK}margins: { heavier_percent: 0 }\n`).margins).toEqual({ heavier: 0, less_voltage: 0.1 });
  });

  it('has price among what is better only where what may be bought has one, unless it says what is better', () => {
    const usual = NECK.replace(/better: .*\n/, '');
    expect(wantOf(usual).better).toEqual(['travel', 'use', 'price', 'size']);
    const bare = usual.replace(/servos:\n.*\n.*\n/, '').replace(', servo: [neck]', '');
    expect(wantOf(bare).better).toEqual(['travel', 'use', 'size']);
    expect(wantOf(usual.replace('neck: { price: 20 }', 'neck: {}')).better).toEqual(['travel', 'use', 'size']);
  });

  it('gives a servo class the pulses of the legs’ class, and takes a class of the rig by its name', () => {
    const [small, neck] = want.servos;
    expect(small).toMatchObject({ price: 12, servo: { stall: 0.9, frame_hz: 50 }, range_us: [600, 2400] });
    expect(neck).toMatchObject({ price: 20, servo: { stall: 1.9 } });
    expect(want.axes[0]).toMatchObject({ joint: 'nod', servos: [1], gear_ratio: { lowest: 2, highest: 3 } });
  });

  it('has clearances of its own over those of the rig, which get them', () => {
    const { clearance, base } = wantOf(`${NECK}clearance: { gap_mm: 3, servo_body_mm: [41, 20, 37] }\n`);
    expect(clearance).toMatchObject({ gap_mm: 3, servo_body_mm: [41, 20, 37], rod_thick_mm: 6 });
    expect(base.platform?.clearance).toMatchObject({ gap_mm: 3 });
  });

  it('takes off the part that a counterweight stands in for, with comments kept', () => {
    expect(want.base.parts.find(({ name }) => name === 'counterweight')?.fitted).toBe(false);
    expect(want.base_text).toContain('# on an arm behind the neck: less to hold, more to set going');
  });
});

describe('what is wrong with a want file', () => {
  it('is told all at once, with line, key path, what was found and what is allowed', () => {
    const bad = NECK.replace('roll_deg: 15', 'rol_deg: 15')
      .replace('price: 12', 'price: -12')
      .replace('[-8, 4]', '[4, 8]');
    expect(told(bad)).toEqual([
      '4 must.rol_deg: unknown key rol_deg; the nearest known key is roll_deg',
      '6 must.z_mm.1: found 4; allowed: mm as the lowest of [lowest, highest], from -1000 to 0',
      '12 servos.small.price: found -12; allowed: a price, in whatever money all prices are in, from 0 to 1000000',
    ]);
  });

  it.each([
    [
      'a travel beyond half a turn',
      NECK.replace('roll_deg: 15', 'roll_deg: 400'),
      /must.roll_deg: found 400; allowed: degrees both ways, from 0 to 180/,
    ],
    ['no servo class', NECK.replace(/servos:\n.*\n.*\n/, 'servos: {}\n'), /servos: found no servo class/],
    [
      'a servo class of an axis that is not there',
      NECK.replace('servo: [neck]', 'servo: [big]'),
      /axes.nod.servo.*found big.*allowed: small or neck/,
    ],
    ['a joint that is not there', NECK.replace('nod: {', 'nodd: {'), /axes.nodd: found nodd.*nearest: nod/],
    [
      'a torque beside the name of a class of the rig',
      NECK.replace('neck: { price: 20 }', 'neck: { price: 20, stall_torque_nm: 3 }'),
      /servos.neck: found a class that the given rig has/,
    ],
    ['price that counts and is not told', NECK.replace('price: 12, ', ''), /servos.small: price is missing/],
    [
      'a class without speed',
      NECK.replace('no_load_speed_deg_s: 430, ', ''),
      /servos.small: one of no_load_speed_deg_s or no_load_s_per_60deg is missing/,
    ],
    [
      'plates in stock that are larger than the room',
      NECK.replace('rod_end_deg: 28', 'base_radius_mm: [80, 90]'),
      /room.base_radius_mm: found 75; allowed: 80 mm or more/,
    ],
    [
      'a plate that is kept and larger than the room',
      NECK.replace('rod_end_deg: 28', 'keep: [base]').replace('base_radius_mm: 75', 'base_radius_mm: 69'),
      /room.base_radius_mm: found 69; allowed: 70 mm or more, as far out as the joints of the base/,
    ],
    [
      'strokes beside cranks',
      NECK.replace('rod_end_deg: 28', 'stroke_mm: [[80, 120]]'),
      /stock.stroke_mm: found it beside a platform of cranks/,
    ],
    [
      'a counterweight without a distance',
      NECK.replace(', counterweight_at_mm: 190', ''),
      /counterweight_kg without counterweight_at_mm/,
    ],
    [
      'a part that is not there',
      NECK.replace('instead_of: counterweight', 'instead_of: ballast'),
      /instead_of: found ballast/,
    ],
    ['no room', NECK.replace(/room: .*\n/, ''), /room: is missing; it takes/],
    ['an empty list', NECK.replace('[16, 20, 24, 28]', '[]'), /stock.crank_mm: found an empty list/],
    ['something else to be better at', NECK.replace('better: [travel', 'better: [beauty'), /better.1: found "beauty"/],
  ])('%s', (_, text, words) => {
    expect(told(text).join('\n')).toMatch(words);
  });

  it.each([
    ['on the axis', 'at_mm: [200, 0, 50]', false],
    ['beside the axis', 'at_mm: [220, 0, 50]', true],
    ['fitted nowhere', 'at_mm: [220, 0, 50], fitted: false', false],
  ])('a counterweight on an upright axis that turns a weight %s', (_, place, isFine) => {
    const turning = OWL_TEXT.replace(
      '  lid: ',
      '  swivel: { servo: face, pin: 12, axis: { at_mm: [200, 0, 0], along: [0, 0, 1] }, gear_ratio: 1, limit_deg: [-20, 20], speed_deg_s: 40, accel_deg_s2: 400 }\n  lid: ',
    ).replace('parts: ', `parts:\n  - { name: vane, on: swivel, mass_kg: 0.3, ${place}, inertia_kgmm2: [9, 9, 9] } #`);
    const text = NECK.replace('  nod: ', '  swivel: { counterweight_kg: 0.2, counterweight_at_mm: 40 }\n  nod: ');
    const said = resolved(text, turning).problems.filter(({ path }) => path === 'axes.swivel');
    const message =
      'found a counterweight on swivel, which carries its weight in its axis; allowed: none, it is balanced already';
    expect(said.map((problem) => problem.message)).toEqual(isFine ? [] : [message]);
  });

  it('is said of a rig without a platform', () => {
    const joints = OWL_TEXT.replace(/platform:\n[^]*?\nparts:/, 'parts:')
      .replace(/ {2}- \{ name: [^]*?\n\nservos/, '\nservos')
      .replace('parts: ', 'parts: [] ');
    const bare = joints
      .replace(/ {2}leg\d: .*\n/g, '')
      .replace(/ {2}leg: .*\n/, '')
      .replace(/pose_speed: .*\n/, 'pose_speed: {}\n')
      .replace(/at_mm: \[-?\d+, 0, \d+\] .*\n/g, '\n');
    const said = resolved(NECK.replace(/axes:\n.*\n/, ''), bare).problems.map(({ message }) => message);
    expect(said.join()).toMatch(/a rig of joints only; allowed: a rig with a platform/);
  });

  it.each([
    [
      'room: { base_radius_mm: 75, plate_radius_mm: 60, height_mm: 130 }',
      'heigth_mm: 130',
      /heigth_mm: unknown key heigth_mm; .*height_mm is a key of room$/,
    ],
    ['  roll_deg: 15', '  height: 15', /must\.height: unknown key height; height_mm is a key of room$/],
    ['firm: {', 'height_mm: 9\nfirm: {', /^\d+ height_mm: unknown key height_mm; height_mm is a key of room$/],
  ])('an unknown key is answered with keys of want files alone: %j as %j', (from, to, words) => {
    expect(NECK).toContain(from);
    const said = told(NECK.replace(from, to));
    expect(said.filter((line) => words.test(line))).not.toEqual([]);
    expect(said.join('\n')).not.toMatch(/night|platform|home_z_mm/);
  });

  describe('strokes whose pulses no class can do', () => {
    const rig = `${LIFT.replace('us_per_mm: 14', 'us_per_mm: 20')}supply: { kind: mains, voltage_v: 6, current_a: 10 }\n`;
    const linear = (strokes: string, more = ''): string => `want: lift
from: lift.yaml
must: { z_mm: 2 }
room: { base_radius_mm: 95, plate_radius_mm: 70, height_mm: 200 }
stock: { stroke_mm: ${strokes} }
better: [travel]
${more}`;
    const said = (text: string) =>
      resolved(text, rig).problems.map(({ severity, path, message }) => `${severity} ${path}: ${message}`);

    // Soft limits 20 and 30 mm inside: 200 to 250 mm, 30 below and 20 above mid-stroke, at 20 µs/mm about 1500 µs.
    const LONG =
      'found [180, 280], which no class can do: ram has pulses of 1000 to 2000 µs (range_us), and with 20 µs/mm its soft limits would need 900 to 1900 µs';

    it('all of them: refused, with the pulses that they would need', () => {
      expect(said(linear('[[180, 280]]'))).toEqual([
        `error stock.stroke_mm.1: ${LONG}; allowed: a shorter stroke, or a class whose us_per_mm and range_us go so far`,
      ]);
    });

    it('some: told, and left out', () => {
      expect(said(linear('[[130, 200], [180, 280]]'))).toEqual([
        `warning stock.stroke_mm.2: ${LONG}. The search leaves it out`,
      ]);
    });

    it('none where a class goes so far', () => {
      const other = 'servos:\n  long: { force_n: 60, speed_mm_s: 40, us_per_mm: 10 }\n';
      expect(said(linear('[[180, 280]]', other))).toEqual([]);
    });
  });

  it('is said of a file that is empty', () => {
    expect(readWant('', 'want.yaml').problems[0]!.message).toBe(
      'want.yaml is empty: a want file begins with want: NAME',
    );
  });
});

it('the JSON Schema of want files describes every key', () => {
  const text = JSON.stringify(wantSchemaJson());
  expect(text).toContain('Largest circle through the joints of the base');
  expect(text).not.toContain('"description":""');
});
