/**
 * The firmware in one process of this machine (boards/native/inprocess.c): a fuzzer, or a program that plays scripts from files.
 * Both are compiled with a few rigs inside, and both end with words when the firmware breaks a promise.
 */
import { spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { packImage } from '../../../controller/image.ts';
import { type Places, compileBoard } from '../../../firmware/compile.ts';
import { readRig } from '../../../rig/read.ts';
import type { Rig } from '../../../rig/rig.ts';

/** The demo's rig. Throws when it has problems. */
export function demoRig(): Rig {
  const { rig } = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8'));
  if (!rig) throw new Error('the demo is a valid rig');
  return rig;
}

/** Six actuators and no other joint, on a rest that needs power; stop category 0; no look-ahead. */
const ACTUATORS = `
rig: table
platform:
  drive: linear
  base: { radius_mm: 70, half_angle_deg: 14 }
  moving: { radius_mm: 55, half_angle_deg: 46 }
  stroke_mm: [100, 160]
  home_z_mm: 115
  servo: actuator
  limit_mm: [102, 158]
servos:
  actuator: { force_n: 60, speed_mm_s: 90, frame_hz: 50, centre_us: 1500, us_per_mm: 10, range_us: [1000, 2000] }
joints:
  leg1: { pin: 2 }
  leg2: { pin: 3 }
  leg3: { pin: 4 }
  leg4: { pin: 5 }
  leg5: { pin: 6 }
  leg6: { pin: 7 }
motion: { tick_hz: 100, playback_delay_ms: 40, look_ahead_ms: 0, leg: { speed_mm_s: 90, accel_mm_s2: { plus: 600, minus: 900 } } }
rest: powered
audience: bench
board: { kind: native, stop: { pin: 20, category: 0 }, power_pin: 21 }
`;

/**
 * Rigs of different kinds: the demo's; its axes alone on a battery, thinking faster, with as long a look-ahead as fits; actuators;
 * the demo's at the slowest, shaped, settling where it stays.
 */
export function fuzzedRigs(): Rig[] {
  const demo = demoRig();
  const { rig: actuators, problems } = readRig(ACTUATORS);
  if (!actuators) throw new Error(JSON.stringify(problems));
  const axes = demo.joints.filter(({ kind }) => kind !== 'leg');
  return [
    demo,
    {
      ...demo,
      name: 'axes',
      platform: null,
      joints: axes,
      motion: { ...demo.motion, tick_hz: 1000, look_ahead_ms: 102 },
      supply: { kind: 'battery', voltage_v: 7.4, current_a: null, cells: 2, low_v: 6.4, fuse_a: 10 },
    },
    actuators,
    {
      ...demo,
      name: 'slow',
      motion: { ...demo.motion, tick_hz: 50, hold_s: 1, wobble: { cure: 'tolerant', hz: 2.9, damping: 0.03 } },
      supply: demo.supply && { ...demo.supply, low_v: 5.2 },
      board: demo.board && { ...demo.board, stop: { pin: 20, category: 2 } },
    },
  ];
}

/** Compiles it; the path of the program. Throws FirmwareError when the compiler is missing. */
export function compileInProcess(places: Places, program: 'fuzz' | 'rerun'): string {
  const images = fuzzedRigs().map(packImage);
  const text = [
    '/* Made by host/build/bench/boards/rerun.ts. */',
    `#define RIGS ${String(images.length)}u`,
    ...images.map((image, i) => `static const unsigned char rig_${String(i)}[] = {${[...image].join(',')}};`),
    `static const unsigned char* const rig_images[RIGS] = {${images.map((_, i) => `rig_${String(i)}`).join(', ')}};`,
    `static const unsigned rig_bytes[RIGS] = {${images.map((image) => String(image.length)).join(', ')}};`,
  ];
  mkdirSync(join(places.out, 'c'), { recursive: true });
  writeFileSync(join(places.out, 'c', 'rigs.h'), `${text.join('\n')}\n`);
  return compileBoard(places, 'native', program).elf;
}

/** Writes scripts into a folder; their files. */
export function writeScripts(folder: string, scripts: readonly { name: string; bytes: Uint8Array }[]): string[] {
  mkdirSync(folder, { recursive: true });
  return scripts.map(({ name, bytes }) => {
    const file = join(folder, name);
    writeFileSync(file, bytes);
    return file;
  });
}

export interface Rerun {
  /** What it printed. */
  readonly words: string;
  /** Why it ended badly; null: it did not. */
  readonly fault: string | null;
}

/** Runs the program to its end; args as boards/native/rerun.c has them. */
export function rerun(program: string, args: readonly string[]): Rerun {
  const env = { ...process.env, ASAN_OPTIONS: 'detect_leaks=0' };
  const { status, stdout, stderr } = spawnSync(program, args, { encoding: 'utf8', env, maxBuffer: 2 ** 26 });
  return { words: stdout, fault: status === 0 ? null : `ended with ${String(status)}: ${stderr.trim()}` };
}
