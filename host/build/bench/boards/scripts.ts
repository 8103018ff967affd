/**
 * What a host says to a board, an item a tick, for runs that are the same every time: poses without limits, a rough stream, the
 * demo. Apart from the rig image no tick brings more than a line of 500 kbaud carries while a slow board is idle: 100 bytes.
 */
import { readFileSync } from 'node:fs';
import { uniformFloat32 } from 'pure-rand/distribution/uniformFloat32';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';

import { packImage } from '../../../controller/image.ts';
import { STATES, TYPE, type StateName, sender } from '../../../controller/messages.ts';
import type { Rig } from '../../../rig/rig.ts';
import { readStream } from '../../../stream/read.ts';

/** The rate before there is a rig, and of every rig here: so that the controller's clock is the count of ticks. */
const HZ = 200;
const TICK_US = 1e6 / HZ;
const REPORT_TICKS = 4;
const NOTHING: Uint8Array = new Uint8Array(0);
/** Longest wait for a state, s. */
const PATIENCE_S = 60;

/** What a script sees of the board that it talks to. */
export interface Watched {
  /** Number of its state. */
  readonly state: number;
  /** Ticks between two reports; a tick's report of ten joints takes a line 7 ms, so not every tick. */
  readonly reportTicks?: number;
  /** Ticks before it hears anything. */
  readonly ahead?: number;
}

export type Script = Generator<Uint8Array, void>;

/** Counts ticks as they are yielded; `us` is the controller's clock on the tick that an item is for. */
export class Clock {
  ticks = 0;
  readonly send = sender();
  get us(): number {
    return (this.ticks + 1) * TICK_US;
  }
  *say(bytes: Uint8Array = NOTHING): Script {
    yield bytes;
    this.ticks++;
  }
  *wait(ticks: number): Script {
    for (let n = 0; n < ticks; n++) yield* this.say();
  }
  *until(controller: Watched, ...states: readonly StateName[]): Script {
    for (let n = 0; n < PATIENCE_S * HZ; n++) {
      if (states.includes(STATES[controller.state] ?? 'limp')) return;
      yield* this.say();
    }
    throw new Error(`never became ${states.join(' or ')}: ${String(STATES[controller.state])}`);
  }
}

/** Rig, telemetry, rouse. */
function* opening(clock: Clock, rig: Rig, controller: Watched): Script {
  if (rig.motion.tick_hz !== HZ) throw new Error(`a rig of ${String(HZ)} ticks a second is wanted`);
  yield* clock.wait(controller.ahead ?? 0);
  yield* clock.say(clock.send.command(TYPE.who));
  for (const frame of clock.send.image(packImage(rig))) {
    yield* clock.say(frame);
    yield* clock.wait(2);
  }
  yield* clock.say(clock.send.report(controller.reportTicks ?? REPORT_TICKS));
  yield* clock.say(clock.send.command(TYPE.rouse));
  yield* clock.until(controller, 'live');
}

/** The rig's platform with no limit but the soft limits: the pose that is asked comes out on the same tick. */
export const withoutLimits = (rig: Rig): Rig => ({
  ...rig,
  motion: { ...rig.motion, pose_speed: [null, null, null, null, null, null] },
  joints: rig.joints.filter(({ kind }) => kind === 'leg').map((leg) => ({ ...leg, speed: 1e4, plus: 1e6, minus: 1e6 })),
});

/** A pose of its own for every tick, in reach or not; the controller plays each on one tick. */
export function* posesScript(rig: Rig, controller: Watched, poses: number, seed: number): Script {
  const clock = new Clock();
  yield* opening(clock, rig, controller);
  const random = xoroshiro128plus(seed);
  const values = new Float64Array(rig.joints.length);
  for (let n = 0; n < poses; n++) {
    const wide = n % 3 === 0 ? 2 : 1;
    for (let k = 0; k < values.length; k++) values[k] = (uniformFloat32(random) - 0.5) * wide * (k < 3 ? 24 : 0.4);
    yield* clock.say(clock.send.pose(clock.us, values, 6));
  }
  yield* clock.wait(Math.ceil((rig.motion.playback_delay_ms * 1000) / TICK_US) + 2);
}

/**
 * A stream as no host should send it: jitter, gaps, frames lost, doubled, late, from the future, damaged, garbage, poses far out of
 * reach, pauses, stops; roused again when it has settled or tripped.
 */
export function* roughScript(rig: Rig, controller: Watched, ticks: number, seed: number): Script {
  const clock = new Clock();
  yield* opening(clock, rig, controller);
  const end = clock.ticks + ticks;
  const random = xoroshiro128plus(seed);
  const chance = (): number => uniformFloat32(random);
  const values = new Float64Array(rig.joints.length);
  let last: Uint8Array = NOTHING;
  const pose = (): Uint8Array => {
    const scale = chance() < 0.1 ? 20 : chance() < 0.5 ? 2 : 1;
    for (let k = 0; k < values.length; k++) values[k] = k > 5 && chance() < 0.2 ? NaN : (chance() - 0.5) * scale * (k < 3 ? 8 : 0.3);
    const ahead_us = chance() < 0.05 ? (chance() - 0.5) * 2 ** 32 : chance() * 60_000 - 20_000;
    return (last = clock.send.pose((clock.us + ahead_us) >>> 0, values, 6));
  };
  const damaged = (bytes: Uint8Array): Uint8Array => {
    const copy = bytes.slice(0, chance() < 0.5 ? bytes.length : Math.floor(chance() * bytes.length));
    if (copy.length > 0) copy[Math.floor(chance() * copy.length)]! ^= 1 << Math.floor(chance() * 8);
    return copy;
  };
  const commands = [TYPE.pause, TYPE.settle, TYPE.stop, TYPE.who, TYPE.clear, 0x55];
  let gap = 0;
  for (let n = 0; clock.ticks < end; n++) {
    const state = STATES[controller.state] ?? 'limp';
    if (n % 200 === 0 && (state === 'limp' || state === 'settling')) yield* clock.say(clock.send.command(TYPE.rouse));
    else if (n % 200 === 100 && state === 'tripped') yield* clock.say(clock.send.command(TYPE.clear));
    else if (gap > 0) yield* clock.say();
    else if (n % 4 === 0) yield* clock.say(chance() < 0.03 ? damaged(pose()) : pose());
    else if (n % 4 === 1 && chance() < 0.05) yield* clock.say(last);
    else if (chance() < 0.001) yield* clock.say(clock.send.command(commands[Math.floor(chance() * commands.length)] ?? 0));
    else if (chance() < 0.002) yield* clock.say(Uint8Array.from({ length: 40 * chance() }, () => 256 * chance()));
    else yield* clock.say();
    gap = gap > 0 ? gap - 1 : chance() < 0.002 ? Math.floor(200 * chance()) : 0;
  }
}

/** Bytes that fill what a tick leaves of the line; given what the tick says already. */
export type Filler = (said: Uint8Array) => Uint8Array;

/** Part of a stream: from and to in its own seconds. */
export interface Excerpt {
  readonly from_s: number;
  readonly to_s: number;
}

interface StreamFrame {
  readonly t_s: number;
  /** Pose, then the joints after the legs: mm, rad. */
  readonly values: Float64Array;
}

async function framesOf(rig: Rig, file: string): Promise<StreamFrame[]> {
  const frames: StreamFrame[] = [];
  for await (const batch of readStream([readFileSync(file)], rig))
    for (const { t_s, pose, joints } of batch.frames) frames.push({ t_s, values: Float64Array.of(...pose, ...joints) });
  return frames;
}

/** The part of so many seconds in which most moves: a millimetre counts as a hundredth of a rad. */
export async function liveliest(rig: Rig, file: string, seconds: number): Promise<Excerpt> {
  const frames = await framesOf(rig, file);
  const moved = frames.map(({ values }, n) =>
    values.reduce((sum, value, k) => {
      const change = Math.abs(value - (frames[n - 1]?.values[k] ?? value));
      return change > 0 ? sum + change * (k < 3 ? 0.01 : 1) : sum;
    }, 0),
  );
  let best = { from_s: 0, moved: -1 };
  frames.forEach(({ t_s: from_s }, n) => {
    let sum = 0;
    for (let m = n; m < frames.length && frames[m]!.t_s < from_s + seconds; m++) sum += moved[m]!;
    if (sum > best.moved) best = { from_s, moved: sum };
  });
  return { from_s: best.from_s, to_s: best.from_s + seconds };
}

/** A stream as a replay sends it, two frames ahead; then settle, to the end. */
export async function streamScript(rig: Rig, controller: Watched, file: string, part: Excerpt, filler: Filler): Promise<Script> {
  const all = await framesOf(rig, file);
  const frames = all
    .filter(({ t_s }) => t_s >= part.from_s && t_s <= part.to_s)
    .map(({ t_s, values }) => ({ t_s: t_s - part.from_s, values }));
  return play();

  function* play(): Script {
    const clock = new Clock();
    yield* opening(clock, rig, controller);
    const first = frames[0];
    if (!first) return;
    const start_us = clock.us + 3.5e6;
    yield* clock.say(clock.send.pose(clock.us, new Float64Array(first.values.length), 6));
    yield* clock.say(clock.send.pose(start_us - 0.5e6, first.values, 6));
    for (let n = 0; n < frames.length || clock.us < start_us + (frames.at(-1)?.t_s ?? 0) * 1e6 + 5e5; ) {
      const due_us = start_us + (frames[Math.max(0, n - 2)]?.t_s ?? 0) * 1e6;
      const frame = clock.us >= due_us ? frames[n] : undefined;
      if (frame) n++;
      yield* clock.say(filler(frame ? clock.send.pose(Math.round(start_us + frame.t_s * 1e6), frame.values, 6) : NOTHING));
    }
    yield* clock.say(clock.send.command(TYPE.settle));
    yield* clock.until(controller, 'limp', 'tripped');
    yield* clock.wait(10);
  }
}

/** Leaves the line as it is. */
export const quiet: Filler = (said) => said;
/** All of a stream. */
export const WHOLE: Excerpt = { from_s: 0, to_s: Infinity };
