/** The page's side of the engine: starts the worker, brings its time on with every frame drawn, takes what it tells. */
import { look, lookAt_ms, said } from '../state.ts';
import type { FromEngine, ToEngine } from './protocol.ts';

let worker: Worker | null = null;

/** While a hand is recorded over a take it is laid over it (`over`), and does not take the take's place. */
let isLaidOver = false;

export const layHandOver = (yes: boolean): void => {
  isLaidOver = yes;
};
export const isHandOver = (): boolean => isLaidOver;

export const ask = (what: ToEngine): void => {
  if (!(isLaidOver && what.do === 'hand')) worker?.postMessage(what);
};

export function startEngine(rig: string, wasm: ArrayBuffer): void {
  worker = new Worker('engine.js', { type: 'module' });
  worker.addEventListener('error', () => {
    said.value = 'the simulation did not start: this browser may not allow it';
  });
  worker.addEventListener('message', ({ data }: MessageEvent<FromEngine>) => {
    if (data.said === 'look') {
      lookAt_ms.value = data.at_ms;
      look.value = data;
    } else if (data.said === 'fault') said.value = data.words;
    else if (data.said === 'ready') requestAnimationFrame(run);
  });
  ask({ do: 'start', rig, wasm });
}

/** A clock that leads the engine's time, ms, instead of the frames': the audio's, while a sound plays. */
type Clock = () => number;

/** Null: the frames' own clock leads. */
let leading: Clock | null = null;
/** What the clock in charge said last, ms; null: it has just taken over. */
let read_ms: number | null = null;
/** What the engine was brought to last, ms. */
let told_ms = 0;
/** Waits for the next frame: then "now" and the engine's now are the same. */
let atNextFrame: ((told_ms: number) => void) | null = null;

/**
 * From now on the engine's time goes on as this clock does.
 * @param from_ms what the clock said when the engine was brought on last: what goes by until this is called is not lost
 */
export function leadBy(clock: Clock, from_ms: number): void {
  [leading, read_ms] = [clock, from_ms];
}

/** From the next frame on the frames' own clock leads again. */
export function leadByFrames(): void {
  leading = read_ms = null;
}

/** Calls with the engine's time at the next frame, ms. */
export function atFrame(call: (told_ms: number) => void): void {
  atNextFrame = call;
}

/** @param now_ms of the frame that is about to be drawn */
function run(now_ms: number): void {
  const clock_ms = leading?.() ?? now_ms;
  told_ms += Math.max(0, clock_ms - (read_ms ?? clock_ms));
  read_ms = clock_ms;
  ask({ do: 'run', to_ms: told_ms });
  const call = atNextFrame;
  atNextFrame = null;
  call?.(told_ms);
  requestAnimationFrame(run);
}
