/** NIGHT.pwshow: what is written is read again, every spoilt byte is noticed, and the plan says what the rig file says. */
import crc32 from 'crc/calculators/crc32';
import { describe, expect, it } from 'vitest';
import { imageFingerprint, packImage } from '../../../host/controller/image.ts';
import { whatStops } from '../../../host/physics/kinematics/inverse.ts';
import { readRig } from '../../../host/rig/read.ts';
import { type Rig, toDeg, toRad } from '../../../host/rig/rig.ts';
import { idleReach } from '../../../host/shows/idle.ts';
import { ENTRY_BYTES, NOBODY, PAGE_BYTES, PLAN, PLAN_TABLE, START_FLAG } from '../../../host/shows/layout.ts';
import { type NightFile, type PackedShow, nightBytes, readNight, writeNight } from '../../../host/shows/night-file.ts';
import { heardAt } from '../../../host/shows/pack.ts';
import { buildPlan, cuesOf } from '../../../host/shows/plan.ts';
import { NIGHT, nightOwl } from './rigs.ts';

const rigOf = (text: string): Rig => {
  const { rig, problems } = readRig(text);
  if (!rig) throw new Error(JSON.stringify(problems));
  return rig;
};
const owl = rigOf(nightOwl());
const fingerprint = imageFingerprint(packImage(owl));
const plan = buildPlan(owl, ['gentle', 'nod'], fingerprint);
const show = (name: string, bytes: number): PackedShow => ({
  name,
  data: Uint8Array.from({ length: bytes }, (_, i) => (i * 37) & 255),
  frames: bytes * 3,
  places: [0, 5, 12, 21],
  warmest: 77,
  ...cuesOf(owl, name, 1.5),
});
const night: NightFile = {
  fingerprint,
  plan: plan.bytes,
  shows: [show('gentle', 700), show('nod', 256), show('ü', 1)],
};
const file = writeNight(night);

describe('a night', () => {
  it('is read as it was written', () => {
    expect(readNight(file)).toEqual(night);
    expect(readNight(writeNight({ ...night, shows: [] }))).toEqual({ ...night, shows: [] });
  });

  it('stands page by page', () => {
    // Head, removals, four of plan, two of entries, then 3 + 1 + 1 of data.
    expect(file.length).toBe(13 * PAGE_BYTES);
    expect(nightBytes(night.shows)).toBe(file.length);
    const view = new DataView(file.buffer);
    expect(Buffer.from(file.subarray(0, 4)).toString()).toBe('PWN1');
    expect([view.getUint16(6, true), view.getUint32(8, true), view.getUint16(24, true)]).toEqual([3, 13, 6]);
    expect(view.getUint32(16, true)).toBe(0);
    expect(view.getUint32(20, true)).toBe(crc32(file.subarray(512, 8 * 256)) >>> 0);
    expect(view.getUint32(28, true)).toBe(crc32(file.subarray(0, 28)) >>> 0);
    expect(file.subarray(32, 512).every((byte) => byte === 0xff)).toBe(true);
    const entry = (i: number, at: number): number => view.getUint32(6 * 256 + i * ENTRY_BYTES + at, true);
    expect([0, 1, 2].map((i) => entry(i, 0))).toEqual([8, 11, 12]);
    expect([0, 1, 2].map((i) => entry(i, 4))).toEqual([700, 256, 1]);
    expect(entry(0, 16)).toBe((1 << 0) | (1 << 5) | (1 << 12) | (1 << 21));
  });

  it('tells every bit that is not as it was, in head, plan, entries and data', () => {
    const used = [...Array(32).keys(), ...Array.from({ length: 6 * 256 }, (_, i) => 512 + i)];
    const data = [...Array(700).keys()].map((i) => 8 * 256 + i);
    for (const at of [...used, ...data]) {
      const spoilt = Uint8Array.from(file);
      spoilt[at]! ^= 1 << (at % 8);
      expect(typeof readNight(spoilt), String(at)).toBe('string');
    }
    expect(readNight(file.subarray(0, -256))).toMatch(/damaged/);
    expect(readNight(new Uint8Array(0))).toMatch(/no night/);
    expect(readNight(new TextEncoder().encode('rig: night-owl\nplatform:\n  drive: crank\n'))).toMatch(
      /shows pack" makes one/,
    );
  });
});

describe('its plan', () => {
  const view = new DataView(plan.bytes.buffer);
  const f32 = (table: keyof typeof PLAN_TABLE, k: number): number => view.getFloat32(PLAN_TABLE[table] + 4 * k, true);

  it('has the lines, the times and the starts of the rig file', () => {
    expect([...plan.bytes.subarray(PLAN.in_pins_low, PLAN.in_pins_low + 8)]).toEqual([
      26, 22, 19, 255, 255, 255, 255, 255,
    ]);
    expect([...plan.bytes.subarray(PLAN.out_pins, PLAN.out_pins + 4)]).toEqual([18, 21, 27, 255]);
    expect([PLAN.button, PLAN.light, PLAN.warn].map((at) => view.getUint8(at))).toEqual([2, 0, 1]);
    expect([PLAN.warn_ms, PLAN.cross_ms, PLAN.pause_s, PLAN.debounce_ms].map((at) => view.getUint16(at, true))).toEqual(
      [5000, 3000, 60, 50],
    );
    // Barrier and idle; no loop.
    expect(view.getUint32(PLAN.flags, true)).toBe(5);
    expect(view.getUint8(PLAN.starts)).toBe(2);
    const starts = [0, 4].map((at) => [view.getUint16(520 + at, true), view.getUint8(522 + at)]);
    expect(starts).toEqual([
      [600, 1],
      [60, 0],
    ]);
  });

  it('has the heat of the servos', () => {
    expect(f32('per_tau', 0)).toBeCloseTo(1 / 300, 9);
    expect(f32('hold_heat', 6)).toBeGreaterThan(0);
  });

  it('has the idle life about home, its lids open', () => {
    // Joints are leg1 to leg6, nod, lid, jaw, ears; their places in a frame 6 and on.
    expect(f32('look', 5)).toBeCloseTo(toRad(6), 6);
    expect(f32('look', 15)).toBeCloseTo(toRad(15), 6);
    expect(f32('breath', 2)).toBe(1);
    expect(f32('home', 13)).toBeCloseTo(toRad(45), 6);
    expect(f32('home', 12)).toBe(0);
    expect(f32('shut', 7)).toBe(0);
    expect(view.getUint16(PLAN.lids, true)).toBe(1 << 7);
    expect(view.getUint16(PLAN.breath_joints, true)).toBe(1 << 6);
    expect(plan.idle?.cut).toEqual([]);
  });
});

describe('idle life', () => {
  it('goes no further than the prop reaches, in any combination', () => {
    const far = rigOf(
      nightOwl(
        NIGHT.replace('yaw_deg: 6, pitch_deg: 3, ears_deg: 15', 'yaw_deg: 60, roll_deg: 40, x_mm: 30, ears_deg: 50'),
      ),
    );
    const { look, breath, cut } = idleReach(far, far.night!.idle!);
    expect(cut.map(({ place }) => place).sort((a, b) => a - b)).toEqual([0, 3, 5, 15]);
    // Breath is within reach by itself, and beside the rest: it stays whole.
    expect(breath.find(({ place }) => place === 2)!.by).toBe(1);
    // The ears have 35 deg to either side.
    expect(toDeg(look.find(({ place }) => place === 15)!.by)).toBeCloseTo(35, 6);
    const by = (place: number): number => [...look, ...breath].find((it) => it.place === place)!.by;
    const corner = (share: number, signs: readonly number[]): number[] =>
      [0, 0, 2, 3, 0, 5].map((place, k) => (k === 1 || k === 4 ? 0 : signs[k]! * by(place) * share));
    const signs = [...Array(64).keys()].map((n) => [0, 1, 2, 3, 4, 5].map((k) => ((n >> k) & 1 ? 1 : -1)));
    expect(signs.every((some) => whatStops(far, corner(1, some)) === null)).toBe(true);
    expect(signs.some((some) => whatStops(far, corner(1.02, some)) !== null)).toBe(true);
  });
});

describe('cues', () => {
  it('are the rig file’s: the input and who closes it, the sound so much earlier than it is heard', () => {
    expect(cuesOf(owl, 'gentle', null)).toEqual({
      start: 1,
      start_flags: START_FLAG.level | START_FLAG.unattended | START_FLAG.inverted,
      sound: 2,
      sound_ms: 300,
      sound_at_ms: -120,
    });
    expect(cuesOf(owl, 'gentle', 1.5).sound_at_ms).toBe(1380);
    expect(cuesOf(owl, 'nod', 1.5)).toMatchObject({ start: 0, start_flags: 0, sound: NOBODY, sound_at_ms: 0 });
    expect(cuesOf(owl, 'other', null)).toMatchObject({ start: NOBODY, sound: NOBODY });
    const own = rigOf(nightOwl(NIGHT.replace('sound_lead_ms: 120', 'sound_at_s: 2')));
    expect(cuesOf(own, 'gentle', 1.5).sound_at_ms).toBe(2000);
  });

  it('take the sound’s time from the stream', () => {
    expect(heardAt('# take\n# sound hoot two.wav at 0.25\nt_s,x_mm\n0,0\n')).toBe(0.25);
    expect(heardAt('# mark 3.2 startle\nt_s,x_mm\n')).toBeNull();
  });
});
