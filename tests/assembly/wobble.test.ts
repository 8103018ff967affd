/**
 * The wobble filter in the controller: the average of earlier ticks that it should be, late where it should be late, still when the
 * motion is still; and a structure behind a joint that is left at rest by it.
 */
import { describe, expect, it } from 'vitest';
import { RESET } from '../../host/controller/controller.ts';
import { imageFingerprint, packImage } from '../../host/controller/image.ts';
import { TYPE } from '../../host/controller/messages.ts';
import { type Rig, toDeg, toRad } from '../../host/rig/rig.ts';
import { wobbleFilter } from '../../host/rig/wobble.ts';
import crc32 from 'crc/calculators/crc32';
import { Prop } from './prop.ts';
import { type RigOptions, crankPlatform, rigOf } from './rigs.ts';
import { NONE, type Wobble, look, swingLeft, swingsLeft } from './swing.ts';

const CURES: Wobble[] = [
  { cure: 'exact', hz: 2.3, damping: 0.02 },
  { cure: 'tolerant', hz: 3.1, damping: 0 },
  { cure: 'broad', hz: 2.7, damping: 0.05 },
];
/** The platform is carried by the nod, so legs and nod are shaped and the lid waits. */
const carried = (wobble: Wobble, more: RigOptions = {}): Rig =>
  rigOf({ platform: { ...crankPlatform(), on: 'nod' }, wobble, ...more });
const NAMES = carried(NONE).joints.map(({ name }) => name);
const NOD = NAMES.indexOf('nod');
const LID = NAMES.indexOf('lid');

/** Runs a rough motion of `seconds` after rousing; positions by tick. Frames go by the tick, whatever the rig says. */
function recorded(rig: Rig, seconds: number): Float64Array[] {
  const prop = new Prop(rig);
  const rows: Float64Array[] = [];
  prop.tell(prop.send.command(TYPE.rouse));
  prop.watch = (t) => rows.push(Float64Array.from(t.position.subarray(0, rig.joints.length)));
  prop.run(13 * prop.hz);
  expect(['live', 'holding']).toContain(prop.state);
  const ticks = seconds * prop.hz;
  for (let n = 0; n < ticks; n++) {
    const look = (k: number): number => Math.sign(Math.sin(n / (37 + 11 * k)));
    const values = [6 * look(0), 0, 4 * look(1), 0.1 * look(2), 0.05 * Math.sin(n / 20), 0.1 * look(3), 0.3 * look(4)];
    if (n % 4 === 0) prop.pose(20_000, [...values, 0.4 + 0.4 * look(5)]);
    prop.run(1);
  }
  return rows;
}

describe('what comes out', () => {
  it.each(CURES)('$cure: the average of what tracking did at the taps, the others late by its delay', (wobble) => {
    const rig = carried(wobble);
    const filter = wobbleFilter(rig)!;
    expect(filter.joints).toEqual([0, 1, 2, 3, 4, 5, NOD]);
    const shaped = recorded(rig, 12);
    const plain = recorded(carried(NONE), 12);
    expect(shaped).toHaveLength(plain.length);
    const [whole, part] = [Math.floor(filter.delay_ticks), filter.delay_ticks % 1];
    let moved = 0;
    // Rousing waits for what the filter still holds, and is later by it; from then on the same is asked of both.
    for (let n = 13 * 200 + 150; n < plain.length; n++)
      for (let i = 0; i < NAMES.length; i++) {
        const before = (ticks: number): number => plain[n - ticks]![i]!;
        const wanted =
          i === LID
            ? (1 - part) * before(whole) + part * before(whole + 1)
            : filter.taps.reduce((sum, { share, ticks }) => sum + share * before(ticks), 0);
        if (Math.abs(shaped[n]![i]! - wanted) > 2e-6)
          expect.fail(`tick ${String(n)}, ${NAMES[i]!}: ${String(shaped[n]![i])}, not ${String(wanted)}`);
        moved = Math.max(moved, Math.abs(wanted - before(0)));
      }
    expect(moved).toBeGreaterThan(toRad(5));
  });

  it.each(CURES)('$cure: standing still is standing where it was asked, to the bit', (wobble) => {
    const stand = (it: Wobble): Float64Array => {
      const prop = new Prop(carried(it));
      prop.rouse();
      for (let n = 0; n < 800; n++) {
        if (n % 4 === 0) prop.pose(20_000, [3, 2, 1, 0.05, 0.04, 0.03, 0.2, 0.5]);
        prop.run(1);
      }
      return prop.telemetry.position.slice(0, NAMES.length);
    };
    expect(stand(wobble)).toEqual(stand(NONE));
  });

  it('is the rig without a filter, to the bit, when there is no cure', () => {
    const none = rigOf();
    const image = packImage(none);
    expect(image.subarray(172, 212).every((byte) => byte === 0)).toBe(true);
    expect(imageFingerprint(image)).toBe(imageFingerprint(packImage(carried(NONE))));
  });
});

describe('states', () => {
  const WOBBLE = CURES[1]!;
  /** Largest change of any joint's speed from tick to tick while it has pulses, as a share of its limit. */
  function roughest(prop: Prop): { share: number } {
    const found = { share: 0 };
    const before = prop.rig.joints.map(() => ({ at: NaN, step: NaN }));
    prop.watch = (t) =>
      prop.rig.joints.forEach((joint, i) => {
        const at = t.pulse_us[i] === 0 ? NaN : t.position[i]!;
        const step = at - before[i]!.at;
        const change = step - before[i]!.step;
        before[i] = { at, step };
        const blur = 4 * 2 ** -23;
        const limit = (change > 0 ? joint.plus : joint.minus) / prop.hz ** 2;
        if (!Number.isNaN(change)) found.share = Math.max(found.share, (Math.abs(change) - blur) / limit);
      });
    return found;
  }

  it.each([
    ['far from it', [4, 2, 1, 0.1, 0.1, -0.1, 0.4, 0.9]],
    // Done sooner than the next tap: the filter stands still in between.
    ['all but there', [-7.9, 0, 0, 0, 0, 0, toRad(-19.8), 0.003]],
  ])('settles to the rest before its pulses go, without a step: %s', (_, values) => {
    const prop = new Prop(carried(WOBBLE, { rest: [-8, 0, 0, 0, 0, 0] }));
    const rough = roughest(prop);
    prop.rouse();
    for (let n = 0; n < 500; n++) {
      if (n % 4 === 0) prop.pose(20_000, values);
      prop.run(1);
    }
    prop.ask(TYPE.settle);
    let last: number[] = [];
    for (let n = 0; n < 4000 && prop.state === 'settling'; n++) {
      last = [...prop.telemetry.position.subarray(0, NAMES.length)];
      prop.run(1);
    }
    expect(prop.state).toBe('limp');
    prop.rig.joints.forEach(({ rest }, i) => expect(toDeg(Math.abs(last[i]! - rest))).toBeLessThan(0.001));
    expect(rough.share).toBeLessThan(1.002);
  });

  it('cut in motion and roused again it begins where the filter had it', () => {
    const prop = new Prop(carried(WOBBLE, { stopCategory: 0 }));
    prop.rouse();
    for (let n = 0; n < 60; n++) {
      if (n % 4 === 0) prop.pose(5000, [0, 0, 0, 0, 0, 0, 0.4, 0.9]);
      prop.run(1);
    }
    prop.ask(TYPE.stop);
    expect(prop.state).toBe('limp');
    const cut = prop.telemetry.position.slice(0, NAMES.length);
    expect(cut[NOD]).toBeGreaterThan(toRad(1));
    const rough = roughest(prop);
    prop.ask(TYPE.rouse);
    prop.run(20);
    expect(prop.telemetry.position.slice(0, NAMES.length)).toEqual(cut);
    prop.until('live');
    expect(rough.share).toBeLessThan(1.002);
  });

  it('after a watchdog reset in motion the widths stay, and what comes then begins there', () => {
    const first = new Prop(carried(WOBBLE));
    first.rouse();
    for (let n = 0; n < 60; n++) {
      if (n % 4 === 0) first.pose(5000, [0, 0, 0, 0, 0, 0, 0.4, 0.9]);
      first.run(1);
    }
    const widths = [...first.controller.pulses];
    const again = new Prop(carried(WOBBLE), { resetReason: RESET.watchdog, places: first.controller.places() });
    const rough = roughest(again);
    again.run(100);
    expect(again.state).toBe('tripped');
    expect([...again.controller.pulses]).toEqual(widths);
    again.ask(TYPE.settle);
    again.run(3000);
    expect(again.controller.pulses.every((us) => us === 0)).toBe(true);
    expect(rough.share).toBeLessThan(1.002);
  });
});

describe('an image', () => {
  const at = { taps: 172, joints: 174, shares: 176, backs: 196, wait: 206, waitShare: 208 };
  /** Refusals are numbers of assembly/rig.ts; 5: a range. */
  function refusal(change: (view: DataView) => void): number {
    const image = packImage(carried(CURES[1]!));
    const view = new DataView(image.buffer);
    change(view);
    view.setUint32(8, crc32(image.subarray(12)) >>> 0, true);
    return new Prop(carried(CURES[1]!)).controller.init({ image });
  }

  it('whose shares are more than all, or whose ticks do not rise or are not kept, is refused', () => {
    expect(refusal(() => undefined)).toBe(0);
    expect(refusal((view) => view.setUint8(at.taps, 6))).toBe(5);
    expect(refusal((view) => view.setUint32(at.shares, 2 ** 30, true))).toBe(5);
    expect(refusal((view) => view.setUint32(at.shares, 2 ** 32 - 1, true))).toBe(5);
    expect(refusal((view) => view.setUint16(at.backs, 0, true))).toBe(5);
    expect(refusal((view) => view.setUint16(at.backs, 65535, true))).toBe(5);
    expect(refusal((view) => view.setUint16(at.backs + 8, 148, true))).toBe(5);
    expect(refusal((view) => view.setUint16(at.joints, 0x1ff, true))).toBe(5);
    expect(refusal((view) => view.setUint16(at.wait, 1024, true))).toBe(5);
    expect(refusal((view) => view.setUint32(at.waitShare, 2 ** 30 + 1, true))).toBe(5);
  });
});

describe('a structure on the nod, after a look', () => {
  const HZ = 2.4;
  const DAMPING = 0.01;
  /** The look is over, filter and all, after 1.5 s. */
  const OVER = 300;
  const plain = look(NONE);
  const shares = (cure: 'exact' | 'tolerant' | 'broad', ratios: readonly number[], every = 1): number[] =>
    swingsLeft({ cure, hz: HZ, damping: DAMPING }, ratios, OVER, every);

  it('swings by degrees without the cure', () => {
    expect(toDeg(swingLeft(plain, 1 / 200, HZ, DAMPING, OVER))).toBeGreaterThan(2);
  });

  it('is at rest with the exact cure at its own frequency', () => {
    const [own = 1, off = 0] = shares('exact', [1, 1.14]);
    expect(own).toBeLessThan(0.002);
    expect(off).toBeGreaterThan(0.1);
  });

  it('has less than 5 % left with the tolerant cure from 14 % below to 14 % above', () => {
    for (const share of shares('tolerant', [0.86, 0.93, 1, 1.07, 1.14])) expect(share).toBeLessThan(0.05);
  });

  it('has about 5 % left with the broad cure from 19 % below to 19 % above', () => {
    for (const share of shares('broad', [0.81, 0.86, 0.93, 1, 1.07, 1.14, 1.19])) expect(share).toBeLessThan(0.055);
  });

  it('nor more when a servo hears of it only 50 times a second', () => {
    expect(shares('exact', [1], 4)[0]).toBeLessThan(0.01);
    for (const share of shares('tolerant', [0.86, 1, 1.14], 4)) expect(share).toBeLessThan(0.05);
  });
});
