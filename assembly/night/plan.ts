/**
 * What a night says: the plan and the entries of its shows, as they stand in flash (DEVELOPERS.md has the tables) and, of the night in
 * force, in memory. Lengths mm, angles rad, f32.
 */
import { JOINTS, VALUES } from '../layout';

export const NIGHT_MAGIC: u32 = 0x314e5750; // "PWN1"
export const NIGHT_VERSION: u16 = 1;
export const SHOWS: u32 = 32;
export const PLAN_PAGES: u32 = 4;
export const PLAN_BYTES: usize = 1024;
export const ENTRY_BYTES: usize = 128;
export const NAME_BYTES: usize = 32;
/** Pins that a plan may name. */
export const IN_PINS: i32 = 8;
export const OUT_PINS: i32 = 4;
export const ANALOG_PINS: i32 = 4;
export const NO_PIN: u8 = 255;
/** No show, no input, no line. */
export const NOBODY: u8 = 255;

/** Bits of Plan.flags. */
export const PLAN_BARRIER: u32 = 1;
export const PLAN_LOOP: u32 = 2;
export const PLAN_IDLE: u32 = 4;

/** Bits of Entry.start_flags: what a pin's start is. */
export const START_LEVEL: u32 = 1;
/** Nobody looks at the prop who starts it: a visitor's sensor. */
export const START_UNATTENDED: u32 = 2;
/** Of a start or a button: the pin is closed at rest. */
export const START_INVERTED: u32 = 4;


@unmanaged
export class Plan {
  flags: u32;
  /** Of the idle life's chances. */
  seed: u32;
  /** Light and sound warn so long before the first motion, ms. */
  warn_ms: u16;
  /** From where it stands to a show's first frame, ms. */
  cross_ms: u16;
  /** A loop's pause between two shows, s. */
  pause_s: u16;
  /** A pin's state counts once it has stood so long, ms. */
  debounce_ms: u16;
  /** Pins of the board, NO_PIN: none. Bit k of Inputs.closed, bit k of Outputs.lines. */
  in_pins_low: u32;
  in_pins_high: u32;
  out_pins: u32;
  analog_pins: u32;
  /** Numbers of in_pins and of out_pins: the button; the light; the line that warns (the light may be it). NOBODY: none. */
  button: u8;
  light: u8;
  warn: u8;
  /** Number of scheduled starts. */
  starts: u8;
  /** Joints of the lids (blinks) and of breath, one bit each. */
  lids: u16;
  breath_joints: u16;
}
/** Byte k is input pin k of the plan. */
export const PLAN_IN_PINS_AT: usize = offsetof<Plan>('in_pins_low');
/** How warm a joint gets, first order: 1 / time constant, 1 / s; f32 by joint. */
export const PLAN_PER_TAU_AT: usize = 64;
/** What holding home warms a joint by, in shares of what it may bear for ever; f32 by joint. */
export const PLAN_HOLD_HEAT_AT: usize = PLAN_PER_TAU_AT + 4 * usize(JOINTS);
/** Idle life: how far a look goes to either side of home, by value (mm, rad), within travel; f32 by VALUES. */
export const PLAN_LOOK_AT: usize = PLAN_HOLD_HEAT_AT + 4 * usize(JOINTS);
/** What breath adds at its fullest, by value (mm, rad). */
export const PLAN_BREATH_AT: usize = PLAN_LOOK_AT + 4 * usize(VALUES);
/** A lid's place when it is shut, by joint (rad). */
export const PLAN_SHUT_AT: usize = PLAN_BREATH_AT + 4 * usize(VALUES);
/** Home, by value: what idle life moves about. */
export const PLAN_HOME_AT: usize = PLAN_SHUT_AT + 4 * usize(JOINTS);
/** Scheduled starts: u16 s after the one before (the first: after power), u8 show, u8 0; 16 of them. */
export const PLAN_STARTS_AT: usize = PLAN_HOME_AT + 4 * usize(VALUES);
export const PLAN_STARTS: i32 = 16;

/** A show. */
@unmanaged
export class Entry {
  /** First page of its data, of the half; bytes; and their CRC-32. */
  page: u32;
  bytes: u32;
  crc: u32;
  /** Frames, 50 in a second. */
  frames: u32;
  /** Bit k: value k of a frame is in the data (pose 0 to 5, joint j as 6 + j); the others stand at home. */
  values: u32;
  /** Input that starts it (a number of Plan.in_pins), or NOBODY; START_ flags. */
  start: u8;
  start_flags: u8;
  /** Line that starts its sound (a number of Plan.out_pins), or NOBODY; closed for so long, ms. */
  sound: u8;
  reserved: u8;
  sound_ms: u16;
  reserved2: u16;
  /** The sound's line goes on so long after the show's first frame comes out, ms; negative: before. */
  sound_at_ms: i32;
  /** The warmest that a joint gets in it, from cold, in 1/32 of what it may bear: 0 to 255. */
  warmest: u8;
  reserved3: u8;
  reserved4: u16;
}
/** The show's name, UTF-8, zeros behind it. */
export const ENTRY_NAME_AT: usize = ENTRY_BYTES - NAME_BYTES;

/** Frames of a show in a second, of a block, of a segment. */
export const FRAME_US: u32 = 20000;
export const BLOCK: u32 = 25;
export const SEGMENT: u32 = 500;
export const SHOW_STEP_MM: f32 = 0.02;
export const SHOW_STEP_RAD: f32 = 0.00034906585;
/** Heat is stored in 1 / HEAT of what a joint may bear for ever. */
export const HEAT: f32 = 32;

/** What a night is doing. */
export const enum Night {
  none = 0,
  /** Someone must look, and clear it. */
  barred = 1,
  ready = 2,
  cooling = 3,
  warning = 4,
  rousing = 5,
  crossing = 6,
  playing = 7,
  idle = 8,
  ending = 9,
}

/** The night in force: its plan, and the entry last asked for. */
export const PLAN: usize = memory.data(i32(PLAN_BYTES));
export const ENTRY: usize = memory.data(i32(ENTRY_BYTES));

// @ts-ignore: decorator
@inline export function plan(): Plan {
  return changetype<Plan>(PLAN);
}
// @ts-ignore: decorator
@inline export function entry(): Entry {
  return changetype<Entry>(ENTRY);
}
