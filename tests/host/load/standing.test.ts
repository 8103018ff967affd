/** A stream that stands for long costs no more than its motion: counted are places worked out, not time. */
import { afterEach, describe, expect, it, vi } from 'vitest';
import { load } from '../../../host/load/load.ts';
import { Tree } from '../../../host/physics/dynamics/tree.ts';
import { RigMotion } from '../../../host/retime/motion.ts';
import { Loads } from '../../../host/retime/loads.ts';
import { ALLOWED, Peaks, TickWalk } from '../../../host/retime/ticks.ts';
import { whatStopsStream } from '../../../host/retime/reachable.ts';
import { HOME } from '../../../host/rig/rig.ts';
import * as inverse from '../../../host/physics/kinematics/inverse.ts';
import { StoredStream } from '../../../host/stream/stored.ts';
import { demo } from '../retime/rigs.ts';

const rig = demo();
const lone = rig.joints.length - 6;

/** Up and down again with a rest in between, `gap_s` of it without a frame; `creeps`: to a place 1 mm higher. */
function stream(gap_s: number, creeps = false): StoredStream {
  const stored = new StoredStream(lone);
  const push = (t_s: number, z_mm: number): void =>
    stored.pushRow(t_s, Float64Array.from([0, 0, z_mm, 0, 0, 0, ...Array.from({ length: lone }, () => 0)]));
  const swing = (k: number): number => 4 * (1 - Math.cos((Math.PI * k) / 25));
  for (let k = 0; k <= 25; k++) push(k / 50, swing(k));
  for (let k = 25; k <= 50; k++) push(gap_s + 0.1 + k / 50, swing(k) + (creeps ? 1 : 0));
  return stored;
}

function walked(stored: StoredStream) {
  const motion = new RigMotion(rig);
  const walk = new TickWalk(motion, new Loads(motion), 1, ALLOWED);
  const peaks = new Peaks(motion.axes.length, rig.joints.length);
  const told: number[] = [];
  const sink = { excess: () => undefined, tick: (t_s: number) => void told.push(t_s) };
  walk.walk(stored, 0, stored.time(stored.count - 1), peaks, sink);
  return { looked: walk.looked, told, peaks };
}

afterEach(() => vi.restoreAllMocks());

describe('standing for 1000 s', () => {
  it('costs the load no more places than standing for 1 s', () => {
    const at = vi.spyOn(Tree.prototype, 'at');
    const placesOf = (gap_s: number, creeps = false): number => {
      at.mockClear();
      load(rig, { pose: HOME, without: [], stream: { name: 'test', stored: stream(gap_s, creeps) } });
      return at.mock.calls.length;
    };
    const [short, long] = [placesOf(1), placesOf(1000)];
    expect(long).toBeLessThan(short * 1.1 + 1000);
    // Creeping is motion, and each of its 200 ticks a second is looked at.
    expect(placesOf(100, true)).toBeGreaterThan(20_000);
  });

  it('costs the walk of a retiming no more rows, and every tick is told of still', () => {
    const [short, long] = [walked(stream(1)), walked(stream(1000))];
    expect(long.looked).toBeLessThan(short.looked + 10);
    expect(long.told.length).toBe(short.told.length + 999 * 200);
    long.told.forEach((t_s, k) => {
      if (k > 0) expect(Math.abs(t_s - long.told[k - 1]! - 0.005)).toBeLessThan(1e-9);
    });
    expect(walked(stream(100, true)).looked).toBeGreaterThan(20_000);
  });

  it('finds what the walk of every tick finds', () => {
    const [short, long] = [walked(stream(0.02)), walked(stream(1000))];
    for (const figure of ['speed', 'plus', 'minus', 'use'] as const)
      long.peaks[figure].forEach((value, k) => {
        expect(value).toBeCloseTo(short.peaks[figure][k]!, 3);
      });
  });

  it('is asked once whether it can be reached', () => {
    const stops = vi.spyOn(inverse, 'whatStops');
    const { looks } = whatStopsStream(rig, stream(1000));
    expect(looks).toBeGreaterThan(200_000);
    expect(stops.mock.calls.length).toBeGreaterThan(10);
    expect(stops.mock.calls.length).toBeLessThan(1000);
  });
});
