/** `why` on rigs whose illness is known: one figure made wrong at a time, and the cause that names it must come first. */
import { beforeAll, describe, expect, it } from 'vitest';
import { load } from '../../../host/load/load.ts';
import { carryWords, powerWords, tellsMostWords } from '../../../host/load/words.ts';
import type { Answer } from '../../../host/replay/result.ts';
import { HOME } from '../../../host/rig/rig.ts';
import { storeStream } from '../../../host/stream/store.ts';
import { answersOf } from '../../../host/why/answers.ts';
import { beyondLimits } from '../../../host/why/causes/held.ts';
import type { Cause, CauseName, Symptom } from '../../../host/why/result.ts';
import { type Looked, type Reasoned, tell } from '../../../host/why/why.ts';
import { TILT } from '../load/rigs.ts';
import { SICK, sickYaml } from '../physics/sick.ts';
import { LEGS, OWL, QUICK_NOD, edit, lookedInto, rigOf, streamOf } from './rigs.ts';

/** The head of TILT up and down by 20 deg, four times a second. */
const SWING = `t_s,nod_deg\n${Array.from({ length: 201 }, (_, k) => `${k / 100},${(20 * Math.sin((8 * Math.PI * k) / 100)).toFixed(3)}`).join('\n')}\n`;

describe('the demo', () => {
  let looked: Looked;
  let told: Reasoned;
  beforeAll(async () => {
    looked = await lookedInto(OWL, QUICK_NOD);
    told = await tell(looked, null);
  }, 180_000);

  it('answers the four questions, and asks itself why it jerks', () => {
    expect(told.why.answers.map(({ question }) => question)).toEqual([
      'Can it get there?',
      'Can it carry it?',
      'Can you power it?',
      'Will it be smooth?',
    ]);
    expect(told.why.answers.map(({ verdict }) => verdict)).toEqual(['yes', 'no', 'yes', 'no']);
    expect(told.why.symptom).toBe('jerk');
  });

  it('carries and draws what load says, to the letter', async () => {
    const rig = rigOf(OWL);
    const { name, source } = await streamOf(QUICK_NOD, rig);
    const answer = load(rig, { pose: HOME, without: [], stream: { name, stored: await storeStream(source, rig) } });
    if ('refused' in answer) throw new Error(answer.refused);
    const [, carry, power] = told.why.answers;
    const [carries, powers] = [carryWords(answer), powerWords(answer)];
    expect(carry?.because.toLowerCase()).toBe(`${carries.because}.`.toLowerCase());
    expect(power?.because).toBe(`${powers.because}.`);
    expect([carry?.verdict, power?.verdict]).toEqual([carries.verdict, powers.verdict]);
    expect(told.why.measure_first).toBe(tellsMostWords(answer));
    const nod = answer.joints.find(({ name }) => name === 'nod')!;
    const { because } = (await tell(looked, 'hot')).why.causes.find(({ cause }) => cause === 'holding_heat')!;
    expect(because).toContain(`nod holds up to ${Math.abs(nod.worst.effort!).toFixed(2)} N·m`);
    expect(because).toContain(`${(100 * nod.worst.use!).toFixed(0)} % of its stall torque`);
  });

  it('finds the nod out of torque, and cures it on simulated metal', () => {
    const [first] = told.why.causes;
    expect(first).toMatchObject({ cause: 'torque_saturated', likely: 'likely', assumed: null });
    expect(first?.before?.saturated_ms).toBeGreaterThan(100);
    expect(first?.after?.saturated_ms).toBe(0);
    expect(first!.after!.tracking_error).toBeLessThan(0.6 * first!.before!.tracking_error);
    expect(told.after).not.toBeNull();
  });

  it('tells what its limits hold back from what its servo cannot', () => {
    const held = told.why.causes.find(({ cause }) => cause === 'beyond_limits');
    expect(held?.because).toMatch(/^nod runs at its limits.*up to 1\d\d deg\/s, the limit is 90 deg\/s$/);
  });

  it('quiets a wobble on metal that swings, and says that this is assumed', async () => {
    const { why, after } = await tell(looked, 'wobble');
    const swings = why.causes.find(({ cause }) => cause === 'mode_excited')!;
    expect(swings.before!.wobble).toBeGreaterThan(0.2);
    expect(swings.after!.wobble).toBeLessThan(swings.before!.wobble / 5);
    expect(swings.assumed).toContain('damped to 0.1 of critical');
    // The picture of torque is of limits, not of this.
    expect(after).toBe(looked.played.get('limits')![1]);
  }, 180_000);

  it('plays a cure once, and none for a symptom that it is no likely cause of', async () => {
    const before = [...looked.played.keys()].sort();
    await tell(looked, 'hot');
    await tell(looked, 'jerk');
    expect([...looked.played.keys()].sort()).toEqual(before);
  });
});

/** Without a stream, what the rig file alone tells. */
const firstOf = async (text: string, symptom: Symptom): Promise<Cause | undefined> =>
  (await tell(await lookedInto(text), symptom)).why.causes[0];

describe('one illness at a time', () => {
  it.each<[string, Symptom, string, string, CauseName]>([
    ['a weak servo at the nod jerks', 'jerk', 'stall_torque_nm: 1.9', 'stall_torque_nm: 1.2', 'torque_saturated'],
    ['a load that holds too much is hot', 'hot', 'stall_torque_nm: 1.9', 'stall_torque_nm: 0.8', 'holding_heat'],
    [
      'a load that balances in its range slaps',
      'slap',
      'mass_kg: 0.70, at_mm: [-190',
      'mass_kg: 1.20, at_mm: [-190',
      'play_crossing_balance',
    ],
    ['a soft servo wobbles', 'wobble', 'stiffness_nm_rad: unknown', 'stiffness_nm_rad: 4', 'mode_excited'],
    ['a small supply twitches', 'twitch', 'current_a: 20 }', 'current_a: 4 }', 'supply_sag'],
  ])('%s', async (_, symptom, from, to, cause) => {
    expect(await firstOf(edit(OWL, [from, to]), symptom)).toMatchObject({ cause });
  });

  it('a wobble cure delays by the middle of its impulses: half a period for the tolerant one', async () => {
    const cause = await firstOf(edit(OWL, ['stiffness_nm_rad: unknown', 'stiffness_nm_rad: 4']), 'wobble');
    const [, ms, hz] = /^(\d+) ms more delay at ([\d.]+) Hz/.exec(cause!.cost)!;
    expect(Number(ms) * Number(hz)).toBeGreaterThan(480);
    expect(Number(ms) * Number(hz)).toBeLessThan(520);
  });

  it('a load that stands upright in the middle of its range tips there', async () => {
    const upright = edit(
      TILT,
      ['at_mm: [50, 0, 0]', 'at_mm: [0, 0, 50]'],
      [/limit_deg: \[.*?\]/, 'limit_deg: [-30, 30]'],
      ['gear_ratio: 3', 'gear_ratio: 3\n    gear_play_deg: 0.5'],
    );
    const { why } = await tell(await lookedInto(upright), 'slap');
    expect(why.causes[0]).toMatchObject({ cause: 'play_crossing_balance' });
    expect(why.causes[0]!.because).toContain('at 0 deg its load moves from one side of the teeth to the other');
    // m·g·r·sin 30°, by hand.
    expect(why.causes[0]!.cure).toContain(`adds ${(0.9 * 9.80665 * 0.05 * 0.5).toFixed(2)} N·m at the axis`);
  });

  it('a geared axis that gravity does not turn slaps, too', async () => {
    const upright = edit(
      TILT,
      ['along: [0, -1, 0]', 'along: [0, 0, 1]'],
      ['gear_ratio: 3', 'gear_ratio: 3\n    gear_play_deg: 0.5'],
    );
    const { why } = await tell(await lookedInto(upright), 'slap');
    expect(why.causes[0]).toMatchObject({ cause: 'play_crossing_balance' });
    expect(why.causes[0]!.because).toContain('gravity presses its teeth to neither side');
  });

  it('a load that does not balance in its range does not slap for its gear', async () => {
    const { why } = await tell(await lookedInto(OWL), 'slap');
    expect(why.causes.find(({ cause }) => cause === 'play_crossing_balance')).toMatchObject({ likely: 'unlikely' });
  });

  it('a falling load: braking takes as much as raising', async () => {
    const text = sickYaml(SICK[0]!);
    const { why } = await tell(await lookedInto(text), 'jerk');
    const falls = why.causes.find(({ cause }) => cause === 'falling_load')!;
    // (J + rotor)·a + m·g·arm over ratio, efficiency and stall torque, by hand.
    const share = ((0.02 + 2e-4 * 9) * ((1500 * Math.PI) / 180) + 2 * 9.80665 * 0.07) / (0.9 * 3 * 0.9);
    expect(falls.because).toContain(`its acceleration limit (plus) asks for ${(100 * share).toFixed(0)} % of`);
  });

  it('a coarse stream jerks', async () => {
    const rows = Array.from({ length: 21 }, (_, i) => `${(i / 10).toFixed(1)},${(3 * Math.sin(i / 3)).toFixed(2)}`);
    const { why } = await tell(await lookedInto(TILT, ['t_s,nod_deg', ...rows].join('\n')), 'jerk');
    expect(why.causes[0]).toMatchObject({ cause: 'coarse_stream', likely: 'likely' });
    expect(why.causes[0]!.because).toContain('10 frames a second');
  });

  it('a stream with a hole has as many frames a second as before, and says where it has none', async () => {
    const rows = Array.from({ length: 80 }, (_, i) => `${(i / 50 + (i < 40 ? 0 : 20)).toFixed(2)},2`);
    const { why } = await tell(await lookedInto(TILT, ['t_s,nod_deg', ...rows].join('\n')), 'jerk');
    const coarse = why.causes.find(({ cause }) => cause === 'coarse_stream')!;
    expect(coarse).toMatchObject({ likely: 'possible' });
    expect(coarse.because).toContain('50 frames a second, with a pause from 0.78 s to 20.80 s');
  });

  it('a stream out of reach falls short', async () => {
    const rows = Array.from({ length: 51 }, (_, i) => `${(i / 50).toFixed(2)},${(40 * Math.sin(i / 30)).toFixed(2)}`);
    const { why } = await tell(await lookedInto(LEGS, ['t_s,yaw_deg', ...rows].join('\n')), null);
    expect(why.symptom).toBe('short');
    expect(why.causes[0]).toMatchObject({ cause: 'reach_or_rod_ends', likely: 'likely' });
  });

  it('a stream that its limits do not allow jerks for them, not for its servos', async () => {
    const rows = Array.from({ length: 101 }, (_, i) => `${(i / 50).toFixed(2)},${i < 50 ? 0 : 12}`);
    const slow = edit(TILT, ['accel_deg_s2: 1500', 'accel_deg_s2: 200']);
    const { why } = await tell(await lookedInto(slow, ['t_s,nod_deg', ...rows].join('\n')), null);
    expect(why.symptom).toBe('jerk');
    expect(why.causes[0]).toMatchObject({ cause: 'beyond_limits', likely: 'likely' });
  });
});

describe('smooth is judged by what comes out', () => {
  const judged = async (change: (answer: Answer) => Partial<Answer>) => {
    const calm = edit(TILT, ['accel_deg_s2: 1500', 'accel_deg_s2: 200'], ['speed_deg_s: 100', 'speed_deg_s: 40']);
    const { facts } = await lookedInto(calm, 't_s,nod_deg\n0,0\n2,5\n4,0\n');
    const replay = facts.replay!;
    const answer = { ...replay.answer, ...change(replay.answer) };
    const changed = { ...facts, replay: { ...replay, answer } };
    return { smooth: answersOf(changed)[3]!, held: beyondLimits(changed)! };
  };

  it('a speed peak that the stream does not have: mostly, with what to do, and limits are the likely cause', async () => {
    const clean = await judged(() => ({}));
    expect(clean.smooth.verdict).toBe('yes');
    const { smooth, held } = await judged(() => ({
      speed_peaks: [{ column: 'nod_deg', asked: 2, delivered: 5, added: 3 }],
    }));
    expect(smooth.verdict).toBe('mostly');
    expect(smooth.because).toMatch(/nod \(2 → 5\)\. "posewright retime" brings the stream within the limits/);
    expect(held.weight).toBeGreaterThanOrEqual(clean.held.weight);
  });

  it('a joint that goes past what is asked: no, and the cause says past', async () => {
    const { smooth, held } = await judged(({ joints }) => ({
      joints: joints.map((joint) => ({ ...joint, past: 1.6, past_at_s: 1.2, limit_ticks: 30 })),
    }));
    expect(smooth.verdict).toBe('no');
    expect(smooth.because).toContain(
      'nod is asked for more than its limits allow: it goes 1.6 deg past everything asked of it at 1.2 s',
    );
    expect(held.because).toContain('goes 1.6 deg past everything asked of it');
    expect(held.weight).toBe(0.75);
    expect(held.cure).toContain('look_ahead_ms');
  });
});

describe('without a symptom the first no chooses one', () => {
  it.each<[string, Symptom | null, readonly [string, string]]>([
    ['hot in the pose it stands in', 'hot', ['mass_kg: 0.9', 'mass_kg: 5']],
    ['more than it can hold', 'short', ['mass_kg: 0.9', 'mass_kg: 15']],
    ['a supply for less than it holds', 'twitch', ['current_a: 10', 'current_a: 0.1']],
    ['nothing wrong', null, ['current_a: 10', 'current_a: 12']],
  ])('%s: %s', async (_, symptom, change) => {
    // Slow enough for whatever it carries.
    const calm = edit(TILT, ['accel_deg_s2: 1500', 'accel_deg_s2: 5'], ['speed_deg_s: 100', 'speed_deg_s: 5'], change);
    const { why } = await tell(await lookedInto(calm), null);
    expect([why.symptom, why.causes.length > 0]).toEqual([symptom, symptom !== null]);
  });
});

describe('what is hot', () => {
  it.each([
    ['holding', [], 't_s,nod_deg\n0,0\n1,0\n'],
    // It holds next to nothing: what moving takes heats it.
    ['moving', [['mass_kg: 0.9', 'mass_kg: 0.01']], SWING],
  ] as const)('is so by %s too much', async (_, changes, stream) => {
    const looked = await lookedInto(edit(TILT, ['continuous_use: 0.5', 'continuous_use: 0.1'], ...changes), stream);
    const heat = (await tell(looked, 'hot')).why.causes.find(({ cause }) => cause === 'holding_heat')!;
    expect(heat.likely, heat.because).toBe('likely');
  });
});

describe('what is unknown', () => {
  it('is no yes: servos of unknown torque carry nothing for sure', async () => {
    const { answers } = await lookedInto(edit(OWL, ['stall_torque_nm: 1.9 ', 'stall_torque_nm: unknown ']));
    expect(answers[1]).toMatchObject({ verdict: 'unknown' });
    expect(answers[1]?.because).toContain('leg6 and nod');
    expect(answers[3]).toMatchObject({ verdict: 'unknown' });
  });

  it('is no yes: what nobody has weighed is not carried for sure', async () => {
    const { answers } = await lookedInto(edit(TILT, ['mass_kg: 0.9', 'mass_kg: unknown']));
    expect(answers[1]).toMatchObject({ verdict: 'unknown' });
    expect(answers[1]?.because).toContain('the mass of head is unknown');
  });

  it('goes with every figure that misses a weight', async () => {
    const looked = await lookedInto(edit(OWL, ['mass_kg: 0.62', 'mass_kg: unknown']));
    expect(looked.answers[3]!.because).toMatch(/^The limits of nod ask for/);
    for (const [symptom, cause] of [
      ['jerk', 'torque_saturated'],
      ['jerk', 'falling_load'],
      ['hot', 'holding_heat'],
      ['wobble', 'mode_excited'],
      ['slap', 'play_crossing_balance'],
    ] as const) {
      const { why } = await tell(looked, symptom);
      expect(why.causes.find((one) => one.cause === cause)!.because, cause).toMatch(/weights (are )?missing/);
    }
  });

  it('is no comfort: limits that ask too little of what is weighed', async () => {
    const { answers } = await lookedInto(edit(TILT, ['mass_kg: 0.9', 'mass_kg: unknown']));
    expect(answers[3]).toMatchObject({ verdict: 'unknown' });
    expect(answers[3]!.because).toContain('since weights are missing');
  });

  it('is no comfort on metal: whether a servo of unknown speed runs out cannot be told', async () => {
    const looked = await lookedInto(edit(TILT, ['no_load_speed_deg_s: 360', 'no_load_speed_deg_s: unknown']), SWING);
    const torque = (await tell(looked, 'jerk')).why.causes.find(({ cause }) => cause === 'torque_saturated')!;
    expect(torque.likely).toBe('possible');
    expect(torque.because).toMatch(/^whether nod and lid run out of torque is unknown; what the limits of nod ask/);
    expect(torque.cure).toMatch(/^no limits can be calculated/);
    const known = await lookedInto(TILT, SWING);
    const told = (await tell(known, 'jerk')).why.causes.find(({ cause }) => cause === 'torque_saturated')!;
    expect(told.because).not.toContain('is unknown');
  });

  it('says the speed that no torque reaches in a sentence', async () => {
    const { why } = await tell(await lookedInto(edit(OWL, ['speed_deg_s: 90\n', 'speed_deg_s: 200\n'])), null);
    expect(why.causes[0]?.because).toContain('a speed at which its servo has no torque left');
  });
});
