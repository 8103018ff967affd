/** The verbs on six actuators, and what the bench says and does between verbs. */
import { describe, expect, it } from 'vitest';
import { Bench } from '../../../host/bringup/session/bench.ts';
import { parseVerb, runVerb } from '../../../host/bringup/verbs.ts';
import { endWords, stateWords } from '../../../host/bringup/verbs/guard.ts';
import { TRIPS } from '../../../host/controller/messages.ts';
import { OWL, needController } from '../cli/fixture.ts';
import { LINEAR, rigOf } from '../rig/owl.ts';
import { ServoOnSim } from './servo-on-sim.ts';

needController();

async function bringUp(prop: ServoOnSim, text: string, verbs: readonly string[]) {
  const bench = await Bench.open({ target: prop.target, text });
  const ended: (string | null)[] = [];
  for (const words of verbs) {
    const parsed = parseVerb(words, bench.rig);
    if ('problem' in parsed) throw new Error(parsed.problem);
    ended.push((await runVerb(bench, prop, parsed)).ended);
  }
  await bench.close();
  return { ended, text: bench.text, said: prop.said.join(' ') };
}

describe('an actuator', () => {
  // At mid-stroke, 300 mm, it truly has 1510 µs; 8.2 µs a mm in place of 8.
  const TRUTH = { centre_us: 1510, us_per_deg: 8.2, horn_deg: 300, stops: [0, 330] as [number, number] };

  it('is centred by trim alone, in mm', async () => {
    const prop = new ServoOnSim(TRUTH);
    const { ended, text } = await bringUp(prop, LINEAR, ['centre leg1 --rods-off']);
    expect(ended).toEqual([null]);
    expect(prop.asked.map(({ id }) => id)).not.toContain('centre.refit');
    expect(new Set(prop.asked.map(({ unit }) => unit))).toEqual(new Set([null, 'mm']));
    expect(Math.abs(rigOf(text).joints[0]!.centre_us - 1510)).toBeLessThan(2);
  });

  it('is walked at 10 mm/s to where it binds, and scaled', async () => {
    const prop = new ServoOnSim(TRUTH);
    const { ended, text } = await bringUp(prop, LINEAR, ['walk leg1', 'scale leg1']);
    expect(ended).toEqual([null, null]);
    const steps = prop.pulses.slice(1).map((us, i) => Math.abs(us - prop.pulses[i]!));
    // 10 mm/s · 20 ms · 8 µs/mm, and a microsecond of rounding.
    expect(Math.max(...steps)).toBeLessThanOrEqual(2.6);
    const { us_per_unit, centre_us, hi, walked, sense } = rigOf(text).joints[0]!;
    expect(us_per_unit / 8.2).toBeCloseTo(1, 2);
    expect([Math.abs(centre_us - 1510) < 2, sense]).toEqual([true, 1]);
    // 1.5 mm short of where it binds.
    expect(hi).toBeGreaterThan(327);
    expect(hi).toBeLessThan(329);
    expect(walked![1]).toBeLessThan(329);
  });
});

describe('between verbs', () => {
  it('a joint whose walk narrowed its limits is not placed at its rest again', async () => {
    const prop = new ServoOnSim({ stops: [-500, 33] });
    const { ended } = await bringUp(prop, OWL, ['walk leg1', 'scale leg1']);
    expect(ended).toEqual([null, null]);
    expect(prop.asked.filter(({ id }) => id === 'rouse.ready')).toHaveLength(1);
    expect(Math.max(...prop.pulses)).toBeLessThan(1500 + 340);
  });

  it('stop ends what is awake', async () => {
    const { ended, said } = await bringUp(new ServoOnSim(), OWL, ['rouse nod', 'stop', 'state']);
    expect(ended).toEqual([null, null, null]);
    expect(said).toMatch(/It is live: nod alone.*It is limp: no pulses, nothing holds\./);
  });

  it('every trip has its cure, in words', () => {
    const bench = { state: 'tripped', stopOpen: false, shownPlace: () => null, aloneName: null };
    for (const tripped of TRIPS.filter((name) => name !== '' && name !== 'none'))
      expect(stateWords({ ...bench, tripped } as unknown as Bench)).toMatch(
        /^tripped: .* The cure: [a-z].{20,}"clear"/,
      );
  });

  it('a bring-up that ends tripped does not say that the prop has settled', () => {
    const bench = { state: 'tripped', tripped: 'link', stopOpen: false, shownPlace: () => null, aloneName: null };
    expect(endWords(bench as unknown as Bench)).toMatch(
      /^It is tripped: link\. .*was not given the rig as it is now\.$/,
    );
  });
});
