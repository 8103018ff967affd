/**
 * What a night is made of, in bytes: the host's side of assembly/night/plan.ts, with its names. tests/host/shows/layout.test.ts
 * compares every number.
 */
import { toRad } from '../rig/rig.ts';

export const MAGIC = 0x314e5750;
export const VERSION = 1;
export const PAGE_BYTES = 256;
export const HEAD_BYTES = 32;
export const SHOWS = 32;
export const PLAN_PAGES = 4;
export const PLAN_BYTES = 1024;
export const ENTRY_BYTES = 128;
export const NAME_BYTES = 32;
export const IN_PINS = 8;
export const OUT_PINS = 4;
export const ANALOG_PINS = 4;
export const NO_PIN = 255;
export const NOBODY = 255;

export const PLAN_FLAG = { barrier: 1, loop: 2, idle: 4 } as const;
export const START_FLAG = { level: 1, unattended: 2, inverted: 4 } as const;

/** Where the fields of a Plan stand. */
export const PLAN = {
  flags: 0,
  seed: 4,
  warn_ms: 8,
  cross_ms: 10,
  pause_s: 12,
  debounce_ms: 14,
  in_pins_low: 16,
  out_pins: 24,
  analog_pins: 28,
  button: 32,
  light: 33,
  warn: 34,
  starts: 35,
  lids: 36,
  breath_joints: 38,
} as const;
/** And its tables: f32 by joint or by value, and the scheduled starts. */
export const PLAN_TABLE = {
  per_tau: 64,
  hold_heat: 128,
  look: 192,
  breath: 280,
  shut: 368,
  home: 432,
  starts: 520,
} as const;
export const PLAN_STARTS = 16;

/** Where the fields of an Entry stand. */
export const ENTRY = {
  page: 0,
  bytes: 4,
  crc: 8,
  frames: 12,
  values: 16,
  start: 20,
  start_flags: 21,
  sound: 22,
  sound_ms: 24,
  sound_at_ms: 28,
  warmest: 32,
} as const;
export const ENTRY_NAME_AT = ENTRY_BYTES - NAME_BYTES;

export const FRAME_HZ = 50;
/** Frames of a block and of a segment. */
export const BLOCK = 25;
export const SEGMENT = 500;
/** Heat is stored in 1 / HEAT of what a joint may bear for ever. */
export const HEAT = 32;

/** Pose components come first among the values of a frame, then the rig's joints. */
export const POSE = 6;
/** One step of a value, mm or deg, and as the board has it, in f32: mm or rad. */
export const STEP = 0.02;
const STEP_MM = Math.fround(STEP);
const STEP_RAD = Math.fround(toRad(STEP));

/** One step of the value at a place of a frame. */
export const stepOf = (place: number): number => (place < 3 ? STEP_MM : STEP_RAD);

/** So many steps to either side are kept: 10 m of a place and 10000 deg of a joint, 458 deg of the pose. */
export const mostSteps = (place: number): number => (place >= 3 && place < POSE ? 22_900 : 500_000);
