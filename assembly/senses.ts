/**
 * What a rig's responses.ts may sense and do: all that it may import, beside the names of its rig. Units are those of a stream:
 * mm and degrees, seconds. None of it traps, whatever it is given.
 */
import { GOAL, INPUTS, INPUT_ANALOG_AT, VALUES, at, image, inputs, outputs, put } from './layout';
import { now_us } from './clock';
import { finite, nearest, sincos } from './kernels';
import { ANALOG_PINS, IN_PINS } from './night/plan';

const DEG: f32 = 57.29578;
const RAD: f32 = 0.017453292;
const TURN: f32 = 6.2831855;
const LINEAR: u32 = 3;
/** What seconds() counts up to: 2^30 us, of which f32 still tells apart 64 us. */
const WRAP_US: u32 = 1 << 30;
const WRAP_S: f32 = 1073.741824;
const US: f32 = 1e-6;
const LEVEL: f32 = 1.0 / 65535.0;
const SEED: u32 = 0x9e3779b9;
/** 2^-24: what is left of a random word when its low bits are gone, as a share of 1. */
const SHARE: f32 = 5.9604645e-8;


@unmanaged
class Noise {
  word: u32;
}
const NOISE: usize = memory.data(i32(offsetof<Noise>()));
const WAVE: usize = memory.data(8);

/** At every start the same: a run can be had again. */
export function seedNoise(): void {
  changetype<Noise>(NOISE).word = SEED;
}

/** Whether an input is closed to ground. */
export function closed(pin: i32): bool {
  return u32(pin) < u32(IN_PINS) && ((u32(inputs().closed) >> u32(pin)) & 1) != 0;
}

/** What an analog input measures, 0 to 1 of full scale. */
export function level(pin: i32): f32 {
  if (u32(pin) >= u32(ANALOG_PINS)) return 0;
  return f32(load<u16>(INPUTS + INPUT_ANALOG_AT + (usize(pin) << 1))) * LEVEL;
}

/**
 * Seconds on the controller's clock, from 0 to 1073.74, then from 0 again: so it is as fine in a month as at the start (64 us), which a
 * count that never ends would not be. For the time since something use since().
 */
export function seconds(): f32 {
  return f32(now_us() & (WRAP_US - 1)) * US;
}

/** Seconds since an instant that seconds() gave, less than 1073.74 ago. */
export function since(then_s: f32): f32 {
  const apart_s = seconds() - then_s;
  return apart_s < 0 ? apart_s + WRAP_S : apart_s;
}

/** From one tick to the next, s. */
export function tick_s(): f32 {
  return <f32>1.0 / f32(u32(image().tick_hz));
}

/** From 0 to below 1, evenly, the same row at every start (Marsaglia, Xorshift RNGs, J. Stat. Softw. 8(14), 2003: 13, 17, 5). */
export function noise(): f32 {
  const state = changetype<Noise>(NOISE);
  let word = state.word;
  word ^= word << 13;
  word ^= word >> 17;
  word ^= word << 5;
  state.word = word;
  return f32(word >> 8) * SHARE;
}

/** The sine of so many turns, -1 to 1. */
export function sine(turns: f32): f32 {
  sincos((turns - nearest(turns)) * TURN, WAVE);
  return load<f32>(WAVE);
}

/** What is asked of a value now, mm or degrees; a value that the rig does not have: 0. */
export function asked(value: i32): f32 {
  if (u32(value) >= u32(VALUES)) return 0;
  const now = at(GOAL, value);
  return u32(value) < LINEAR ? now : now * DEG;
}

/** Asks something else of it, mm or degrees. What is no number changes nothing, and is counted. */
export function ask(value: i32, x: f32): void {
  if (u32(value) < u32(VALUES)) putFinite(value, u32(value) < LINEAR ? x : x * RAD);
}

/** Asks for so much more than is asked now, mm or degrees. */
export function add(value: i32, dx: f32): void {
  if (u32(value) >= u32(VALUES)) return;
  putFinite(value, at(GOAL, value) + (u32(value) < LINEAR ? dx : dx * RAD));
}

function putFinite(value: i32, x: f32): void {
  if (finite(x)) put(GOAL, value, x);
  else outputs().dropped += 1;
}
