/**
 * The benchmark's table of looking ahead: streams that ask for more than the limits, on one joint of the real controller, and how far
 * past everything that was asked it goes with a look-ahead of 0, 40, 80 and 120 ms. Asked is what a twin without limits does.
 */
import { readFileSync } from 'node:fs';
import { instantiateController } from '../../controller/controller.ts';
import { frameReader } from '../../controller/frames.ts';
import { packImage } from '../../controller/image.ts';
import { STATES, TYPE, emptyTelemetry, parseTelemetry, sender } from '../../controller/messages.ts';
import { readRig } from '../../rig/read.ts';
import { type Joint, type Rig, toDeg, toRad } from '../../rig/rig.ts';
import { readStream } from '../../stream/read.ts';
import { type Say, printTable } from './table.ts';

const HZ = 200;
const LOOK_AHEADS_MS = [0, 40, 80, 120];
/** What is left of the delay for frames to come in. */
const SPARE_MS = 60;
/** Asked within so long before or after counts as asked. */
const ABOUT_TICKS = 0.8 * HZ;

interface Case {
  readonly words: string;
  readonly speed_deg_s: number;
  readonly plus_deg_s2: number;
  readonly minus_deg_s2: number;
  /** Frames: instants, s, and what is asked, deg. */
  readonly frames: readonly (readonly [t_s: number, deg: number])[];
}

/** The demo's nod as the stream has it, 20 s. */
async function demoNod(rig: Rig): Promise<Case['frames']> {
  const frames: [number, number][] = [];
  for await (const batch of readStream([readFileSync('host/demo/dusk.csv')], rig))
    for (const { t_s, joints } of batch.frames) frames.push([t_s, toDeg(joints[0] ?? NaN)]);
  return frames;
}

/** A generator of the C standard's example: the streams stay what they are. */
function randomOf(seed: number): () => number {
  let state = seed;
  return () => (state = (Math.imul(state, 1103515245) + 12345) & 0x7fffffff) / 0x7fffffff;
}

/** Keys between -20 and 20 deg, so far apart; a new place with so much chance, else the last one. */
function keys(count: number, apart_s: number, moves: number): Case['frames'] {
  const random = randomOf(1);
  let at = 0;
  return Array.from({ length: count }, (_, k) => {
    if (random() < moves) at = random() * 40 - 20;
    return [k * apart_s, at] as const;
  });
}

async function cases(rig: Rig): Promise<Case[]> {
  const nod = await demoNod(rig);
  const beak = Array.from({ length: 101 }, (_, k) => [k / 50, k < 50 ? 0 : Math.min(15, (k - 50) * 3)] as const);
  const limits = (speed_deg_s: number, plus_deg_s2: number, minus_deg_s2 = plus_deg_s2) => ({ speed_deg_s, plus_deg_s2, minus_deg_s2 });
  return [
    { words: 'the demo’s nod, limits 90 deg/s and 1500 deg/s²', ...limits(90, 1500), frames: nod },
    { words: 'the same with 868 and 783 deg/s²', ...limits(90, 868, 783), frames: nod },
    { words: 'a beak, 15 deg in 0.1 s', ...limits(250, 3000), frames: beak },
    { words: 'random looks', ...limits(120, 900), frames: keys(300, 0.2, 0.4) },
    { words: 'random key poses, ten a second', ...limits(200, 1500, 2200), frames: keys(300, 0.1, 1) },
  ];
}

/** A rig of the joint and its twin without limits. */
function pairOf(demo: Rig, { speed_deg_s, plus_deg_s2, minus_deg_s2 }: Case, look_ahead_ms: number): Rig {
  const nod = demo.joints.find(({ name }) => name === 'nod');
  if (!nod) throw new Error('the demo has a nod');
  const joint: Joint = {
    ...nod,
    lo: toRad(-60),
    hi: toRad(60),
    rest: 0,
    gear_ratio: 1,
    us_per_unit: 10 / toRad(1),
    speed: toRad(speed_deg_s),
    plus: toRad(plus_deg_s2),
    minus: toRad(minus_deg_s2),
  };
  const free: Joint = { ...joint, name: 'asked', pin: joint.pin + 1, speed: 1e4, plus: 1e7, minus: 1e7 };
  const motion = { ...demo.motion, tick_hz: HZ, look_ahead_ms, playback_delay_ms: look_ahead_ms + SPARE_MS };
  return { ...demo, platform: null, joints: [joint, free], motion };
}

/** Plays the case; places of the joint and of its twin at every tick, deg. */
function play(wasm: Uint8Array<ArrayBuffer>, rig: Rig, { frames }: Case): [number[], number[]] {
  const controller = instantiateController(wasm);
  const send = sender();
  const places: [number[], number[]] = [[], []];
  const telemetry = emptyTelemetry();
  let playing = false;
  const read = frameReader({
    frame: (type, _sequence, payload) => {
      if (type !== TYPE.telemetry || !parseTelemetry(payload, telemetry) || !playing) return;
      places[0].push(toDeg(telemetry.position[0] ?? NaN));
      places[1].push(toDeg(telemetry.position[1] ?? NaN));
    },
    bad: () => undefined,
  });
  const tick = (): void => {
    controller.tick();
    controller.drain(read);
  };
  if (controller.init({ image: packImage(rig) }) !== 0) throw new Error('the controller refuses the rig');
  controller.receive(send.report(1));
  controller.receive(send.command(TYPE.rouse));
  while (STATES[controller.state] !== 'live') tick();
  playing = true;
  // Two frames ahead, as a replay sends them; a second of standing first.
  const [, first = 0] = frames[0] ?? [];
  const start_us = telemetry.now_us + 2e6;
  const all = [[-2, first] as const, [-1, first] as const, ...frames];
  const end_us = start_us + (all.at(-1)?.[0] ?? 0) * 1e6 + 1e6;
  for (let k = 0; telemetry.now_us < end_us; ) {
    for (; k < all.length && start_us + (all[Math.max(0, k - 2)]?.[0] ?? 0) * 1e6 - 20_000 <= telemetry.now_us; k++) {
      const [t_s, deg] = all[k] ?? [0, 0];
      const values = Float64Array.of(0, 0, 0, 0, 0, 0, toRad(deg), toRad(deg));
      controller.receive(send.pose(Math.round(start_us + t_s * 1e6), values, 0));
    }
    tick();
  }
  return places;
}

/** The furthest beyond everything asked about then, deg. */
function pastOf([places, asked]: [number[], number[]]): number {
  return places.reduce((worst, at, n) => {
    const about = asked.slice(Math.max(0, n - ABOUT_TICKS), n + ABOUT_TICKS + 1);
    return Math.max(worst, at - Math.max(...about), Math.min(...about) - at);
  }, 0);
}

/** Prints the table. */
export async function lookAheads(say: Say): Promise<void> {
  const wasm = readFileSync('build/controller.wasm') as Uint8Array<ArrayBuffer>;
  const { rig } = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8'));
  if (!rig) throw new Error('the demo rig has problems');
  say();
  say(`Looking ahead: deg past all that is asked within 0.8 s, the real controller at ${String(HZ)} ticks/s`);
  const rows = (await cases(rig)).map((its) => [
    its.words,
    ...LOOK_AHEADS_MS.map((ms) => pastOf(play(wasm, pairOf(rig, its, ms), its)).toFixed(2)),
  ]);
  printTable(say, ['stream beyond the limits', ...LOOK_AHEADS_MS.map((ms) => `${String(ms)} ms`)], rows);
}
