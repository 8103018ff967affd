/**
 * What a maker would write without the batch solver, as well as it can be written: the inverse kinematics of a crank
 * platform in the asin/atan2 form of the textbooks, once on plain numbers and typed arrays, once with the classes of three.
 * Both do what the batch does (mount, pivot, reach) in f64, allocate nothing in the loop, and take and give the same arrays.
 */
import { Euler, Matrix4, Quaternion, Vector3 } from 'three';
import type { Platform } from '../../rig/rig.ts';

/** poses and out: n × 6, f32, as `BatchSolver.solve`. */
export type Solve = (poses: Float32Array, out: Float32Array) => void;

/** Typed arrays and Math. */
export function plainSolver(platform: Platform): Solve {
  const { crank_mm: a, rod_mm: s, pivot_mm: pivot, home_z_mm } = platform;
  const q = new Quaternion().setFromEuler(new Euler(...platform.mount.rpy_rad, 'ZYX'));
  // three's matrices are stored by columns, so this array is the transpose, row by row: carrier to base.
  const e = new Matrix4().makeRotationFromQuaternion(q).elements;
  const [a00, a01, a02, a10, a11, a12, a20, a21, a22] = [e[0], e[1], e[2], e[4], e[5], e[6], e[8], e[9], e[10]] as const;
  // Eight numbers a leg: moving joint from the pivot, carrier's frame; home and pivot from the base joint; azimuth.
  const legs = new Float64Array(6 * 8);
  platform.legs.forEach(({ base_mm: b, moving_mm: m, azimuth_rad }, i) => {
    const d = new Vector3(m[0] - pivot[0], m[1] - pivot[1], m[2] - pivot[2]).applyQuaternion(q);
    const home = [pivot[0] - b[0], pivot[1] - b[1], home_z_mm + pivot[2] - b[2]];
    legs.set([d.x, d.y, d.z, ...home, Math.cos(azimuth_rad), Math.sin(azimuth_rad)], 8 * i);
  });
  const excess = s * s - a * a;
  const twice = 2 * a;

  return (poses, out) => {
    const n = poses.length;
    for (let at = 0; at < n; at += 6) {
      const x = poses[at]!;
      const y = poses[at + 1]!;
      const z = poses[at + 2]!;
      const cr = Math.cos(poses[at + 3]!);
      const sr = Math.sin(poses[at + 3]!);
      const cp = Math.cos(poses[at + 4]!);
      const sp = Math.sin(poses[at + 4]!);
      const cy = Math.cos(poses[at + 5]!);
      const sy = Math.sin(poses[at + 5]!);
      const r00 = cy * cp;
      const r01 = cy * sp * sr - sy * cr;
      const r02 = cy * sp * cr + sy * sr;
      const r10 = sy * cp;
      const r11 = sy * sp * sr + cy * cr;
      const r12 = sy * sp * cr - cy * sr;
      const r20 = -sp;
      const r21 = cp * sr;
      const r22 = cp * cr;
      const m00 = a00 * r00 + a01 * r10 + a02 * r20;
      const m01 = a00 * r01 + a01 * r11 + a02 * r21;
      const m02 = a00 * r02 + a01 * r12 + a02 * r22;
      const m10 = a10 * r00 + a11 * r10 + a12 * r20;
      const m11 = a10 * r01 + a11 * r11 + a12 * r21;
      const m12 = a10 * r02 + a11 * r12 + a12 * r22;
      const m20 = a20 * r00 + a21 * r10 + a22 * r20;
      const m21 = a20 * r01 + a21 * r11 + a22 * r21;
      const m22 = a20 * r02 + a21 * r12 + a22 * r22;
      const tx = a00 * x + a01 * y + a02 * z;
      const ty = a10 * x + a11 * y + a12 * z;
      const tz = a20 * x + a21 * y + a22 * z;
      for (let i = 0, k = 0; i < 6; i++, k += 8) {
        const dx = legs[k]!;
        const dy = legs[k + 1]!;
        const dz = legs[k + 2]!;
        const lx = m00 * dx + m01 * dy + m02 * dz + tx + legs[k + 3]!;
        const ly = m10 * dx + m11 * dy + m12 * dz + ty + legs[k + 4]!;
        const lz = m20 * dx + m21 * dy + m22 * dz + tz + legs[k + 5]!;
        // L = M sin α + N cos α. Out of reach the arcsine gives NaN.
        const L = lx * lx + ly * ly + lz * lz - excess;
        const M = twice * lz;
        const N = twice * (lx * legs[k + 6]! + ly * legs[k + 7]!);
        out[at + i] = Math.asin(L / Math.sqrt(M * M + N * N)) - Math.atan2(N, M);
      }
    }
  };
}

interface ThreeLeg {
  readonly moving: Vector3;
  readonly home: Vector3;
  readonly u: Vector3;
}

/** What both ways with three share: legs as vectors, and the angle of one. */
function threeLegs(platform: Platform, mount: Quaternion): ThreeLeg[] {
  const pivot = new Vector3(...platform.pivot_mm);
  return platform.legs.map(({ base_mm, moving_mm, azimuth_rad }) => ({
    moving: new Vector3(...moving_mm).sub(pivot).applyQuaternion(mount),
    home: new Vector3(0, 0, platform.home_z_mm).add(pivot).sub(new Vector3(...base_mm)),
    u: new Vector3(Math.cos(azimuth_rad), Math.sin(azimuth_rad), 0),
  }));
}

function crankAngle({ crank_mm: a, rod_mm: s }: Platform, l: Vector3, u: Vector3): number {
  const L = l.lengthSq() - (s * s - a * a);
  const M = 2 * a * l.z;
  const N = 2 * a * l.dot(u);
  return Math.asin(L / Math.sqrt(M * M + N * N)) - Math.atan2(N, M);
}

/** three's Quaternion and Vector3. */
export function quaternionSolver(platform: Platform): Solve {
  const mount = new Quaternion().setFromEuler(new Euler(...platform.mount.rpy_rad, 'ZYX'));
  const toBase = mount.clone().invert();
  const legs = threeLegs(platform, mount);
  const euler = new Euler();
  const turn = new Quaternion();
  const shift = new Vector3();
  const l = new Vector3();
  return (poses, out) => {
    for (let at = 0; at < poses.length; at += 6) {
      euler.set(poses[at + 3]!, poses[at + 4]!, poses[at + 5]!, 'ZYX');
      turn.setFromEuler(euler).premultiply(toBase);
      shift.set(poses[at]!, poses[at + 1]!, poses[at + 2]).applyQuaternion(toBase);
      for (let i = 0; i < 6; i++) {
        const leg = legs[i]!;
        l.copy(leg.moving).applyQuaternion(turn).add(shift).add(leg.home);
        out[at + i] = crankAngle(platform, l, leg.u);
      }
    }
  };
}

/** three's Matrix4 and Vector3. */
export function matrixSolver(platform: Platform): Solve {
  const mount = new Quaternion().setFromEuler(new Euler(...platform.mount.rpy_rad, 'ZYX'));
  const toBase = new Matrix4().makeRotationFromQuaternion(mount.clone().invert());
  const legs = threeLegs(platform, mount);
  const euler = new Euler();
  const move = new Matrix4();
  const l = new Vector3();
  return (poses, out) => {
    for (let at = 0; at < poses.length; at += 6) {
      euler.set(poses[at + 3]!, poses[at + 4]!, poses[at + 5]!, 'ZYX');
      move.makeRotationFromEuler(euler).setPosition(poses[at]!, poses[at + 1]!, poses[at + 2]!).premultiply(toBase);
      for (let i = 0; i < 6; i++) {
        const leg = legs[i]!;
        l.copy(leg.moving).applyMatrix4(move).add(leg.home);
        out[at + i] = crankAngle(platform, l, leg.u);
      }
    }
  };
}
