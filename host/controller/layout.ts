/**
 * Where the controller keeps things, in bytes from the beginning of what they are part of: the host's side of assembly/layout.ts, with
 * the fields' names as there. tests/assembly/layout.test.ts compares every number.
 */

export const JOINTS = 16;
/** Ticks a second before the first rig image. */
export const IDLE_HZ = 200;

/** Of a rig image. */
export const IMAGE = { tick_hz: 16 } as const;

/** Rings of bytes: free-running counters of bytes written and read, then the data. */
export const RING = { head: 0, tail: 4, data: 8 } as const;
export const RX_BYTES = 512;
export const TX_BYTES = 1024;

export const INPUT = {
  stop_open: 0,
  store: 1,
  reset_reason: 2,
  places_valid: 3,
  board: 4,
  pins: 5,
  supply_mv: 6,
  tick_us: 8,
  boots: 12,
  page_news: 13,
  closed: 14,
  kept_mark: 15,
  store_pages: 16,
  sector_pages: 18,
  analog_0: 20,
  image_bytes: 28,
  places: 32,
} as const;

/** What became of an image that was accepted: Inputs.store. */
export const STORE = { done: 1, failed: 2 } as const;

export const OUTPUT = {
  power: 0,
  state: 1,
  trip: 2,
  boot: 3,
  image_count: 4,
  image_bytes: 8,
  page_op: 12,
  lines: 13,
  page: 14,
  in_pins_low: 16,
  out_pins: 24,
  analog_pins: 28,
  responding: 32,
  dropped: 33,
  fuel_burnt: 34,
  places: 36,
} as const;

/** Outputs.responding where the rig's responses ran out of fuel. */
export const OUT_OF_FUEL = 2;

/** A page of flash; what the controller asks of one: Outputs.page_op; and what became of it: Inputs.page_news. */
export const PAGE_BYTES = 256;
export const PAGE = { read: 1, erase: 2, program: 3, came: 1, done: 2, failed: 3 } as const;

/** What must survive a reset: trip and joints with pulses, a place for each joint, the pose. */
export const PLACES_BYTES = 96;
