import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { type Design, designOf } from '../../../host/design/design.ts';
import { askOf as askFor } from '../../../host/design/ask-of.ts';
import { candidateRig } from '../../../host/design/evaluate/candidate-rig.ts';
import { judge } from '../../../host/design/judge.ts';
import { Demand } from '../../../host/load/demand.ts';
import { homePosture } from '../../../host/physics/dynamics/places.ts';
import { load } from '../../../host/load/load.ts';
import { givenHolds } from '../../../host/design/to-buy.ts';
import { rigOf } from '../../../host/design/rig-of.ts';
import { usualClearance } from '../../../host/rig/clearance.ts';
import { readRig } from '../../../host/rig/read.ts';
import { HOME, type Rig, toDeg, toRad } from '../../../host/rig/rig.ts';
import { LIFT } from '../load/rigs.ts';
import { NECK as LOW, OWL_TEXT, wantOf } from './want/wants.ts';

/** In a room that the owl as given has height for. */
const NECK = LOW.replace('height_mm: 130', 'height_mm: 190');

const want = wantOf(NECK);
const given: Design = {
  ...designOf(want.base),
  home_z_mm: null,
  axes: [{ joint: 'nod', gear_ratio: 2.5, counterweight: { kg: 0.8, at_mm: 190 }, servo: 1 }],
};

describe('a design as a rig file', () => {
  const design: Design = {
    ...given,
    base_radius_mm: 72.3,
    plate_half_rad: toRad(40.1),
    crank_mm: 24,
    rod_mm: 115,
    facing: 'inward',
    servo: 0,
  };
  const text = rigOf(want, design, 'owl-neck-1')!;
  const rig = readRig(text).rig!;

  it('says what was designed, to the bit', () => {
    const { platform, joints } = rig;
    expect(platform).toMatchObject({ crank_mm: 24, rod_mm: 115 });
    expect(Math.hypot(...platform!.legs[0]!.base_mm)).toBeCloseTo(72.3, 10);
    expect(toDeg(Math.atan2(platform!.legs[1]!.moving_mm[1], platform!.legs[1]!.moving_mm[0]))).toBeCloseTo(40.1, 10);
    expect(platform!.legs[1]!.azimuth_rad).toBeCloseTo(toRad(-90), 12);
    expect(joints[0]!.servo).toMatchObject({ name: 'small', stall: 0.9 });
    expect(joints[6]).toMatchObject({ name: 'nod', gear_ratio: 2.5, servo: { name: 'neck' } });
  });

  it('keeps comments and order, and says what stood there', () => {
    expect(text).toMatch(/crank_mm: 24 +# posewright design; was 22: axis to rod end/);
    expect(text).toContain('# An owl in a night exhibit');
    // The want file's 28 deg are the rig's own: nothing changed.
    expect(text).toMatch(/rod_end_deg: 28 +# how far a rod end tilts/);
    expect(text.indexOf('parts:')).toBeLessThan(text.indexOf('servos:'));
  });

  it('has the counterweight as a part, opposite to what the axis carries, and the old one off', () => {
    const weight = rig.parts.find(({ name }) => name === 'nod counterweight')!;
    expect(weight).toMatchObject({ on: 'nod', mass_kg: 0.8 });
    expect(Math.hypot(weight.at_mm[0], weight.at_mm[2])).toBeCloseTo(190, 2);
    expect(weight.at_mm[0]).toBeLessThan(0);
    expect(rig.parts.find(({ name }) => name === 'counterweight')!.fitted).toBe(false);
  });

  const bodied = NECK.replace('stall_current_a: 1.4', 'stall_current_a: 1.4, body_mm: [12, 23, 24]');
  const CLEARANCE = '  clearance: { servo_body_mm: [20, 40, 38], gap_mm: 3 }';
  it.each([
    ['without a clearance', OWL_TEXT],
    ['beside the clearance that it has', OWL_TEXT.replace('platform:\n', `platform:\n${CLEARANCE}\n`)],
  ])('has the body of the class that was chosen, in a file %s', (_, rigText) => {
    const of = wantOf(bodied, rigText);
    const told = (servo: number) => readRig(rigOf(of, { ...design, servo }, 'owl-neck-1')!).rig!.platform!.clearance;
    const { assumed, ...used } = usualClearance(of.base.platform!.clearance);
    expect(assumed.length).toBeGreaterThan(0);
    expect(told(0)).toEqual({ ...used, servo_body_mm: [12, 23, 24] });
    expect(told(1)).toEqual(used);
  });

  it('calls no body assumed that all classes of the legs tell', () => {
    const alone = wantOf(bodied.replace('neck: { price: 20 }', 'neck: { price: 20, legs: false }'));
    expect(wantOf(bodied).clearance.assumed).toContain('servo_body_mm');
    expect(alone.clearance.assumed).not.toContain('servo_body_mm');
  });

  it('is the given file but for its name where nothing was changed', () => {
    const bare = wantOf(NECK.replace(/axes:\n.*\n/, '').replace(', rod_end_deg: 28', ''));
    const same = rigOf(bare, { ...designOf(bare.base), home_z_mm: null, axes: [] }, 'owl')!;
    const lines = same.split('\n');
    const bodies = lines.filter((line) => line.startsWith('  clearance: '));
    expect(lines.filter((line) => !bodies.includes(line)).join('\n')).toBe(
      OWL_TEXT.replace('rig: night-owl', 'rig: owl'),
    );
    expect(bodies).toEqual([expect.stringMatching(/rod_thick_mm: 6.*\} +# as assumed by the search; measure yours$/)]);
  });
});

it('keeps an actuator’s soft limits as far inside another stroke as they were', () => {
  // 20 mm from the shortest, 30 mm from the longest.
  const lift = wantOf(
    `want: lift
from: lift.yaml
must: { z_mm: 2 }
room: { base_radius_mm: 95, plate_radius_mm: 70, height_mm: 300 }
stock: { stroke_mm: [[130, 200], [150, 250]] }
better: [travel]
`,
    `${LIFT}supply: { kind: mains, voltage_v: 6, current_a: 10 }\n`,
  );
  const text = rigOf(lift, { ...designOf(lift.base), stroke_mm: [150, 250], home_z_mm: 170 }, 'lift')!;
  expect(parse(text)).toMatchObject({ platform: { stroke_mm: [150, 250], limit_mm: [170, 220], home_z_mm: 170 } });
});

it('a gear where there was none loses a tenth (common practice), one that is there what it did', () => {
  const bare = OWL_TEXT.replace(/ {4}gear_(ratio|efficiency|play_deg): .*\n/g, '');
  const gearOf = (rigText: string, gear_ratio: number) => {
    const design = { ...given, axes: [{ ...given.axes[0]!, gear_ratio }] };
    const { joints } = parse(rigOf(wantOf(NECK, rigText), design, 'owl')!) as { joints: Record<string, object> };
    return joints['nod'];
  };
  expect(gearOf(bare, 2.5)).toMatchObject({ gear_ratio: 2.5, gear_efficiency: 0.9 });
  expect(gearOf(bare, 1)).not.toHaveProperty('gear_efficiency');
  expect(gearOf(OWL_TEXT.replace('gear_efficiency: { value: 0.9', 'gear_efficiency: { value: 0.8'), 2.5)).toMatchObject(
    {
      gear_efficiency: { value: 0.8 },
    },
  );
});

it('marks a comment that was worked out from the figures before', () => {
  const derived = OWL_TEXT.replace(
    "# the cranks' axes, in pairs",
    '# servo axes: 33.9 mm and 96.4 mm from one to the next',
  );
  const text = rigOf(wantOf(NECK, derived), { ...given, base_radius_mm: 72.3 }, 'owl')!;
  expect(text).toMatch(/base: .*half_angle_deg: 14 \}, of which was said: servo axes: 33\.9 mm and/);
});

it('holds what load calls hardest, not less: anywhere within the soft limits', () => {
  const of = wantOf(NECK.replace('roll_deg: 15', 'roll_deg: 12').replace('[-12, 9]', '[-9, 6]'));
  const design = { ...given, axes: [{ ...given.axes[0]!, gear_ratio: 3 }] };
  const judged = judge(of, design, rigOf(of, design, 'owl')!);
  if ('refused' in judged) throw new Error(judged.refused);
  const answer = load(judged.rig, { pose: HOME, without: [], stream: null });
  if ('refused' in answer) throw new Error(answer.refused);
  const nod = answer.joints.find(({ name }) => name === 'nod')!;
  expect(judged.axis_hold_nm['nod']).toBeCloseTo(Math.abs(nod.worst.effort!), 3);
  // README's table of the owl as given: 0.66 N·m.
  expect(givenHolds(of)['nod']).toBeCloseTo(0.66, 2);
});

it('has the narrower of a leg’s own soft limits and the designed, as the search has them', () => {
  const text = OWL_TEXT.replace('leg2: { ', 'leg2: { limit_deg: [-58, 30], ').replace(
    'leg5: { ',
    'leg5: { limit_deg: [-20, 20], ',
  );
  const of = wantOf(NECK.replace('rod_end_deg: 28', 'rod_end_deg: 28, limit_deg: { from: 40, to: 70 }'), text);
  expect(of.own_limits).toEqual([false, true, false, false, true, false]);
  const limits = [toRad(-51.6), toRad(51.6)] as const;
  const { rig } = readRig(rigOf(of, { ...given, limits }, 'owl')!);
  const told = rig!.joints.slice(0, 6).map(({ lo, hi }) => [lo, hi].map((at) => Math.round(toDeg(at) * 1e6) / 1e6));
  const [all, second, fifth] = [
    [-51.6, 51.6],
    [-51.6, 30],
    [-20, 20],
  ];
  expect(told).toEqual([all, second, all, all, fifth, all]);
  const evaluated = candidateRig(askFor(of), { ...given, limits })!.joints.slice(0, 6);
  evaluated.forEach(({ lo, hi }, i) => {
    expect(lo).toBeCloseTo(rig!.joints[i]!.lo, 9);
    expect(hi).toBeCloseTo(rig!.joints[i]!.hi, 9);
  });
});

describe('a base that is kept', () => {
  const measured = OWL_TEXT.replace('crank_azimuth_deg: outward', 'crank_azimuth_deg: [-88, 90, 31, 212, 150, -30]');
  const kept = NECK.replace('rod_end_deg: 28', 'rod_end_deg: 28, keep: [base]');
  const turned = (text: string) => {
    const of = wantOf(text, measured);
    const design: Design = { ...given, facing: of.stock.facing[0]! };
    const azimuths = (rig: Rig) => rig.platform!.legs.map((leg) => Math.round(toDeg(leg.azimuth_rad)));
    const asked = askFor(of);
    return [azimuths(readRig(rigOf(of, design, 'owl')!).rig!), azimuths(candidateRig(asked, design)!)];
  };

  it('keeps the azimuths of its cranks, in the file and in the search', () => {
    for (const told of turned(kept)) expect(told).toEqual([-88, 90, 31, 212, 150, -30]);
  });

  it('has those that the want file names', () => {
    const named = kept.replace('keep: [base]', 'keep: [base], crank_azimuth: [inward]');
    for (const told of turned(named))
      expect(told.map((deg) => (deg + 360) % 360)).toEqual([90, 270, 210, 30, 330, 150]);
  });
});

it('gives a gear where there was none the efficiency that it was found with', () => {
  const bare = OWL_TEXT.replace('    gear_ratio: 3\n', '').replace(/ {4}gear_efficiency: .*\n/, '');
  const of = wantOf(NECK.replace('{ from: 2, to: 3 }', '[1, 2.5]'), bare);
  const nodOf = (gear_ratio: number) => {
    const design = { ...given, axes: [{ ...given.axes[0]!, gear_ratio }] };
    return readRig(rigOf(of, design, 'owl')!).rig!.joints[6]!;
  };
  expect(nodOf(1)).toMatchObject({ gear_ratio: 1, gear_efficiency: 1 });
  expect(nodOf(2.5)).toMatchObject({ gear_ratio: 2.5, gear_efficiency: 0.9 });
});

describe('a design judged by the library', () => {
  const calm = wantOf(NECK.replace('roll_deg: 15', 'roll_deg: 12').replace('[-12, 9]', '[-9, 6]'));
  const verdict = (of: typeof want, design: Design) => judge(of, design, rigOf(of, design, 'owl')!);

  it('holds where everything that was asked holds, and says how well', () => {
    const judged = verdict(calm, { ...given, axes: [{ ...given.axes[0]!, gear_ratio: 3 }] });
    expect(judged).toMatchObject({ travel: { length: 6 }, size_mm: { base_radius: expect.closeTo(70, 6) }, price: 20 });
  });

  it('has all that is given heavier by the margin, and a designed counterweight as it is', () => {
    const margins = 'margins: { heavier_percent: 50, less_voltage_percent: 0 }';
    const heavy = wantOf(
      `${NECK.replace('lowest_hz: 5', 'hold_use: 0.99').replace(/ {2}roll[^]*together: 0.5\n/, '  z_mm: 1\n')}${margins}\n`,
    );
    const judged = verdict(heavy, given);
    if ('refused' in judged) throw new Error(judged.refused);
    const [times, { joints, parts, platform }] = [1.5, judged.rig];
    const weighed = parts.map((part) =>
      part.name === 'nod counterweight' ? part : { ...part, mass_kg: part.mass_kg! * times },
    );
    const loads = joints.map(({ load: own, ...joint }) => ({
      ...joint,
      load: own && { ...own, mass_kg: own.mass_kg! * times },
    }));
    const bars = { ...platform!, crank_kg: platform!.crank_kg! * times, rod_kg: platform!.rod_kg! * times };
    const demand = new Demand({ ...judged.rig, parts: weighed, joints: loads, platform: bars });
    const shares = [joints[6]!.lo, joints[6]!.home, joints[6]!.hi].map((at) => {
      const place = homePosture(judged.rig);
      demand.hold({ ...place, q: Array.from(place.q, (own, i) => (i === 6 ? at : own)) });
      return demand.share(6);
    });
    expect(judged.hold_use).toBeCloseTo(Math.max(...shares), 9);
  });

  it('has no price where one of its servos has none, or none is chosen', () => {
    const text = NECK.replace('roll_deg: 15', 'roll_deg: 12').replace('[-12, 9]', '[-9, 6]');
    const bare = wantOf(text.replace('neck: { price: 20 }', 'neck: {}').replace('[travel, use, price, size]', '[use]'));
    const priced = (of: typeof want, servo: number) =>
      verdict(of, { ...given, axes: [{ ...given.axes[0]!, gear_ratio: 3, servo }] });
    expect(priced(bare, 1)).toMatchObject({ price: null });
    expect(priced(calm, -1)).toMatchObject({ price: null });
    expect(priced(calm, 1)).toMatchObject({ price: 20 });
  });

  it.each([
    ['travel', NECK.replace('roll_deg: 15', 'roll_deg: 33'), /reach: roll goes less far/],
    [
      'corners',
      NECK.replace('together: 0.5', 'together: 1').replace('roll_deg: 15', 'roll_deg: 20'),
      /reach: not all travels at once/,
    ],
    ['holding', NECK.replace('lowest_hz: 5', 'hold_use: 0.05'), /load: holding takes more than 5 %/],
    ['frequency', NECK.replace('lowest_hz: 5', 'lowest_hz: 50'), /load: it swings slower/],
    ['bodies', `${NECK}clearance: { gap_mm: 9 }\n`, /reach: bodies come nearer than clearance.gap_mm: a .* and a /],
    ['height', LOW, /reach: it is higher than room.height_mm/],
    ['a torque', NECK.replace('servo: [neck]', 'servo: [neck], most_nm: 0.01'), /load: nod holds more than asked/],
  ])('is refused for %s', (_, text, words) => {
    const of = wantOf(text.replace('[-12, 9]', '[-9, 6]'));
    expect(verdict(of, { ...given, axes: [{ ...given.axes[0]!, gear_ratio: 3 }] })).toMatchObject({
      refused: expect.stringMatching(words) as string,
    });
  });

  it('is refused where its file is in error: rods that do not reach, pulses beyond the range', () => {
    expect(verdict(calm, { ...given, rod_mm: 40 })).toMatchObject({
      refused: expect.stringMatching(/^check: platform/) as string,
    });
    expect(verdict(calm, { ...given, axes: [{ ...given.axes[0]!, gear_ratio: 4 }] })).toMatchObject({
      refused: expect.stringMatching(/^check: joints.nod/) as string,
    });
  });
});

it('limits speeds to what a slower servo, or the same behind a larger gear, does without load', () => {
  const slow = NECK.replace('no_load_speed_deg_s: 430', 'no_load_speed_deg_s: 200').replace('[neck]', '[small, neck]');
  const of = wantOf(slow);
  const speeds = (servo: number, gear_ratio: number) => {
    const { rig } = readRig(rigOf(of, { ...given, servo, axes: [{ ...given.axes[0]!, gear_ratio, servo }] }, 'owl')!);
    return [0, 6].map((i) => Math.round(1000 * toDeg(rig!.joints[i]!.speed)) / 1000);
  };
  // As given: 220 deg/s of the legs, 90 of the nod; neck does 380.
  expect(speeds(1, 3)).toEqual([220, 90]);
  expect(speeds(0, 2)).toEqual([200, 90]);
  expect(speeds(0, 3)).toEqual([200, 66.6]);
});

it('limits the speed of legs to that of an actuator slower than 1 mm/s', () => {
  const slow = `servos:
  crawler: { force_n: 300, speed_mm_s: 0.87, stall_current_a: 1 }
`;
  const rigText = `${LIFT}supply: { kind: mains, voltage_v: 6, current_a: 10 }\n`;
  const of = wantOf(
    `want: lift\nfrom: lift.yaml\nmust: { z_mm: 2 }\nroom: { base_radius_mm: 95, plate_radius_mm: 70, height_mm: 200 }\nstock: { keep: [base] }\n${slow}better: [travel]\n`,
    rigText,
  );
  const { rig } = readRig(rigOf(of, { ...designOf(of.base), servo: 0 }, 'lift-1')!);
  expect(rig!.joints[0]!.speed).toBeCloseTo(0.8, 12);
});
