/**
 * Inverse kinematics of many poses at once by batch.wasm, for searches and reach maps. The one module that knows that
 * memory. Reach alone is answered: soft limits and rod ends are not looked at.
 */
import { instantiateSync } from '@assemblyscript/loader';

const POSE_FLOATS = 6;

interface Exports extends Record<string, unknown> {
  memory: WebAssembly.Memory;
  rig: WebAssembly.Global;
  input: WebAssembly.Global;
  output: WebAssembly.Global;
  capacity: WebAssembly.Global;
  init(): number;
  solve(n: number): void;
  solve_simd(n: number): void;
}

export interface BatchSolver {
  /**
   * @param poses n × 6: x, y, z in mm, roll, pitch, yaw in rad (within ±32), as in `Pose`.
   * @param out receives n × 6: crank angles in rad or actuator lengths in mm, leg1 first. A pose out of reach, or not
   *   finite, gives six NaN. f32: angles are below 5e-5 deg rms from exact, and within 2e-3 deg where the crank is more than
   *   1 deg (in the arcsine of the usual closed form) from being in line with its rod.
   * @param simd false: one pose at a time, by the controller's own code; the answers are the same to the bit, several times slower.
   */
  solve(poses: Float32Array, out: Float32Array, simd?: boolean): void;
}

/**
 * @param wasm the bytes of batch.wasm.
 * @param image a rig image as `packImage` makes it.
 * Throws when the module is another one, or the rig has no platform.
 */
export function batchSolver(wasm: Uint8Array<ArrayBuffer>, image: Uint8Array): BatchSolver {
  const exports = instantiateSync<Exports>(wasm, {}).exports;
  const { buffer } = exports.memory;
  const capacity = Number(exports.capacity.value);
  const floats = (offset: WebAssembly.Global): Float32Array =>
    new Float32Array(buffer, Number(offset.value), capacity * POSE_FLOATS);
  const input = floats(exports.input);
  const output = floats(exports.output);
  new Uint8Array(buffer).set(image, Number(exports.rig.value));
  if (exports.init() === 0) throw new Error('the rig has no platform to solve');

  return {
    solve(poses, out, simd = true) {
      const n = Math.floor(Math.min(poses.length, out.length) / POSE_FLOATS);
      for (let done = 0; done < n; done += capacity) {
        const take = Math.min(capacity, n - done);
        const from = done * POSE_FLOATS;
        const to = from + take * POSE_FLOATS;
        input.set(poses.subarray(from, to));
        if (simd) exports.solve_simd(take);
        else exports.solve(take);
        out.set(take === capacity ? output : output.subarray(0, to - from), from);
      }
    },
  };
}
