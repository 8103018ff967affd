/** The page's side of the engine: starts the worker, brings its time on with every frame drawn, takes what it tells. */
import { look, said } from '../state.ts';
import type { FromEngine, ToEngine } from './protocol.ts';

let worker: Worker | null = null;

export const ask = (what: ToEngine): void => {
  worker?.postMessage(what);
};

export function startEngine(rig: string, wasm: ArrayBuffer): void {
  worker = new Worker('engine.js', { type: 'module' });
  worker.addEventListener('error', () => {
    said.value = 'the simulation did not start: this browser may not allow it';
  });
  worker.addEventListener('message', ({ data }: MessageEvent<FromEngine>) => {
    if (data.said === 'look') look.value = data;
    else if (data.said === 'fault') said.value = data.words;
    else if (data.said === 'ready') requestAnimationFrame(run);
  });
  ask({ do: 'start', rig, wasm });
}

let began_ms: number | null = null;

/** @param now_ms of the frame that is about to be drawn */
function run(now_ms: number): void {
  began_ms ??= now_ms;
  ask({ do: 'run', to_ms: now_ms - began_ms });
  requestAnimationFrame(run);
}
