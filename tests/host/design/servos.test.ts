/** Servos that a design chooses: what they hold, move, cost and take room, against the library's answers of the same rig. */
import { describe, expect, it } from 'vitest';
import type { Design } from '../../../host/design/design.ts';
import { type Ask, type ServoChoice, sampleStream } from '../../../host/design/evaluate/ask.ts';
import { candidateRig } from '../../../host/design/evaluate/candidate-rig.ts';
import { Evaluation } from '../../../host/design/evaluate/evaluate.ts';
import { prepare } from '../../../host/design/evaluate/prepare.ts';
import { AT, FIGURES } from '../../../host/design/figures.ts';
import { Demand } from '../../../host/load/demand.ts';
import { homePosture } from '../../../host/physics/dynamics/places.ts';
import { type Rig, toRad } from '../../../host/rig/rig.ts';
import { agreementOf } from './agreement.ts';
import { askOf, demoOwl, dusk, randomDesigns } from './candidates.ts';

const owl = demoOwl();
const stored = await dusk(owl);
const own = owl.joints[0]!.servo;
const class_ = (name: string, price: number, stall: number, speed: number, body_mm: ServoChoice['body_mm'] = null) => ({
  ...{ name, price, body_mm },
  servo: { ...own, stall, no_load_speed: toRad(speed), stall_current_a: stall, rotor_inertia_kgm2: 1e-5 * stall },
});
const classes: readonly ServoChoice[] = [
  class_('small', 14, 1.2, 450),
  class_('large', 31.5, 4.5, 330, [60, 30, 60]),
  class_('fast', 45, 2.4, 700),
];
const ask: Ask = askOf(owl, { classes, freeAxes: ['nod'] });
const along: Partial<Ask> = { stream: sampleStream('dusk', owl, stored), samples: randomDesigns(20, 99) };
const servos = (legs: number, nod: number): Pick<Design, 'servo' | 'axes'> => ({
  servo: legs,
  axes: [{ joint: 'nod', gear_ratio: null, counterweight: null, servo: nod }],
});

/** The most that legs and the nod hold, at home and with the nod at its limits, as the library says: N·m at the joint, and of its servo. */
function held(rig: Rig) {
  const demand = new Demand(rig);
  const most = { legs: 0, nod: 0, share: 0, torque: 0 };
  for (const at of [rig.joints[6]!.home, rig.joints[6]!.lo, rig.joints[6]!.hi]) {
    const place = homePosture(rig);
    demand.hold({ ...place, q: Array.from(place.q, (own, i) => (i === 6 ? at : own)) });
    most.legs = Math.max(most.legs, ...demand.effort.slice(0, 6).map(Math.abs));
    most.nod = Math.max(most.nod, Math.abs(demand.effort[6]!));
    most.share = Math.max(most.share, demand.share(6));
    most.torque = Math.max(most.torque, Math.abs(demand.atServo(6)));
  }
  return most;
}

function figuresOf(asked: Ask, design: Design): Float64Array {
  const out = new Float64Array(FIGURES);
  new Evaluation(prepare(asked)).figures(design, out);
  return out;
}

describe('servos that a design chooses', () => {
  it('hold, move and shake as the library says of a rig that has them, margins spent', () => {
    const designs = randomDesigns(16, 31).map((design, k): Design => ({
      ...design,
      ...servos((k % 4) - 1, ((k + 1 + (k >> 2)) % 4) - 1),
    }));
    const asked = { ...ask, ...along, margins: { weight: 1.1, voltage: 0.9 } };
    const found = agreementOf(asked, prepare(asked), designs, stored);
    expect(found.streams).toBeGreaterThan(3);
    expect(found).toMatchObject({ otherStops: 0, otherStable: 0, otherReach: 0 });
    expect(found.hold).toBeLessThan(1e-9);
    expect(found.hz).toBeLessThan(1e-4);
    expect(found.use).toBeLessThan(0.01);
    expect(found.current).toBeLessThan(0.01);
  });

  const base = randomDesigns(40, 31).find((design) => figuresOf(ask, design)[AT.stands] === 1)!;

  it.each([
    { legs: -1, nod: -1, price: 0 },
    { legs: 0, nod: -1, price: 84 },
    { legs: -1, nod: 2, price: 45 },
    { legs: 1, nod: 2, price: 234 },
  ])('six of class $legs and one of class $nod cost $price; what the rig has costs nothing', (given) => {
    const out = figuresOf(ask, { ...base, ...servos(given.legs, given.nod) });
    expect(out[AT.price]).toBe(given.price);
    // One that cannot stand costs as much.
    expect(figuresOf(ask, { ...base, ...servos(given.legs, given.nod), rod_mm: 10 })[AT.price]).toBe(given.price);
  });

  it('the share that holds is of the chosen servo’s stall torque, behind the axis’ gear', () => {
    // Home alone: of legs, and of the nod at home and at its limits.
    const alone = { ...ask, must: { ...ask.must, travels: new Float64Array(12), together: 0 } };
    const axis = prepare(alone).axes.indexOf('nod');
    for (const chosen of [-1, 0, 1, 2]) {
      const design = { ...base, ...servos(chosen, chosen) };
      const out = figuresOf(alone, design);
      const { legs, nod, share, torque } = held(candidateRig(alone, design)!);
      expect(out[AT.hold]).toBeCloseTo(legs, 9);
      expect(out[AT.axis_hold_use + axis]).toBeCloseTo(share, 9);
      expect(out[AT.axis_peak + axis]).toBeCloseTo(torque, 9);
      // As a data sheet has it: at the horn, behind a gear that passes on nine tenths.
      expect(share).toBeCloseTo(nod / (classes[chosen]?.servo.stall ?? 1.9) / 3 / 0.9, 9);
      expect(out[AT.hold_use]).toBeCloseTo(legs / (classes[chosen]?.servo.stall ?? 1.9), 9);
    }
  });

  it('a gear where there was none passes on nine tenths; none, all of it', () => {
    const joints = owl.joints.map((joint) =>
      joint.name === 'nod'
        ? { ...joint, gear_ratio: 1, gear_efficiency: 1, us_per_unit: joint.us_per_unit / 3 }
        : joint,
    );
    const bare = askOf({ ...owl, joints }, { freeAxes: ['nod'] });
    const alone = { ...bare, must: { ...bare.must, travels: new Float64Array(12), together: 0 } };
    const axis = prepare(alone).axes.indexOf('nod');
    const [straight, geared] = [null, 3].map((gear_ratio) => {
      const design = { ...base, axes: [{ joint: 'nod', gear_ratio, counterweight: null, servo: -1 }] };
      const out = figuresOf(alone, design);
      const { share, torque } = held(candidateRig(alone, design)!);
      expect(out[AT.axis_hold_use + axis]).toBeCloseTo(share, 9);
      expect(out[AT.axis_peak + axis]).toBeCloseTo(torque, 9);
      return share;
    });
    expect(geared).toBeCloseTo(straight! / 3 / 0.9, 9);
  });

  it('a class with a body of its own takes that room; the others the usual', () => {
    const [small, large, fast] = [0, 1, 2].map((k) => figuresOf(ask, { ...base, ...servos(k, -1) }));
    expect(small![AT.clearance]).toBe(fast![AT.clearance]);
    expect(large![AT.clearance]).toBeLessThan(small![AT.clearance]!);
    const bodied = { ...ask, classes: [], clearance: { ...ask.clearance, servo_body_mm: [60, 30, 60] as const } };
    expect(figuresOf(bodied, base)[AT.clearance]).toBe(large![AT.clearance]);
    expect(figuresOf(bodied, base)[AT.volume]).toBe(large![AT.volume]);
  });
});
