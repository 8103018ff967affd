/** Poor links and wrong hosts on a board (the native one): frames lost, doubled, out of order, late, from elsewhere in time; two hosts. */
import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { COUNTERS, RESULT, TYPE, sender } from '../../host/controller/messages.ts';
import { packImage } from '../../host/controller/image.ts';
import { Lockstep } from '../../host/build/bench/boards/lockstep.ts';
import { frameReader } from '../../host/controller/frames.ts';
import { parseAnswer } from '../../host/controller/messages.ts';
import type { RigOptions } from '../assembly/rigs.ts';
import { rigOf } from '../assembly/rigs.ts';
import { firmwareOf, has } from './firmware.ts';
import { NativeProp, pulsing } from './native-prop.ts';

const TICK_US = 20_000;
const FRAMES = 150;
/** Ticks that a frame is sent ahead of its instant. */
const AHEAD = 2;
/** Frames before the fault sets in. */
const LEAD = 10;
const HALF_HOUR_US = 1.8e9;

/** What is sent on a tick, given the frames in their order: instants relative to the stream's begin, us. */
type Fault = (n: number, frame: (n: number, shift_us?: number) => Uint8Array) => Uint8Array[];

const curve = (us: number, k: number): number =>
  (k < 3 ? 4 : k < 6 ? 0.06 : 0.15) * Math.sin((us / 1e6) * 3 + k) + (k === 7 ? 0.4 : 0);

let prop: NativeProp;
beforeAll(() => {
  if (has('gcc')) firmwareOf('native');
});
afterEach(async () => {
  expect(await prop.end()).toBe(0);
});

interface Played {
  /** Every joint's place, tick by tick. */
  readonly places: number[][];
  readonly counters: Readonly<Record<string, number>>;
  readonly starved: number;
}

/** Plays the curve with a fault, and sees that no limit is passed whatever happens. */
async function play(fault: Fault, options: RigOptions = {}): Promise<Played> {
  prop = await NativeProp.start(options);
  await prop.rouse();
  return playOn(fault);
}

async function playOn(fault: Fault): Promise<Played> {
  const start_us = prop.telemetry.now_us + (1 + LEAD + AHEAD) * TICK_US;
  const frame = (n: number, shift_us = 0): Uint8Array => {
    const at_us = n * TICK_US;
    const values = Float64Array.from({ length: 8 }, (_, k) => curve(at_us, k));
    return prop.send.pose((start_us + at_us + shift_us) >>> 0, values, 6);
  };
  const played: number[][] = [];
  let starved = 0;
  prop.watch = (tick) => {
    const { telemetry, rig } = prop;
    played.push([...telemetry.position.subarray(0, 8)]);
    if (telemetry.starved) starved++;
    rig.joints.forEach((joint, i) => {
      expect(telemetry.rise[i]! * 50).toBeLessThanOrEqual(joint.speed * 1.001);
      expect(telemetry.plus[i]! * 2500).toBeLessThanOrEqual(joint.plus * 1.002);
      expect(-telemetry.minus[i]! * 2500).toBeLessThanOrEqual(joint.minus * 1.002);
      const us = tick.pulses[joint.pin - 2]!;
      const off = us === 0 && prop.state === 'tripped';
      expect(off || (us >= joint.range_us[0] && us <= joint.range_us[1])).toBe(true);
    });
  };
  for (let n = -LEAD; n < 0; n++) await prop.run(1, frame(n));
  for (let n = 0; n < FRAMES; n++) await prop.run(1, Buffer.concat(fault(n, frame)));
  await prop.run(10);
  const counters = Object.fromEntries(COUNTERS.map((name, i) => [name, prop.telemetry.counters[i]!]));
  return { places: played, counters, starved };
}

/** Its checksum, which stands at the end, is another. */
function damaged(frame: Uint8Array): Uint8Array {
  frame[frame.length - 2]! ^= frame[frame.length - 2] === 1 ? 2 : 1;
  return frame;
}

const clean: Fault = (n, frame) => [frame(n)];
/** The largest distance between two runs from a tick on, rad. */
const apart = (a: Played, b: Played, from = 0): number =>
  Math.max(
    ...a.places
      .slice(from)
      .flatMap((row, n) => row.map((value, k) => Math.abs(value - (b.places[n + from]?.[k] ?? NaN)))),
  );

describe.skipIf(!has('gcc'))('frames on a board', () => {
  let expected: Played;

  it('as they should be: the curve is followed', async () => {
    expected = await play(clean);
    expect(expected.starved).toBeLessThan(20);
    // The nod, once the joints are on the curve: what was asked a playback delay ago.
    const nod = expected.places.map((row) => row[6]!);
    expect(Math.max(...nod)).toBeCloseTo(0.15, 3);
    expect(Math.min(...nod)).toBeCloseTo(-0.15, 3);
    expect(expected.counters).toMatchObject({ checksum: 0, value: 0, late: 0, doubled: 0, full: 0 });
  });

  const harmless: [string, Fault, string | null][] = [
    ['doubled', (n, frame) => [frame(n), frame(n)], 'doubled'],
    ['in the wrong order', (n, frame) => [frame(n ^ 1)], null],
    [
      'late, within the playback delay',
      (n, frame) => (n % 3 === 2 ? [frame(n - 2), frame(n - 1), frame(n)] : []),
      null,
    ],
    ['among others from more than half an hour ago', (n, frame) => [frame(n), frame(n, -HALF_HOUR_US - 1e7)], 'value'],
    ['among others from more than half an hour ahead', (n, frame) => [frame(n, HALF_HOUR_US + 1e7), frame(n)], 'value'],
    ['among others from seconds ago', (n, frame) => [frame(n), frame(n, -4e6)], 'late'],
    ['among damaged ones', (n, frame) => [frame(n), ...(n % 10 === 5 ? [damaged(frame(n))] : [])], 'checksum'],
  ];
  it.each(harmless)('%s change nothing, to the last bit', async (_, fault, counted) => {
    const played = await play(fault);
    expect(apart(played, expected)).toBe(0);
    if (counted !== null) expect(played.counters[counted]).toBeGreaterThan(10);
  });

  it('lost ones are bridged', async () => {
    const played = await play((n, frame) => (n % 7 === 3 ? [] : [frame(n)]));
    expect(apart(played, expected)).toBeLessThan(0.01);
    expect(apart(played, expected)).toBeGreaterThan(0);
    expect(played.starved).toBe(expected.starved);
  });

  it('ones from twenty minutes ahead break no limit, and the stream goes on', async () => {
    const played = await play((n, frame) => (n % 20 === 10 ? [frame(n), frame(n, 1.2e9)] : [frame(n)]));
    expect(played.counters).toMatchObject({ value: 0 });
    expect(prop.state).toMatch(/live|holding/);
  });

  it('go across the wrap of the microseconds', async () => {
    prop = await NativeProp.start();
    // Limp, it only counts.
    const ticks = Math.floor((2 ** 32 - 8e6) / TICK_US);
    await prop.ask(prop.send.report(0));
    for (let n = ticks; n > 0; n -= 10_000) await prop.run(Math.min(n, 10_000));
    await prop.ask(prop.send.report(1));
    await prop.rouse();
    while (prop.telemetry.now_us < 2 ** 32 - 1.5e6) await prop.run(1, prop.pose(40_000, 0, 0, 0, 0, 0, 0, 0, 0));
    const before_us = prop.telemetry.now_us;
    const played = await playOn(clean);
    expect(prop.telemetry.now_us).toBeLessThan(before_us);
    // It came onto the curve from a stream before it, the other from standing.
    expect(apart(played, expected, 60)).toBeLessThan(1e-6);
    expect(played.counters).toMatchObject({ value: 0, late: 0 });
  });
});

describe.skipIf(!has('gcc'))('two hosts', () => {
  it('that stream at once are heard frame by frame, and neither breaks a limit', async () => {
    const other = sender();
    const played = await play((n, frame) => [
      frame(n),
      other.pose((prop.telemetry.now_us + 50_000) >>> 0, Float64Array.of(-4, 0, 3, 0, 0.05, 0, 0.1, 0.8), 6),
      ...(n % 10 === 0 ? [other.command(TYPE.who)] : []),
    ]);
    expect(prop.state).toMatch(/live|holding/);
    expect(played.counters).toMatchObject({ checksum: 0, framing: 0 });
    expect(prop.iAm?.joints).toBe(8);
    expect(await prop.ask(TYPE.settle)).toBe(RESULT.done);
  });

  it('whose bytes get mixed within frames trip it: it settles', async () => {
    const other = sender();
    await play((n, frame) => {
      const [a, b] = [frame(n), other.pose(n, new Float64Array(8), 6)];
      return [a.subarray(0, 20), b.subarray(0, 20), a.subarray(20), b.subarray(20)];
    });
    expect(prop.state).toBe('tripped');
    expect(pulsing(await prop.seconds(8))).toBe(0);
  });
});

describe.skipIf(!has('gcc'))('a board with four servo pins', () => {
  it('refuses a rig of eight joints, and takes one of two', async () => {
    prop = await NativeProp.start();
    const board = new Lockstep(firmwareOf('native', 'few').elf);
    const send = sender();
    const results: number[] = [];
    const read = frameReader({
      frame: (type, _sequence, payload) => type === TYPE.answer && results.push(parseAnswer(payload)!.result),
      bad: () => undefined,
    });
    const give = async (options: RigOptions): Promise<number> => {
      for (const frame of send.image(packImage(rigOf(options))))
        for (const { bytes } of await board.run(1, frame)) read(bytes);
      return results.at(-1)!;
    };
    expect(await give({})).toBe(RESULT.badImage + 8);
    for (const { bytes } of await board.run(1, send.command(TYPE.rouse))) read(bytes);
    expect(results.at(-1)).toBe(RESULT.noRig);
    expect(await give({ platform: null })).toBe(RESULT.done);
    expect(await board.end()).toBe(0);
  });
});
