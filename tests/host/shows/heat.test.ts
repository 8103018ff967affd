/** What a show heats its servos by: as `load` and `why` reckon it, against figures by hand. */
import { describe, expect, it } from 'vitest';
import { TYPICAL_TAU_S, heatOf, tauOf, warmedBy, warmth } from '../../../host/load/heat.ts';
import { load } from '../../../host/load/load.ts';
import { HOME, type Rig } from '../../../host/rig/rig.ts';
import { readRig } from '../../../host/rig/read.ts';
import { segmentsIn } from '../../../host/shows/encode.ts';
import { heatByte, heatsAlong, holdHeats, streamOf, warmestIn } from '../../../host/shows/heat.ts';
import { packShow } from '../../../host/shows/pack.ts';
import { sampleStream } from '../../../host/shows/sample.ts';
import { storeStream } from '../../../host/stream/store.ts';
import { stream } from '../cli/fixture.ts';
import { TILT } from '../load/rigs.ts';

const rigOf = (text: string): Rig => readRig(text).rig!;
const tilt = rigOf(TILT);

/** Frames of a nod of so many seconds. */
const framesOf = async (rig: Rig, seconds: number, nod_deg: (t_s: number) => number) => {
  const text = stream(seconds, { nod_deg });
  return sampleStream(await storeStream([new TextEncoder().encode(text)], rig), rig);
};

describe('holding home', () => {
  it('heats by the square of what it takes of what it may take for long', () => {
    // 0.9 kg · 9.80665 m/s² · 0.05 m behind 3:1 of 0.9, of 1.5 N·m, of which half for long; weights of the file.
    const share = (0.9 * 9.80665 * 0.05) / (3 * 0.9) / 1.5;
    expect(holdHeats(tilt)[0]).toBeCloseTo((share / 0.5) ** 2, 9);
  });

  it('of a servo whose torque nobody knows is not known, and counts as nothing', () => {
    const dark = rigOf(TILT.replace('stall_torque_nm: 1.5', 'stall_torque_nm: unknown'));
    expect(holdHeats(dark)[0]).toBeNaN();
    expect(heatByte(NaN)).toBe(0);
  });
});

describe('along a show', () => {
  it('comes to what load and why reckon for the whole of it', async () => {
    const frames = await framesOf(tilt, 25, (t_s) => 10 * Math.sin(t_s * (1 + t_s / 20)));
    const heats = heatsAlong(tilt, frames);
    expect(heats).toHaveLength(3);
    expect(segmentsIn(frames.count)).toBe(3);
    const answer = load(tilt, { pose: HOME, without: [], stream: { name: 'nod', stored: streamOf(frames, tilt) } });
    if ('refused' in answer) throw new Error(answer.refused);
    const { along, continuous_use } = answer.joints[0]!;
    // 2000 ticks in each of two segments, 1001 in the last.
    const mean = (2000 * heats[0]![0]! + 2000 * heats[1]![0]! + 1001 * heats[2]![0]!) / 5001;
    expect(Math.sqrt(mean)).toBeCloseTo(warmth(along!.rms_use!, { continuous_use }), 9);
  });

  it('is told segment by segment: it holds less where the head is tilted, by the square of the cosine', async () => {
    const frames = await framesOf(tilt, 20, (t_s) => (t_s < 9 ? 0 : t_s < 10 ? 20 * (t_s - 9) : 20));
    const [, tilted] = heatsAlong(tilt, frames);
    // The ramp ends with the first segment; smoothing takes some of a frame beyond.
    expect(tilted![0]! / (holdHeats(tilt)[0]! * Math.cos((20 * Math.PI) / 180) ** 2)).toBeCloseTo(1, 2);
  });

  it('of a joint that stands is what holding takes', async () => {
    const frames = await framesOf(tilt, 30, () => 0);
    for (const heat of heatsAlong(tilt, frames)) expect(heat[0]).toBeCloseTo(holdHeats(tilt)[0]!, 9);
  });
});

describe('the warmest', () => {
  it.each([
    [30, 30.4, true],
    [31, 30.6, false],
    [32, 32, false],
  ])('of %d of 32 at %f: packed %s, for from there on it starts from quite cold only', async (_, warm, isPacked) => {
    const text = stream(60, { nod_deg: () => 0 });
    const stored = await storeStream([new TextEncoder().encode(text)], tilt);
    const cool = warmestIn(tilt, heatsAlong(tilt, sampleStream(stored, tilt)), 3001).warm;
    // Heat goes with the square of what is given over what may be given for long.
    const { servo } = tilt.joints[0]!;
    const continuous_use = servo.continuous_use * Math.sqrt(cool / (warm / 32));
    const rig = { ...tilt, joints: tilt.joints.map((joint) => ({ ...joint, servo: { ...servo, continuous_use } })) };
    const made = packShow(rig, 'still', stored, null);
    if (isPacked) expect(made).toMatchObject({ show: { warmest: 30 } });
    else expect(made).toMatch(/gets to (96|100) % of what its servo may bear for ever, from cold; allowed: up to 95 %/);
  });

  it('rises as a first-order body does: 63 % after one time constant', async () => {
    const frames = await framesOf(tilt, TYPICAL_TAU_S, () => 0);
    const heats = heatsAlong(tilt, frames);
    const { joint, warm } = warmestIn(tilt, heats, frames.count);
    expect(joint).toBe(0);
    expect(warm / holdHeats(tilt)[0]!).toBeCloseTo(1 - Math.exp(-1), 3);
    const quick = rigOf(TILT.replace('    continuous_use', '    thermal_tau_s: 10\n    continuous_use'));
    expect(tauOf(quick.joints[0]!.servo)).toBe(10);
    expect(warmestIn(quick, heats, frames.count).warm / holdHeats(tilt)[0]!).toBeCloseTo(1, 6);
  });

  it('cools by the same law', () => {
    expect(warmedBy(1, 0, 300, 300)).toBeCloseTo(Math.exp(-1), 12);
    expect(heatOf(0.5, { continuous_use: 0.5 })).toBe(1);
    expect([heatByte(1), heatByte(0.5), heatByte(100)]).toEqual([32, 16, 255]);
  });
});
