/**
 * Where everything lives: the rig image's fields, the board's inputs and outputs, and the static memory of the controller.
 * There is no heap: every block below is placed at compile time and zero at the start. Lengths mm, angles rad, f32.
 */

export const LEGS: i32 = 6;
export const JOINTS: i32 = 16;
/** Pose components, then joints: the order of a frame's values. */
export const VALUES: i32 = 6 + JOINTS;

/** Before the first rig image there is still a link to serve, at this rate. */
export const IDLE_HZ: u32 = 200;

export const IMAGE_MAGIC: u32 = 0x31525750; // "PWR1"
export const IMAGE_VERSION: u32 = 3;

/** Which drive the platform has, if any. */
export const DRIVE_NONE: u32 = 0;
export const DRIVE_CRANK: u32 = 1;
export const DRIVE_LINEAR: u32 = 2;

export const FLAG_OTHER_BRANCH: u32 = 1;

export const REST_POWERED: u32 = 2;

/** One leg of the image: constants of the inverse kinematics, 48 bytes. */
@unmanaged
export class LegImage {
  /** home + pivot - base point, base frame. */
  ex: f32;
  ey: f32;
  ez: f32;
  /** moving point - pivot, carrier's frame. */
  dx: f32;
  dy: f32;
  dz: f32;
  /** Crank azimuth: cos, sin. */
  ux: f32;
  uy: f32;
  /** Servo axis, carrier's frame, for the rod end at the moving plate. */
  nx: f32;
  ny: f32;
  nz: f32;
  reserved: f32;
}

/** One joint of the image, 64 bytes; coordinate in rad or mm, rates per second. */
@unmanaged
export class JointImage {
  lo: f32;
  hi: f32;
  speed: f32;
  plus: f32;
  minus: f32;
  /** Speed of rousing and settling. */
  slow: f32;
  rest: f32;
  home: f32;
  /** pulse_us = centre_us + us_per_unit · (position - centre), within [min_us, max_us]. Sense is in the sign. */
  centre_us: f32;
  us_per_unit: f32;
  centre: f32;
  min_us: f32;
  max_us: f32;
  frame_hz: u16;
  pin: u8;
  reserved: u8;
  /** Speed at which nothing is left of plus (upward) and of minus (downward), evenly less from rest; 0: it stays. */
  plus_gone: f32;
  minus_gone: f32;
}

/** The rig image; DEVELOPERS.md has the same table. Legs and joints follow at their offsets. */
@unmanaged
export class Image {
  magic: u32;
  version: u16;
  /** Bytes in all, header included. */
  length: u16;
  /** CRC-32/ISO-HDLC of everything behind it. */
  crc: u32;
  /** Names the rig: the host's hash of what the image says. */
  fingerprint: u32;
  tick_hz: u16;
  /** Ticks between a pose's being solved and its being tracked; 0: none. */
  look_ahead: u16;
  joint_count: u8;
  leg_count: u8;
  drive: u8;
  flags: u8;
  rest_kind: u8;
  stop_category: u8;
  stop_pin: u8;
  power_pin: u8;
  /** Playback delay. */
  delay_us: u32;
  /** Holding longer than this settles. */
  hold_ms: u32;
  /** Below it the supply trips; 0: not watched. */
  low_mv: u16;
  reserved2: u16;
  reserved3: u32;
  crank: f32;
  rod: f32;
  stroke_lo: f32;
  stroke_hi: f32;
  /** Sine of the largest rod-end misalignment; 0: not checked. */
  rod_end_sin: f32;
  /** Transposed mount rotation, row by row: carrier to base. */
  mount_00: f32;
  mount_01: f32;
  mount_02: f32;
  mount_10: f32;
  mount_11: f32;
  mount_12: f32;
  mount_20: f32;
  mount_21: f32;
  mount_22: f32;
  /** Six pose speeds per second; 0: not limited. At POSE_SPEED_AT. */
  pose_speed_0: f32;
  pose_speed_1: f32;
  pose_speed_2: f32;
  pose_speed_3: f32;
  pose_speed_4: f32;
  pose_speed_5: f32;
  /** Six speeds of rousing and settling. At POSE_SLOW_AT. */
  pose_slow_0: f32;
  pose_slow_1: f32;
  pose_slow_2: f32;
  pose_slow_3: f32;
  pose_slow_4: f32;
  pose_slow_5: f32;
  /** The pose it is parked in. At POSE_REST_AT. */
  pose_rest_0: f32;
  pose_rest_1: f32;
  pose_rest_2: f32;
  pose_rest_3: f32;
  pose_rest_4: f32;
  pose_rest_5: f32;
  /** Wobble filter: how many earlier ticks it adds to the present one (0: identity), and the joints it shapes, one bit each. */
  wobble_taps: u8;
  reserved1: u8;
  wobble_joints: u16;
  /** Shares of those ticks in SHARES of the motion, at WOBBLE_SHARES_AT; the present one has the rest. */
  wobble_share_0: u32;
  wobble_share_1: u32;
  wobble_share_2: u32;
  wobble_share_3: u32;
  wobble_share_4: u32;
  /** How many ticks back they lie, rising, at WOBBLE_BACK_AT. */
  wobble_back_0: u16;
  wobble_back_1: u16;
  wobble_back_2: u16;
  wobble_back_3: u16;
  wobble_back_4: u16;
  /** To stay in time the other joints come later by so many ticks, or by one more: the share of that in SHARES. */
  wobble_wait: u16;
  wobble_wait_share: u32;
}

/** All of the motion, as a share of the wobble filter: integers, so that sums are exact on every chip. */
export const SHARES: u32 = 1 << 30;
export const WOBBLE_TAPS: u32 = 5;
export const WOBBLE_SHARES_AT: usize = offsetof<Image>('wobble_share_0');
export const WOBBLE_BACK_AT: usize = offsetof<Image>('wobble_back_0');

export const POSE_SPEED_AT: usize = offsetof<Image>('pose_speed_0');
export const POSE_SLOW_AT: usize = offsetof<Image>('pose_slow_0');
export const POSE_REST_AT: usize = offsetof<Image>('pose_rest_0');
export const LEGS_AT: usize = offsetof<Image>();
export const JOINTS_AT: usize = LEGS_AT + usize(LEGS) * offsetof<LegImage>();
export const IMAGE_MAX: usize = JOINTS_AT + usize(JOINTS) * offsetof<JointImage>();
/** Bytes of the header that the CRC does not cover. */
export const IMAGE_CRC_FROM: usize = offsetof<Image>('fingerprint');

/** What must outlive a reset: the board keeps a copy in memory that a reset leaves alone, and hands it back at init. */
@unmanaged
export class Places {
  /** Latched trip reason, 0 when none. */
  trip: u32;
  /** Joints whose pulses were on, one bit each. */
  pulsing: u32;
  /** Then 16 joint positions (PLACE_JOINTS_AT) and the pose (PLACE_POSE_AT). */
  first: f32;
}
export const PLACE_JOINTS_AT: usize = 8;
export const PLACE_POSE_AT: usize = PLACE_JOINTS_AT + 4 * usize(JOINTS);
export const PLACES_BYTES: usize = PLACE_POSE_AT + 24;

/** Written by the board before init (reset reason, board, image length, places) and before every tick (the rest). */
@unmanaged
export class Inputs {
  /** 1: the normally closed stop loop is open. */
  stop_open: u8;
  /** What became of the image that was accepted last: STORE_DONE or STORE_FAILED, 0 without news. The controller takes it back when it has read it. */
  store: u8;
  reset_reason: u8;
  /** 1: `places` survived the reset intact. */
  places_valid: u8;
  board: u8;
  /** How many servo pins the board has. */
  pins: u8;
  /** What the servos are fed with, mV; 0: not measured. */
  supply_mv: u16;
  /** Duration of the last tick. */
  tick_us: u32;
  /** 1: the board has a boot loader that a message may start. */
  boots: u8;
  /** What became of Outputs.page_op: PAGE_CAME, PAGE_DONE or PAGE_FAILED, 0 without news. The controller takes it back when it has read it. */
  page_news: u8;
  /** Bit k: input pin k of the night's plan is closed to ground. */
  closed: u8;
  /** 1: the reset before this start hit inside a response, and `places` survived it. */
  kept_mark: u8;
  /** Pages of flash for nights and their record, 0: none; and how many are erased together. */
  store_pages: u16;
  sector_pages: u16;
  /** What the plan's analog pins read, 0 to 65535 of full scale. */
  analog_0: u16;
  analog_1: u16;
  analog_2: u16;
  analog_3: u16;
  /** Length of the image that waits at `image`, 0 when there is none. */
  image_bytes: u32;
  /** Places begin here, PLACES_BYTES long. */
  places: u32;
}
/** The board's flash has the image; or it did not take it. */
export const STORE_DONE: u32 = 1;
export const STORE_FAILED: u32 = 2;
/** The page is at PAGE_IN; the erasure or the programming is done; or it failed. */
export const PAGE_CAME: u32 = 1;
export const PAGE_DONE: u32 = 2;
export const PAGE_FAILED: u32 = 3;
export const INPUT_ANALOG_AT: usize = offsetof<Inputs>('analog_0');
export const INPUT_PLACES_AT: usize = offsetof<Inputs>('places');

/** Written by the controller at every tick. */
@unmanaged
export class Outputs {
  /** 1: the servo supply may be on. */
  power: u8;
  state: u8;
  trip: u8;
  /** 1: the board shall enter its boot loader, once the answer has left. */
  boot: u8;
  /** Counts accepted images: when it changes the board stores the one at `image`. */
  image_count: u32;
  image_bytes: u32;
  /** What the board shall do with flash page `page` behind this tick: PAGE_READ, PAGE_ERASE or PAGE_PROGRAM; it puts 0 here again. */
  page_op: u8;
  /** Bit k: output pin k of the night's plan is on. */
  lines: u8;
  page: u16;
  /** Pins that the plan names, one byte each, 255: none. */
  in_pins_low: u32;
  in_pins_high: u32;
  out_pins: u32;
  analog_pins: u32;
  /** RESPONDING: the rig's responses are at it; a trap then is theirs. OUT_OF_FUEL: it is for want of fuel. */
  responding: u8;
  /** Counts what they asked for that was no number, and was dropped; wraps. */
  dropped: u8;
  /** Fuel that they burnt in the last tick that had them. */
  fuel_burnt: u16;
  /** Places begin here, PLACES_BYTES long. */
  places: u32;
}
export const RESPONDING: u8 = 1;
export const OUT_OF_FUEL: u8 = 2;
/** Into PAGE_IN; the sector that begins there, to 0xff; bits that are 0 at PAGE_OUT, to 0. */
export const PAGE_READ: u32 = 1;
export const PAGE_ERASE: u32 = 2;
export const PAGE_PROGRAM: u32 = 3;
export const PAGE_BYTES: u32 = 256;
export const OUTPUT_PINS_AT: usize = offsetof<Outputs>('in_pins_low');
export const OUTPUT_PLACES_AT: usize = offsetof<Outputs>('places');

/** Ring of bytes: free-running counters of bytes written and read, then the data. */
@unmanaged
export class Ring {
  head: u32;
  tail: u32;
  data: u8;
}
export const RING_DATA_AT: usize = 8;
/** Powers of two. */
export const RX_BYTES: u32 = 512;
export const TX_BYTES: u32 = 1024;

/** A joint's moving state; coordinate units and ticks. */
@unmanaged
export class JointState {
  pos: f32;
  /** Change of pos over the last tick. */
  step: f32;
  target: f32;
  target_before: f32;
  /** Change of target over the last tick, and as much of it as is believed to go on. */
  target_step: f32;
  target_trust: f32;
  /** Per-tick limits: speed now in force, fast and slow, plus, minus. */
  speed: f32;
  fast: f32;
  slow: f32;
  plus: f32;
  minus: f32;
  lo: f32;
  hi: f32;
  /** 1 / (2 · derated plus or minus), so that the tick has no division by a constant. */
  half_over_plus: f32;
  half_over_minus: f32;
  /** Whether plus or minus fades with speed, how much a tick for a step, and 1 / (1 + that). */
  fades: u32;
  plus_fade: f32;
  minus_fade: f32;
  plus_keep: f32;
  minus_keep: f32;
  /** Where the wobble filter puts it, and the change of that over the last tick. */
  out: f32;
  out_step: f32;
}

/** What the wobble filter knows of a joint, in units of its own that divide its range by 2^29 or more. */
@unmanaged
export class Filter {
  /** All steps so far, wrapping: differences over the history are exact. */
  total: i32;
  /** How far the joint is behind where tracking has it. */
  lag: i32;
  /** Coordinate units (rad, mm) in one, a power of two, and its reciprocal. */
  unit: f32;
  per_unit: f32;
}
/** Totals that are kept: 8 joints over 128 ticks, or more joints over fewer. */
export const HISTORY: u32 = 1024;

/** One queued frame: instant, which joints it names, then VALUES values. */
@unmanaged
export class Frame {
  at_us: u32;
  mask: u16;
  reserved: u16;
  values: f32;
}
export const FRAME_VALUES_AT: usize = 8;
export const FRAME_BYTES: usize = FRAME_VALUES_AT + 4 * usize(VALUES);
export const QUEUE_FRAMES: u32 = 64;

// The blocks themselves: as long as what stands in them.
export const RX: usize = memory.data(i32(RING_DATA_AT) + i32(RX_BYTES));
export const TX: usize = memory.data(i32(RING_DATA_AT) + i32(TX_BYTES));
export const PULSES: usize = memory.data(JOINTS * 2);
export const INPUTS: usize = memory.data(i32(INPUT_PLACES_AT + PLACES_BYTES));
export const OUTPUTS: usize = memory.data(i32(OUTPUT_PLACES_AT + PLACES_BYTES));
/** A page of flash that was read, and one that is to be programmed. */
export const PAGE_IN: usize = memory.data(2 * i32(PAGE_BYTES));
export const PAGE_OUT: usize = PAGE_IN + usize(PAGE_BYTES);
/** Image being received; copied to ACTIVE once it is whole and valid. */
export const STAGED: usize = memory.data(i32(IMAGE_MAX));
export const ACTIVE: usize = memory.data(i32(IMAGE_MAX));
export const STATES: usize = memory.data(JOINTS * i32(offsetof<JointState>()));
export const FILTERS: usize = memory.data(JOINTS * i32(offsetof<Filter>()));
export const TOTALS: usize = memory.data(i32(HISTORY) * 4);
export const QUEUE: usize = memory.data(i32(QUEUE_FRAMES) * i32(FRAME_BYTES));
/** Slopes at both ends of the segment being played, per microsecond. */
export const SLOPE_A: usize = memory.data(VALUES * 4);
export const SLOPE_B: usize = memory.data(VALUES * 4);
/** What is asked now: pose and joints. */
export const GOAL: usize = memory.data(VALUES * 4);
/** What was asked on the last tick that moved, with what the rig's responses changed; a rig with none leaves it alone. */
export const RESPONDED: usize = memory.data(VALUES * 4);

// @ts-ignore: decorator
@inline export function image(): Image {
  return changetype<Image>(ACTIVE);
}
// @ts-ignore: decorator
@inline export function jointImage(i: i32): JointImage {
  return changetype<JointImage>(ACTIVE + JOINTS_AT + usize(i) * offsetof<JointImage>());
}
// @ts-ignore: decorator
@inline export function joint(i: i32): JointState {
  return changetype<JointState>(STATES + usize(i) * offsetof<JointState>());
}
// @ts-ignore: decorator
@inline export function filter(i: i32): Filter {
  return changetype<Filter>(FILTERS + usize(i) * offsetof<Filter>());
}
// @ts-ignore: decorator
@inline export function inputs(): Inputs {
  return changetype<Inputs>(INPUTS);
}
// @ts-ignore: decorator
@inline export function outputs(): Outputs {
  return changetype<Outputs>(OUTPUTS);
}
// @ts-ignore: decorator
@inline export function at(block: usize, i: i32): f32 {
  return load<f32>(block + (usize(i) << 2));
}
// @ts-ignore: decorator
@inline export function put(block: usize, i: i32, value: f32): void {
  store<f32>(block + (usize(i) << 2), value);
}
/** Joints of the rig, and no more than there is room for: a compiler that checks memory sees so that a loop over them stays inside. */
// @ts-ignore: decorator
@inline export function jointCount(): i32 {
  const count = i32(image().joint_count);
  return count < JOINTS ? count : JOINTS;
}

/** Copies a pose, word by word: on the boards a call of memory.copy takes longer than that. */
// @ts-ignore: decorator
@inline export function copyPose(to: usize, from: usize): void {
  store<u32>(to, load<u32>(from));
  store<u32>(to, load<u32>(from, 4), 4);
  store<u32>(to, load<u32>(from, 8), 8);
  store<u32>(to, load<u32>(from, 12), 12);
  store<u32>(to, load<u32>(from, 16), 16);
  store<u32>(to, load<u32>(from, 20), 20);
}
