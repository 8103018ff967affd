/**
 * From a pose to the platform's six joint coordinates: crank angles (rad) or actuator lengths (mm). Soft limits and rod ends
 * count: a pose that passes here is one that the metal can take.
 */
import {
  DRIVE_CRANK,
  FLAG_OTHER_BRANCH,
  JOINTS_AT,
  JointImage,
  LEGS,
  LEGS_AT,
  LegImage,
  ACTIVE,
  image,
} from './layout';
import { angleOf, magnitude, sincos } from './kernels';

/** Sine and cosine of roll, pitch, yaw. */
const TRIG: usize = memory.data(24);

/** How the plate moves, base frame: M = Rmᵀ R row by row, then t. */
const MOVE: usize = memory.data(48);

/**
 * Sets MOVE for a pose. Kept in memory rather than in a register each: an engine that thinks it has none to spare would work
 * it all out again for every leg.
 */
function setMove(pose: usize): void {
  const rig = image();
  sincos(load<f32>(pose, 12), TRIG);
  sincos(load<f32>(pose, 16), TRIG + 8);
  sincos(load<f32>(pose, 20), TRIG + 16);
  const sr = load<f32>(TRIG, 0),
    cr = load<f32>(TRIG, 4);
  const sp = load<f32>(TRIG, 8),
    cp = load<f32>(TRIG, 12);
  const sy = load<f32>(TRIG, 16),
    cy = load<f32>(TRIG, 20);

  // R = Rz(yaw) Ry(pitch) Rx(roll), carrier's frame.
  const syp = sy * sp,
    cyp = cy * sp;
  const r00 = cy * cp,
    r01 = cyp * sr - sy * cr,
    r02 = cyp * cr + sy * sr;
  const r10 = sy * cp,
    r11 = syp * sr + cy * cr,
    r12 = syp * cr - cy * sr;
  const r20 = -sp,
    r21 = cp * sr,
    r22 = cp * cr;

  // To the base: M = Rmᵀ R and t = Rmᵀ (x, y, z).
  const a00 = rig.mount_00,
    a01 = rig.mount_01,
    a02 = rig.mount_02;
  const a10 = rig.mount_10,
    a11 = rig.mount_11,
    a12 = rig.mount_12;
  const a20 = rig.mount_20,
    a21 = rig.mount_21,
    a22 = rig.mount_22;
  store<f32>(MOVE, a00 * r00 + a01 * r10 + a02 * r20, 0);
  store<f32>(MOVE, a00 * r01 + a01 * r11 + a02 * r21, 4);
  store<f32>(MOVE, a00 * r02 + a01 * r12 + a02 * r22, 8);
  store<f32>(MOVE, a10 * r00 + a11 * r10 + a12 * r20, 12);
  store<f32>(MOVE, a10 * r01 + a11 * r11 + a12 * r21, 16);
  store<f32>(MOVE, a10 * r02 + a11 * r12 + a12 * r22, 20);
  store<f32>(MOVE, a20 * r00 + a21 * r10 + a22 * r20, 24);
  store<f32>(MOVE, a20 * r01 + a21 * r11 + a22 * r21, 28);
  store<f32>(MOVE, a20 * r02 + a21 * r12 + a22 * r22, 32);
  const x = load<f32>(pose, 0),
    y = load<f32>(pose, 4),
    z = load<f32>(pose, 8);
  store<f32>(MOVE, a00 * x + a01 * y + a02 * z, 36);
  store<f32>(MOVE, a10 * x + a11 * y + a12 * z, 40);
  store<f32>(MOVE, a20 * x + a21 * y + a22 * z, 44);
}

/** The joint coordinates that solve() finds: 6 f32. */
export const SOLVED: usize = memory.data(24);

/** Of a crank platform: 1 / 2a, √(s² - a²), and how far along its stud a rod may lie. */
export const DRIVE: usize = memory.data(12);

/** Works out what only the image in force decides. */
export function prepare(): void {
  const rig = image();
  const crank = rig.crank,
    rod = rig.rod;
  store<f32>(DRIVE, <f32>0.5 / crank, 0);
  store<f32>(DRIVE, sqrt<f32>((rod - crank) * (rod + crank)), 4);
  store<f32>(DRIVE, rod * rig.rod_end_sin, 8);
}

/** The leg that stopped a pose last: it is solved first, since it is the likeliest to stop the next one. Then how many were solved before it. */
const STOPPED: usize = memory.data(8);

/** Whether the pose that was stopped last was so after one leg or two: a third of a solve. */
// @ts-ignore: decorator
@inline export function stoppedSoon(): bool {
  return load<u32>(STOPPED, 4) < 2;
}

/**
 * Solves legs i to end, end not included, of the pose in MOVE into SOLVED. Returns the first that cannot
 * reach it, or would pass its soft limit or a rod end's; `end` where there is none.
 *
 * Half-angle form: with N = l·u, L = (|l|² - s² + a²) / 2a and D = N² + lz² - L², tan(α/2) = (L - N) / (lz + √D): one square
 * root, one division and one arctangent a leg, and no cancellation near angle 0. |l|² - s² + a² is summed as
 * lx² + ly² + (lz - h0)(lz + h0), h0² = s² - a². A NaN fails every test and so counts as out of reach.
 */
function solveLegs(i: u32, end: u32): u32 {
  const rig = image();
  const crank = rig.crank;
  const isCrank = rig.drive == DRIVE_CRANK;
  const h = load<f32>(DRIVE, 0);
  const h0 = load<f32>(DRIVE, 4);
  const rodEnd = load<f32>(DRIVE, 8);
  const other = (rig.flags & FLAG_OTHER_BRANCH) != 0;

  // The mask says to a compiler that checks memory that there are no more.
  const after = end & 7;
  for (; i < after; i++) {
    const leg = changetype<LegImage>(ACTIVE + LEGS_AT + usize(i) * offsetof<LegImage>());
    const limits = changetype<JointImage>(ACTIVE + JOINTS_AT + usize(i) * offsetof<JointImage>());
    const m00 = load<f32>(MOVE, 0),
      m01 = load<f32>(MOVE, 4),
      m02 = load<f32>(MOVE, 8);
    const m10 = load<f32>(MOVE, 12),
      m11 = load<f32>(MOVE, 16),
      m12 = load<f32>(MOVE, 20);
    const m20 = load<f32>(MOVE, 24),
      m21 = load<f32>(MOVE, 28),
      m22 = load<f32>(MOVE, 32);
    const dx = leg.dx,
      dy = leg.dy,
      dz = leg.dz;
    const lx = m00 * dx + m01 * dy + m02 * dz + (load<f32>(MOVE, 36) + leg.ex);
    const ly = m10 * dx + m11 * dy + m12 * dz + (load<f32>(MOVE, 40) + leg.ey);
    const lz = m20 * dx + m21 * dy + m22 * dz + (load<f32>(MOVE, 44) + leg.ez);
    let value: f32;
    if (isCrank) {
      const ux = leg.ux,
        uy = leg.uy;
      const L = (lx * lx + ly * ly + (lz - h0) * (lz + h0)) * h;
      const N = lx * ux + ly * uy;
      const D = N * N + (lz - L) * (lz + L);
      if (!(D >= 0 && lz > 0)) return i;
      const far = lz + sqrt<f32>(D);
      const num = other ? far : L - N;
      const den = other ? N + L : far;
      const half = angleOf(num, den);
      value = half + half;
      if (rodEnd > 0) {
        if (!(magnitude(ly * ux - lx * uy) <= rodEnd)) return i;
        // cos α and sin α from the tangent num / den of α/2: (den² - num²) and 2·num·den over den² + num².
        const scale = crank / (den * den + num * num);
        const reach = (den - num) * (den + num) * scale;
        const qx = lx - reach * ux,
          qy = ly - reach * uy,
          qz = lz - (num + num) * den * scale;
        const nx = leg.nx,
          ny = leg.ny,
          nz = leg.nz;
        const along =
          qx * (m00 * nx + m01 * ny + m02 * nz) +
          qy * (m10 * nx + m11 * ny + m12 * nz) +
          qz * (m20 * nx + m21 * ny + m22 * nz);
        if (!(magnitude(along) <= rodEnd)) return i;
      }
    } else {
      value = sqrt<f32>(lx * lx + ly * ly + lz * lz);
      if (!(value >= rig.stroke_lo && value <= rig.stroke_hi)) return i;
    }
    if (!(value >= limits.lo && value <= limits.hi)) return i;
    store<f32>(SOLVED + (usize(i) << 2), value);
  }
  return i;
}

/**
 * Solves a pose (6 f32 at `pose`: mm and rad in the carrier's frame) into SOLVED.
 * False when a leg cannot take it; SOLVED is then not to be used.
 */
export function solve(pose: usize): bool {
  setMove(pose);
  const first = load<u32>(STOPPED);
  let leg = solveLegs(first, LEGS);
  let solved = leg - first;
  if (leg == LEGS) {
    if (!first) return true;
    leg = solveLegs(0, first);
    if (leg == first) return true;
    solved += leg;
  }
  store<u32>(STOPPED, leg);
  store<u32>(STOPPED, solved, 4);
  return false;
}
