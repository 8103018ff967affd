/** The verbs of the bring-up on the simulated controller, with a servo whose truth is known and a person who reads it. */
import { describe, expect, it } from 'vitest';
import { Bench } from '../../../host/bringup/session/bench.ts';
import type { VerbOutcome, VerbWords } from '../../../host/bringup/verb.ts';
import { parseVerb, runVerb } from '../../../host/bringup/verbs.ts';
import { readRig } from '../../../host/rig/read.ts';
import { OWL, needController } from '../cli/fixture.ts';
import { ServoOnSim } from './servo-on-sim.ts';

needController();

/** Runs verbs one after another; gives the last one's outcome and the text afterwards. */
async function bringUp(
  prop: ServoOnSim,
  verbs: readonly string[],
  text = OWL,
): Promise<VerbOutcome & { text: string }> {
  const bench = await Bench.open({ target: prop.target, text, sleep: () => Promise.resolve() });
  let last: VerbOutcome | null = null;
  for (const words of verbs) {
    const parsed = parseVerb(words, bench.rig);
    if ('problem' in parsed) throw new Error(parsed.problem);
    last = await runVerb(bench, prop, parsed);
  }
  await bench.close();
  return { ...last!, text: bench.text };
}

const jointOf = (text: string, name: string) => readRig(text).rig!.joints.find((joint) => joint.name === name)!;

describe('centre', () => {
  it('finds the pulse at which the horn stands at 0, though it turns the other way', async () => {
    for (const sense of [1, -1] as const) {
      const prop = new ServoOnSim({ centre_us: 1534, us_per_deg: 9.6, sense, deadband_us: 4 });
      const done = await bringUp(prop, ['centre leg1 --rods-off']);
      expect(done.ended).toBeNull();
      expect(Math.abs(jointOf(done.text, 'leg1').centre_us - 1534)).toBeLessThan(2);
      expect(prop.asked.filter(({ id }) => id === 'centre.refit')).toEqual([]);
    }
  });

  it('says by how many teeth the horn is off, and trims what is left', async () => {
    const prop = new ServoOnSim({ horn_deg: 31 });
    const done = await bringUp(prop, ['centre leg1 --rods-off']);
    const refits = prop.asked.filter(({ id }) => id === 'centre.refit');
    expect(refits).toHaveLength(1);
    // 31 deg are 2.15 teeth of 14.4 deg.
    expect(refits[0]!.text).toContain('2 teeth towards minus');
    expect(jointOf(done.text, 'leg1').centre_us).toBeCloseTo(1500 - (31 - 28.8) * 10, 0);
  });

  it('asks wrong answers again, and settles at the third', async () => {
    const prop = new ServoOnSim({ centre_us: 1520 });
    prop.wrong = ['', 'two'];
    expect((await bringUp(prop, ['centre leg1 --rods-off'])).ended).toBeNull();
    expect(prop.said.join(' ')).toMatch(
      /Nothing was typed; a number of degrees from -180 to 180 is right\..*"two" is no number/,
    );
    prop.wrong = ['Infinity', '1e9', '400'];
    const done = await bringUp(prop, ['centre leg1 --rods-off']);
    expect(done.ended).toMatch(/400 cannot be.*third answer/);
    expect(done.text).toBe(OWL);
  });
});

describe('walk', () => {
  it('after a verb with the rods off settles first, and asks to make ready, though it wakes at the same place', async () => {
    const prop = new ServoOnSim({ stops: [-500, 500] });
    const lid = jointOf(OWL, 'lid');
    expect(lid.rest).toBe(lid.centre);
    expect((await bringUp(prop, ['pulse lid 1510 --rods-off', 'walk lid'])).ended).toBeNull();
    expect(prop.asked.map(({ id }) => id)).toEqual(['rouse.ready', 'rouse.ready']);
  });

  it('writes a limit 3 deg short of where it binds, and leaves the other', async () => {
    const prop = new ServoOnSim({ stops: [-500, 33] });
    const done = await bringUp(prop, ['walk leg1']);
    expect(done.ended).toBeNull();
    const { lo, hi, walked } = jointOf(done.text, 'leg1');
    expect(hi * (180 / Math.PI)).toBeGreaterThan(29.5);
    expect(hi * (180 / Math.PI)).toBeLessThan(30.8);
    expect(lo * (180 / Math.PI)).toBeCloseTo(-60, 9);
    expect(walked).toEqual([lo, hi]);
    // It was stopped within a degree of where it binds.
    expect(Math.max(...prop.pulses)).toBeLessThan(1500 + 330 + 10);
    expect(Math.min(...prop.pulses)).toBeGreaterThanOrEqual(900);
  });

  it('that never binds says so and lets the limits stand', async () => {
    const prop = new ServoOnSim();
    const done = await bringUp(prop, ['walk lid']);
    expect(done.text).toContain('limit_deg: [0, 55]');
    expect(done.text).toContain('walked_deg: [0, 55]');
    expect(prop.said.join(' ')).toContain('it did not bind, and its limit stands at 55 deg');
  });

  /** The key is pressed when the joint is on its way back from where it was furthest, so many pulses (20 ms) later; as often as told. */
  const pressedLate = (prop: ServoOnSim, beyond_us: number, pulses: number, times = 1): void => {
    let left = times;
    prop.binds = () => {
      const furthest = prop.pulses.findIndex((us) => us >= beyond_us);
      const is = left > 0 && furthest >= 0 && prop.pulses.length - furthest > pulses;
      if (is) left--;
      return is;
    };
  };

  it('takes a key that comes on the way back, within a second after new ground, and is content with the ground before', async () => {
    const prop = new ServoOnSim();
    // The fourth way out ends at 20 deg; it stands for half a second.
    pressedLate(prop, 1500 + 200, 40);
    const done = await bringUp(prop, ['walk leg1']);
    expect(done.ended).toBeNull();
    expect((jointOf(done.text, 'leg1').hi * 180) / Math.PI).toBeCloseTo(15, 6);
    expect(Math.max(...prop.pulses)).toBe(1700);
  });

  it('says of a key on ground where it had moved freely that it does not count, goes on, and ends at the second', async () => {
    const once = new ServoOnSim();
    pressedLate(once, 1500 + 300, 95);
    const done = await bringUp(once, ['walk leg1']);
    expect(once.said.join()).toMatch(/leg1 has moved freely here, so this does not count/);
    expect(done.ended).toBeNull();
    expect((jointOf(done.text, 'leg1').hi * 180) / Math.PI).toBeCloseTo(60, 6);
    const twice = new ServoOnSim();
    pressedLate(twice, 1500 + 300, 95, 2);
    expect((await bringUp(twice, ['walk leg1'])).ended).toMatch(/binds where it had moved freely/);
  });

  it('moves at 20 deg/s at most', async () => {
    const prop = new ServoOnSim();
    await bringUp(prop, ['walk leg3']);
    const steps = prop.pulses.slice(1).map((us, i) => Math.abs(us - prop.pulses[i]!));
    // 20 deg/s · 20 ms · 10 µs per degree, and a microsecond of rounding.
    expect(Math.max(...steps)).toBeLessThanOrEqual(5);
    expect(Math.max(...steps)).toBeGreaterThan(2);
  });

  it('settles at the key, and nothing is written', async () => {
    const prop = new ServoOnSim();
    prop.settleSteps = 400;
    const done = await bringUp(prop, ['walk leg1']);
    expect(done).toMatchObject({ ended: 'settled by you', written: null, text: OWL });
  });

  it('with its cable pulled ends in words, and nothing is written', async () => {
    const prop = new ServoOnSim();
    prop.pulledSteps = 400;
    const bench = await Bench.open({ target: prop.target, text: OWL });
    const words = parseVerb('walk leg1', bench.rig) as VerbWords;
    await expect(runVerb(bench, prop, words)).rejects.toThrow(/no longer answers/);
    expect(bench.text).toBe(OWL);
    await bench.abandon();
  });
});

describe('scale', () => {
  it('finds scale, sense and centre', async () => {
    const prop = new ServoOnSim({ centre_us: 1512, us_per_deg: 10.6, sense: -1, deadband_us: 4 });
    const done = await bringUp(prop, ['walk leg1', 'scale leg1']);
    expect(done.ended).toBeNull();
    const joint = jointOf(done.text, 'leg1');
    expect(joint.sense).toBe(-1);
    expect((joint.us_per_unit * Math.PI) / 180 / 10.6).toBeCloseTo(1, 2);
    expect(Math.abs(joint.centre_us - 1512)).toBeLessThan(2);
    expect(prop.said.join(' ')).toContain('It turns the other way than the rig said: its sense is now -1.');
    // The limits, in pulses, stay within what was walked, 900 to 2100 µs.
    for (const at of [joint.lo, joint.hi]) {
      const us = joint.centre_us + joint.sense * joint.us_per_unit * at;
      expect(us).toBeGreaterThanOrEqual(900 - 1);
      expect(us).toBeLessThanOrEqual(2100 + 1);
    }
  });

  it('that turns the sense takes each limit to the other side: no travel is lost', async () => {
    const prop = new ServoOnSim({ sense: -1, stops: [-33, 45] });
    const done = await bringUp(prop, ['walk leg1', 'scale leg1']);
    expect(done.ended).toBeNull();
    const { sense, lo, hi, walked } = jointOf(done.text, 'leg1');
    expect(sense).toBe(-1);
    const [least, most] = [(lo * 180) / Math.PI, (hi * 180) / Math.PI];
    // 3 deg short of each stop, less what it went beyond until it was told, at 5 deg/s.
    expect(least).toBeGreaterThan(-31);
    expect(least).toBeLessThan(-29);
    expect(most).toBeGreaterThan(41);
    expect(most).toBeLessThan(43);
    expect(walked![0]).toBeLessThanOrEqual(lo);
    expect(walked![1]).toBeGreaterThanOrEqual(hi);
    expect(prop.said.at(-2)).toMatch(/^Its limits turn with it: they are now -30\.\d to 42(\.\d)? deg\.$/);
  });

  it('is refused before the walk, where nothing moves, and where no servo has such a scale', async () => {
    expect((await bringUp(new ServoOnSim(), ['scale leg1'])).ended).toMatch(/has not been walked/);
    const still = new ServoOnSim();
    still.wrong = ['3', '3', '3', '3'];
    expect((await bringUp(still, ['walk leg1', 'scale leg1'])).ended).toMatch(
      /asked to move by 50 deg, and its reading by 0/,
    );
    const far = new ServoOnSim();
    far.wrong = ['-180', '-180', '180', '180'];
    expect((await bringUp(far, ['walk leg1', 'scale leg1'])).ended).toBeNull();
  });
});

describe('jog, pulse and rouse', () => {
  it('move one joint, and refuse what is beyond', async () => {
    const prop = new ServoOnSim();
    expect(await bringUp(prop, ['jog nod 12'])).toMatchObject({ ended: null, before: { at: -20 }, after: { at: -8 } });
    expect((await bringUp(prop, ['jog nod 300'])).ended).toMatch(/its soft limits are -28 deg and 25 deg/);
    expect((await bringUp(prop, ['pulse nod 2390 --rods-off'])).ended).toBeNull();
    expect(prop.pulses.at(-1)).toBe(1500);
    expect(Math.max(...prop.pulses)).toBe(2390);
    expect((await bringUp(prop, ['pulse nod 2500 --rods-off'])).ended).toMatch(/outside range_us/);
  });

  it('wake the whole prop, slowly, and settle it', async () => {
    const prop = new ServoOnSim();
    const done = await bringUp(prop, ['rouse', 'state', 'settle', 'clear']);
    expect(prop.said[1]).toMatch(/^It is live: the whole prop\. No joint has been walked\./);
    expect(done.ended).toMatch(/clear was refused/);
  });
});

describe('swap', () => {
  it('takes the class’s figures, centres, walks, moves for a while, and says what still holds', async () => {
    const prop = new ServoOnSim({ centre_us: 1530, stops: [-40, 500] });
    const old = OWL.replace(
      'leg1: { pin: 2 }',
      'leg1: { pin: 2, centre_us: 1450, us_per_deg: 11, walked_deg: [-54, 54], limit_deg: [-54, 54] } # mine',
    );
    const done = await bringUp(prop, ['swap leg1 --rods-off minutes=0.1'], old);
    expect(done.ended).toBeNull();
    expect(done.text).toMatch(/leg1: \{ pin: 2, .*: mine$/m);
    expect(done.text).not.toContain('us_per_deg: 11');
    const joint = jointOf(done.text, 'leg1');
    expect(Math.abs(joint.centre_us - 1530)).toBeLessThan(2);
    expect((joint.lo * 180) / Math.PI).toBeGreaterThan(-38);
    expect(joint.walked).toEqual([joint.lo, joint.hi]);
    expect(prop.said.at(-1)).toMatch(/narrower soft limits than before.*replay/);
  });
});

describe('words', () => {
  const { rig } = readRig(OWL);
  it.each([
    ['dance', /not a verb; there is state, rouse/],
    ['walk', /walk needs a joint; it takes: walk JOINT/],
    ['walk leg9', /no joint "leg9", it has leg1/],
    ['jog leg1', /^say how far, in degrees or mm; it takes: jog JOINT/],
    ['jog leg1 far', /"far" is no number/],
    ['jog leg1 Infinity', /no number/],
    ['pulse leg1 1500', /rods off the joint.*--rods-off/],
    ['centre leg1', /--rods-off/],
    ['settle now', /does not take "now"/],
    ['swap leg1 --rods-off minutes=1e9', /no number/],
    ['walk leg1 --quickly', /"--quickly" is not known/],
  ])('%s', (words, says) => {
    expect(parseVerb(words, rig!)).toEqual({ problem: expect.stringMatching(says) as string });
  });
});
