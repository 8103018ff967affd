/** `why` on rigs whose illness is known: one figure made wrong at a time, and the cause that names it must come first. */
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { load } from '../../../host/load/load.ts';
import { carryWords, powerWords, tellsMostWords } from '../../../host/load/words.ts';
import { readRig } from '../../../host/rig/read.ts';
import { HOME, type Rig } from '../../../host/rig/rig.ts';
import { scanStream } from '../../../host/stream/read.ts';
import { storeStream } from '../../../host/stream/store.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { SYMPTOMS, type Symptom } from '../../../host/why/result.ts';
import { type Reasoned, type WhyStream, whyOf } from '../../../host/why/why.ts';

const target = simTarget({ wasm: readFileSync('build/controller.wasm') });
const OWL = readFileSync('demo/night-owl.yaml', 'utf8');

function rigOf(text: string): Rig {
  const { rig, problems } = readRig(text);
  if (!rig) throw new Error(JSON.stringify(problems));
  return rig;
}

async function streamOf(text: string, rig: Rig): Promise<WhyStream> {
  const source = (): Uint8Array[] => [new TextEncoder().encode(text)];
  return { name: 'test', scan: await scanStream(source(), rig), source };
}

const DUSK = readFileSync('demo/dusk.csv', 'utf8');

describe('the demo', () => {
  let told: Reasoned;
  beforeAll(async () => {
    const rig = rigOf(OWL);
    told = await whyOf(rig, { symptom: null, stream: await streamOf(DUSK, rig), target });
  }, 60_000);

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
    const stored = await storeStream([new TextEncoder().encode(DUSK)], rig);
    const answer = load(rig, { pose: HOME, without: [], stream: { name: 'test', stored } });
    if ('refused' in answer) throw new Error(answer.refused);
    const [, carry, power] = told.why.answers;
    const [carries, powers] = [carryWords(answer), powerWords(answer)];
    expect(carry?.because.toLowerCase()).toBe(`${carries.because}.`.toLowerCase());
    expect(power?.because).toBe(`${powers.because}.`);
    expect([carry?.verdict, power?.verdict]).toEqual([carries.verdict, powers.verdict]);
    expect(told.why.measure_first).toBe(tellsMostWords(answer));
    const nod = answer.joints.find(({ name }) => name === 'nod')!;
    const { because } = told.why.causes[0]!;
    expect(because).toContain(`nod holds ${nod.worst.effort!.toFixed(2).replace('-', '')} N·m`);
    expect(because).toContain(`${(100 * nod.worst.use!).toFixed(0)} % of its stall torque`);
  });

  it('finds the nod out of torque, and cures it on simulated metal', () => {
    const [first] = told.why.causes;
    expect(first).toMatchObject({ cause: 'torque_saturated', likely: 'likely' });
    expect(first?.before?.saturated_ms).toBeGreaterThan(100);
    expect(first?.after?.saturated_ms).toBe(0);
    expect(first!.after!.tracking_error).toBeLessThan(0.6 * first!.before!.tracking_error);
  });

  it('holds no NaN, and every figure has a unit', () => {
    const text = JSON.stringify(told.why);
    expect(text).not.toMatch(/NaN|Infinity|undefined/);
    for (const { because } of told.why.answers) expect(because).toMatch(/\.$/);
  });
});

/** Without a stream, what the rig file alone tells. */
const firstOf = async (text: string, symptom: Symptom): Promise<string | undefined> =>
  (await whyOf(rigOf(text), { symptom, stream: null, target })).why.causes[0]?.cause;

describe('one illness at a time', () => {
  const edit = (from: string | RegExp, to: string): string => {
    const text = OWL.replace(from, to);
    if (text === OWL) throw new Error(`the demo has no ${String(from)}`);
    return text;
  };

  it.each([
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
  ] as const)('%s', async (_, symptom, from, to, cause) => {
    expect(await firstOf(edit(from, to), symptom)).toBe(cause);
  });

  it('a coarse stream jerks', async () => {
    const rig = rigOf(OWL);
    const rows = Array.from({ length: 41 }, (_, i) => `${(i / 10).toFixed(1)},${(3 * Math.sin(i / 3)).toFixed(2)}`);
    const stream = await streamOf(['t_s,yaw_deg', ...rows].join('\n'), rig);
    const { why } = await whyOf(rig, { symptom: 'jerk', stream, target });
    expect(why.causes[0]).toMatchObject({ cause: 'coarse_stream', likely: 'likely' });
  });

  it('a stream out of reach falls short', async () => {
    const rig = rigOf(OWL);
    const rows = Array.from({ length: 101 }, (_, i) => `${(i / 50).toFixed(2)},${(40 * Math.sin(i / 30)).toFixed(2)}`);
    const stream = await streamOf(['t_s,yaw_deg', ...rows].join('\n'), rig);
    const { why } = await whyOf(rig, { symptom: null, stream, target });
    expect(why.symptom).toBe('short');
    expect(why.causes[0]).toMatchObject({ cause: 'reach_or_rod_ends', likely: 'likely' });
  });
});

describe('what is not known', () => {
  const BARE = `rig: bare
servos:
  s: { stall_torque_nm: unknown, no_load_speed_deg_s: unknown, frame_hz: 50, centre_us: 1500, us_per_deg: 10, range_us: [600, 2400] }
joints:
  tilt: { servo: s, pin: 2, limit_deg: [-30, 30], speed_deg_s: 60, accel_deg_s2: 500 }
motion: { tick_hz: 200 }
rest: on_stop
`;

  it.each(SYMPTOMS)('is said in words, never as a number: %s', async (symptom) => {
    const { why } = await whyOf(rigOf(BARE), { symptom, stream: null, target });
    expect(JSON.stringify(why)).not.toMatch(/NaN|Infinity|undefined/);
    expect(why.answers.map(({ verdict }) => verdict)).toEqual(['unknown', 'unknown', 'unknown', 'unknown']);
  });
});

describe('what is unknown', () => {
  const asked = async (text: string): Promise<Reasoned> => whyOf(rigOf(text), { symptom: null, stream: null, target });

  it('is no yes: servos of unknown torque carry nothing for sure', async () => {
    const told = await asked(OWL.replace('stall_torque_nm: 1.9 ', 'stall_torque_nm: unknown '));
    expect(told.why.answers[1]).toMatchObject({ verdict: 'unknown' });
    expect(told.why.answers[1]?.because).toContain('leg6 and nod');
    expect(told.why.answers[3]).toMatchObject({ verdict: 'unknown' });
  });

  it('says the speed that no torque reaches in a sentence', async () => {
    const { why } = await asked(OWL.replace('speed_deg_s: 90\n', 'speed_deg_s: 200\n'));
    expect(why.causes[0]?.because).toContain('a speed at which its servo has no torque left');
  });
});
