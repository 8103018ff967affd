/**
 * A rig's responses in the controller: they change what is asked and nothing else, whatever they sense; one that fails is switched
 * off and reported, and the prop settles.
 */
import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { tryResponses } from '../../host/firmware/responses/trial.ts';
import { RESULT, TRIPS, TYPE, type Telemetry } from '../../host/controller/messages.ts';
import { FUEL, fuelOf } from '../../host/rig/response-limits.ts';
import { toRad } from '../../host/rig/rig.ts';
import { ownOf } from '../responses.ts';
import { Prop } from './prop.ts';
import { rigOf } from './rigs.ts';

const rig = rigOf({ hz: 100, hold_s: 600 });
const NOD = 6;
const LID = 7;
const SEED = 11;

const awake = async (text: string, itsRig = rig): Promise<Prop> => {
  const prop = new Prop(itsRig, {}, (await ownOf(text, itsRig)).bytes);
  prop.rouse();
  return prop;
};
const respond = (text: string): string => `export function respond(): void { ${text} }`;

/** Within every limit of every joint, on every tick: a hundredth of a thousandth for rounding. */
function watchLimits(prop: Prop): { worst: number } {
  const seen = { worst: 0 };
  const share = (value: number, limit: number): void => {
    seen.worst = Math.max(seen.worst, Number.isNaN(value) ? Infinity : value / limit);
  };
  prop.watch = (t: Telemetry) => {
    prop.rig.joints.forEach((joint, i) => {
      const half = (joint.hi - joint.lo) / 2;
      share(Math.abs(t.position[i]! - (joint.hi + joint.lo) / 2), half);
      share(Math.max(t.rise[i]!, -t.fall[i]!) * prop.hz, joint.speed);
      share(t.plus[i]! * prop.hz ** 2, joint.plus);
      share(t.minus[i]! * prop.hz ** 2, joint.minus);
      const us = t.pulse_us[i]!;
      if (us !== 0) share(Number(us < joint.range_us[0] || us > joint.range_us[1]) * 2, 1);
    });
  };
  return seen;
}

describe('what is asked', () => {
  it('is more by what a response adds, once and not at every tick again', async () => {
    const prop = await awake(respond('add(Value.nod, 5.0);'));
    prop.seconds(3);
    const home = rig.joints[NOD]!.home;
    expect(prop.telemetry.position[NOD]).toBeCloseTo(home + toRad(5), 5);
    prop.seconds(3);
    expect(prop.telemetry.position[NOD]).toBeCloseTo(home + toRad(5), 5);
  });

  it('a pose too, in mm, and what is asked already is known', async () => {
    const prop = await awake(respond('ask(Value.z, 4.0); ask(Value.nod, asked(Value.z) * 2.0);'));
    prop.seconds(3);
    expect(prop.telemetry.position[NOD]).toBeCloseTo(toRad(8), 5);
    expect(prop.telemetry.position[0]).not.toBeCloseTo(rig.joints[0]!.home, 3);
  });

  it('is what the inputs say', async () => {
    const prop = await awake(respond('if (closed(Pin.hand)) add(Value.nod, level(Level.sound) * 10.0);'));
    prop.controller.setSensed(0b01, [0, 0, 65535, 0]);
    prop.seconds(2);
    expect(prop.telemetry.position[NOD]).toBeCloseTo(rig.joints[NOD]!.home, 6);
    prop.controller.setSensed(0b10, [65535, 0, 32768, 65535]);
    prop.seconds(2);
    expect(prop.telemetry.position[NOD]).toBeCloseTo(rig.joints[NOD]!.home + toRad(5), 4);
  });

  it('is not touched while it settles: it comes to its rest', async () => {
    const prop = await awake(respond('ask(Value.nod, 20.0); ask(Value.z, 3.0);'));
    prop.seconds(2);
    expect(prop.ask(TYPE.settle)).toBe(RESULT.done);
    prop.until('limp');
    expect(prop.telemetry.position[NOD]).toBeCloseTo(rig.joints[NOD]!.rest, 6);
  });

  it('is not changed by what is no number, nor by a value that there is not', async () => {
    const prop = await awake(
      'let nothing: f32 = 0;' +
        respond(
          'ask(Value.nod, nothing / nothing); add(Value.z, 1.0 / nothing); ask(-1, 5.0); add(22, 5.0); ask(asked(99) > 0 ? 7 : 1000, 3.0); add(i32(1.0 / nothing), 1.0);',
        ),
    );
    const before = [...prop.telemetry.position];
    prop.seconds(1);
    expect([...prop.telemetry.position]).toEqual(before);
    expect(prop.state).toBe('holding');
  });

  it('keeps within every limit, whatever is sensed', async () => {
    const prop = await awake(
      'let x: f32 = 1;' +
        respond(`
        x = x * 1.7 + level(Level.left) - noise();
        ask(Value.nod, x * 100.0 - 3000.0 * level(Level.right));
        ask(Value.lid, closed(Pin.door) ? 3.4e38 : -3.4e38);
        ask(Value.yaw, sine(seconds() * 9.0) * 90.0 * level(Level.light));
        ask(Value.z, (level(Level.sound) - 0.5) * 1000.0); ask(Value.roll, x);`),
    );
    const seen = watchLimits(prop);
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.nat(255), fc.array(fc.nat(65535), { minLength: 4, maxLength: 4 }), fc.nat(20)), {
          maxLength: 20,
        }),
        (script) => {
          for (const [closed, analog, ticks] of script) {
            prop.controller.setSensed(closed, analog);
            prop.run(ticks);
          }
          return prop.state !== 'tripped';
        },
      ),
      { seed: SEED, numRuns: 100 },
    );
    expect(seen.worst).toBeGreaterThan(0.9);
    expect(seen.worst).toBeLessThan(1.001);
  });
});

describe('a response that fails', () => {
  const FAILS = 'if (closed(Pin.door)) ';
  it.each([
    [
      'divides by zero',
      `let zero: i32 = 0;${respond(`add(Value.nod, 8.0); ${FAILS} { const q: i32 = 5 / zero; add(q, 1.0); }`)}`,
    ],
    ['is unreachable', respond(`add(Value.nod, 8.0); ${FAILS} unreachable();`)],
    ['never ends', respond(`add(Value.nod, 8.0); ${FAILS} while (true);`)],
    [
      'never ends, with a body',
      respond(`add(Value.nod, 8.0); ${FAILS} for (let i = 0; ; i++) { if (i == -1) break; else continue; }`),
    ],
    [
      'calls too much',
      `function one(): void { for (let i = 0; i < 30; i++) two(); } function two(): void { for (let i = 0; i < 40; i++) noise(); }${respond(`add(Value.nod, 8.0); ${FAILS} one();`)}`,
    ],
  ])('%s: off, reported, settled; cleared, it may go on', async (_, text) => {
    const prop = await awake(text);
    prop.seconds(2);
    const moved = prop.telemetry.position[NOD]!;
    expect(moved).toBeCloseTo(rig.joints[NOD]!.home + toRad(8), 5);
    const widths = [...prop.controller.pulses];
    prop.controller.setSensed(1, []);
    prop.run(1);
    // The start that follows: the pins as they were, the places as they were, the reason said.
    expect([...prop.controller.pulses]).toEqual(widths);
    expect([prop.state, TRIPS[prop.controller.trip]]).toEqual(['tripped', 'a response failed']);
    prop.tell(prop.send.report(1));
    prop.run(1);
    expect(Math.abs(prop.telemetry.position[NOD]! - moved)).toBeLessThan(0.01);
    const seen = watchLimits(prop);
    prop.seconds(20);
    expect(seen.worst).toBeLessThan(1.001);
    // At rest, without pulses, and still it says why.
    expect([...prop.controller.pulses].every((us) => us === 0)).toBe(true);
    expect(prop.telemetry.position[NOD]).toBeCloseTo(rig.joints[NOD]!.rest, 6);
    expect(prop.state).toBe('tripped');
    prop.controller.setSensed(0, []);
    expect(prop.ask(TYPE.rouse)).toBe(RESULT.notNow);
    expect(prop.ask(TYPE.clear)).toBe(RESULT.done);
    prop.rouse();
    prop.seconds(2);
    expect(prop.telemetry.position[NOD]).toBeCloseTo(moved, 5);
  });
});

describe('fuel', () => {
  it('is burnt by what is done, and the same at every run', async () => {
    const loop = (n: number): string => respond(`for (let i = 0; i < ${String(n)}; i++) add(Value.nod, 0.001);`);
    const burnt = async (text: string): Promise<number> => {
      const prop = await awake(text);
      prop.run(3);
      return prop.controller.fuelBurnt;
    };
    const [few, many] = [await burnt(loop(10)), await burnt(loop(20))];
    expect(few).toBeGreaterThan(10);
    // Ten turns more: ten times the fuel of one.
    expect((many - few) % 10).toBe(0);
    expect(many - few).toBeGreaterThan((many * 10) / 25);
    expect(await burnt(loop(20))).toBe(many);
  });

  it.each([
    [500, 400],
    [1000, 200],
  ])('at %d ticks a second there are %d in each: no more of the time than at 200', async (hz, most) => {
    expect(fuelOf(hz)).toBe(most);
    const rig = rigOf({ hz });
    const loop = (n: number): string => respond(`for (let i = 0; i < ${String(n)}; i++) add(Value.nod, 0.001);`);
    const fuel = tryResponses((await ownOf(loop(10), rig)).bytes, rig).most;
    const each = Math.ceil(fuel / 10);
    const fits = Math.floor(most / each) - 2;
    expect(tryResponses((await ownOf(loop(fits), rig)).bytes, rig).failed).toBeNull();
    expect(tryResponses((await ownOf(loop(2 * fits), rig)).bytes, rig).failed).toEqual({ cause: 'fuel', at_s: 0 });
  });
});

describe('variables', () => {
  const COUNTS = `let n: i32 = 3; let is: bool = true; ${respond('n += 1; ask(Value.nod, f32(n) * 0.01 + (is ? 1.0 : 0.0));')}`;
  it('begin anew at a start, and a copy of the memory has them', async () => {
    const prop = await awake(COUNTS);
    prop.seconds(1);
    const copy = prop.controller.snapshot();
    prop.seconds(1);
    const later = prop.controller.snapshot();
    prop.controller.restore(copy);
    for (let n = 0; n < prop.hz; n++) {
      prop.controller.tick();
      prop.controller.drain(() => undefined);
    }
    expect(Buffer.compare(prop.controller.snapshot(), later)).toBe(0);
    const again = await awake(COUNTS);
    const first = again.controller.snapshot();
    again.seconds(1);
    expect(Buffer.compare(first, again.controller.snapshot())).not.toBe(0);
  });
});

describe('the template', () => {
  const text = readFileSync('host/demo/responses/responses.ts', 'utf8');
  const template = async (): Promise<Prop> => {
    const prop = new Prop(rig, {}, (await ownOf(text, rig, '')).bytes);
    prop.controller.setSensed(0, analog({}));
    prop.rouse();
    prop.seconds(5);
    return prop;
  };
  /** Shares of full scale, as the sensors give them: by day, nobody there. */
  const analog = ({ left = 0, right = 0, sound = 0, light = 1 }): number[] =>
    [left, right, sound, light].map((share) => Math.round(share * 65535));
  const yawOf = (prop: Prop): number => prop.telemetry.position[1]!;

  it('looks at the nearer of two', async () => {
    const prop = await template();
    const straight = yawOf(prop);
    prop.controller.setSensed(0, analog({ left: 0.8, right: 0.5 }));
    prop.seconds(3);
    const left = yawOf(prop) - straight;
    prop.controller.setSensed(0, analog({ left: 0.5, right: 0.8 }));
    prop.seconds(4);
    const right = yawOf(prop) - straight;
    expect(Math.abs(left)).toBeGreaterThan(0.1);
    expect(Math.sign(left)).toBe(-Math.sign(right));
    prop.controller.setSensed(0, analog({ left: 0.2, right: 0.1 }));
    prop.seconds(6);
    expect(yawOf(prop)).toBeCloseTo(straight, 2);
  });

  it('startles at a sudden sound, and not at one that goes on', async () => {
    const prop = await template();
    const rest = prop.telemetry.position[0]!;
    let furthest = 0;
    prop.watch = (t) => (furthest = Math.max(furthest, Math.abs(t.position[0]! - rest)));
    prop.controller.setSensed(0, analog({ sound: 0.9 }));
    prop.seconds(5);
    expect(furthest).toBeGreaterThan(0.05);
    furthest = 0;
    prop.seconds(5);
    expect(furthest).toBeLessThan(0.001);
  });

  it('has sleepy lids in the dark', async () => {
    const prop = await template();
    prop.pose(20_000, [0, 0, 0, 0, 0, 0, 0, toRad(50)]);
    prop.seconds(3);
    const awakeLid = prop.telemetry.position[LID]!;
    prop.controller.setSensed(0, analog({ light: 0.1 }));
    prop.seconds(10);
    const sunk = awakeLid - prop.telemetry.position[LID]!;
    expect(sunk).toBeGreaterThan(toRad(15));
    expect(sunk).toBeLessThan(toRad(25));
  });

  it('takes a small part of its fuel', async () => {
    const { most, failed, dropped, far } = tryResponses((await ownOf(text, rig, '')).bytes, rig);
    expect([failed, dropped, far]).toEqual([null, null, []]);
    expect(most).toBeGreaterThan(30);
    expect(most).toBeLessThan(FUEL / 4);
  });
});

it('the trial finds what fails, and what burns too much', async () => {
  const failing = await ownOf(
    `let zero: i32 = 0;${respond('if (closed(Pin.hand) && level(Level.left) > 0.99) add(i32(5 / zero), 1.0);')}`,
  );
  expect(tryResponses(failing.bytes, rigOf()).failed).toMatchObject({ cause: 'trap' });
  const long = await ownOf(respond('for (let i = 0; i < 2000; i++) noise();'));
  expect(tryResponses(long.bytes, rigOf()).failed).toEqual({ cause: 'fuel', at_s: 0 });
});

it('the trial finds what is no number, and what is further than any prop is moved', async () => {
  const odd = await ownOf(
    `let zero: f32 = 0;${respond('add(Value.yaw, zero / zero); ask(Value.z, 1.0 / zero); if (level(Level.left) > 0.9) add(Value.lid, 1.0e9); add(Value.x, 900.0);')}`,
  );
  const { failed, dropped, far } = tryResponses(odd.bytes, rigOf());
  expect([failed, dropped?.at_s]).toEqual([null, 0]);
  // Two on each tick that it listens.
  expect(dropped!.count % 2).toBe(0);
  expect(dropped!.count).toBeGreaterThan(1000);
  expect(far).toMatchObject([{ name: 'lid', unit: 'deg' }]);
  expect(far[0]!.by / 1e9).toBeCloseTo(1, 5);
});
