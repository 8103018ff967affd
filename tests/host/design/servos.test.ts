/** Servos that a design chooses: what they hold, move, cost and take room, against the library's answers of the same rig. */
import { describe, expect, it } from 'vitest';
import type { Design } from '../../../host/design/design.ts';
import { type Ask, type ServoChoice, sampleStream } from '../../../host/design/evaluate/ask.ts';
import { candidateRig } from '../../../host/design/evaluate/candidate-rig.ts';
import { Evaluation } from '../../../host/design/evaluate/evaluate.ts';
import { prepare } from '../../../host/design/evaluate/prepare.ts';
import { AT, FIGURES } from '../../../host/design/figures.ts';
import { stallOf } from '../../../host/physics/servo/servo-line.ts';
import { toRad } from '../../../host/rig/rig.ts';
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
    for (const chosen of [-1, 0, 1, 2]) {
      const design = { ...base, ...servos(chosen, chosen) };
      const out = figuresOf(ask, design);
      const rig = candidateRig(ask, design)!;
      const nod = rig.joints.find(({ name }) => name === 'nod')!;
      expect(out[AT.hold_use]).toBeCloseTo(out[AT.hold]! / stallOf(rig.joints[0]!)!, 9);
      const axis = prepare(ask).axes.indexOf('nod');
      const { gear_ratio, gear_efficiency } = nod;
      // N·m at the servo, over what is written in its class.
      expect(out[AT.axis_hold_use + axis]).toBeCloseTo(out[AT.axis_peak + axis]! / nod.servo.stall!, 9);
      expect(stallOf(nod)).toBeCloseTo(nod.servo.stall! * gear_ratio * gear_efficiency, 12);
    }
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
