/**
 * The controller's whole interface. The board writes received bytes to `rx` and its inputs to `inputs`, calls `tick` at
 * the rig's rate, and takes pulse widths from `pulses`, state and power from `outputs`, bytes to send from `tx`.
 * All values are offsets into the memory; layout.ts says what stands there.
 */
import { INPUTS, OUTPUTS, PAGE_IN, PULSES, RESPONDED, RX, STAGED, TX } from './layout';
import { start, step } from './tick';

export const rx: usize = RX;
export const tx: usize = TX;
/** Sixteen u16 pulse widths in us, in joint order; 0: no pulse. */
export const pulses: usize = PULSES;
export const inputs: usize = INPUTS;
export const outputs: usize = OUTPUTS;
/** A stored rig image goes here before init; an accepted one stands here until the next begins. */
export const image: usize = STAGED;

/** What the rig's responses made of what was asked: six f32 of the pose, then one by joint; for a simulation, which measures against it. */
export const responded: usize = RESPONDED;

/** A page of flash that the board has read goes here; one that it shall program stands behind it. */
export const page: usize = PAGE_IN;

/** Bytes of memory in use: the size of a static arena. */
export function arena_bytes(): usize {
  return __heap_base;
}

/** Starts from nothing. Returns why the waiting image was refused (rig.ts), or 0. */
export function init(): u32 {
  return start();
}

/** One tick. */
export function tick(): void {
  step();
}
