/**
 * Inverse kinematics of many poses at once, for searches and reach maps on the host: a module of its own, which the
 * controller does not know. Reach alone counts (the rod, or the stroke), not soft limits nor rod ends. `solve` is the
 * controller's own solve, one pose after another; `solve_simd` takes four at a time and gives the same bits.
 */
import {
  ACTIVE,
  DRIVE_CRANK,
  FLAG_OTHER_BRANCH,
  Image,
  JOINTS,
  JOINTS_AT,
  JointImage,
  LEGS,
  LEGS_AT,
  LegImage,
  STAGED,
  copyPose,
  image,
} from './layout';
import { add, all, angleOf4, dot, four, mul, sincos4, sub } from './kernels4';
import { DRIVE, SOLVED, prepare, solve as solveOne } from './kinematics';

/** Poses to a call: in and out together stay in a core's first-level cache. */
const POSES: i32 = 512;
/** A pose, and its six joint coordinates, are each six f32. */
const POSE_BYTES: usize = 24;

const INPUT: usize = memory.data(512 * 24, 16);
const OUTPUT: usize = memory.data(512 * 24, 16);
/** Of four poses: sine and cosine of roll, pitch, yaw; M row by row, then t; coordinates of the six legs. */
const TRIG: usize = memory.data(96, 16);
const MOVE: usize = memory.data(192, 16);
const LEG: usize = memory.data(96, 16);

// @ts-ignore: decorator
@inline function put4(i: i32, value: v128): void {
  v128.store(MOVE + (usize(i) << 4), value);
}
// @ts-ignore: decorator
@inline function got4(i: i32): v128 {
  return v128.load(MOVE + (usize(i) << 4));
}

/** Where the rig image, poses (mm, rad in the carrier's frame) and coordinates (rad or mm) stand. */
export const rig: usize = STAGED;
export const input: usize = INPUT;
export const output: usize = OUTPUT;
/** Most poses of one call. */
export const capacity: i32 = POSES;

/** Takes the image at `rig` into force with soft limits and rod ends off; it must be valid. False: it has no platform. */
export function init(): bool {
  memory.copy(ACTIVE, STAGED, JOINTS_AT + usize(JOINTS) * offsetof<JointImage>());
  const rig = image();
  rig.rod_end_sin = 0;
  for (let i = 0; i < LEGS; i++) {
    const joint = changetype<JointImage>(ACTIVE + JOINTS_AT + usize(i) * offsetof<JointImage>());
    joint.lo = -Infinity;
    joint.hi = Infinity;
  }
  prepare();
  return i32(rig.leg_count) == LEGS;
}

/** Solves the first n poses, one at a time. A pose out of reach, or not finite, gives six NaN. */
export function solve(n: i32): void {
  for (let i = 0; i < n; i++) {
    const at = usize(i) * POSE_BYTES;
    if (solveOne(INPUT + at)) copyPose(OUTPUT + at, SOLVED);
    else for (let k: usize = 0; k < 24; k += 4) store<f32>(OUTPUT + at + k, NaN);
  }
}

/** The same, four at a time; a last group that is not full is solved with what stands behind. */
export function solve_simd(n: i32): void {
  for (let i = 0; i < n; i += 4) {
    move(usize(i) * POSE_BYTES);
    store4(OUTPUT + usize(i) * POSE_BYTES, v128.not(legs()));
  }
}

/**
 * Four poses at INPUT to M and t at MOVE; see kinematics.ts, solve: the same sums in the same order. They go by memory because
 * V8 would move a pure sum into the loop over the legs, where it is used, and do it six times.
 */
function move(at: usize): void {
  const rig = image();
  // Four poses of x, y, z, roll, pitch, yaw, turned to six components of four poses.
  const a = v128.load(INPUT + at),
    b = v128.load(INPUT + at, 16),
    c = v128.load(INPUT + at, 32);
  const d = v128.load(INPUT + at, 48),
    e = v128.load(INPUT + at, 64),
    f = v128.load(INPUT + at, 80);
  const xy0 = v128.shuffle<f32>(a, b, 0, 6, 1, 7),
    xy1 = v128.shuffle<f32>(d, e, 0, 6, 1, 7);
  const zr0 = v128.shuffle<f32>(a, c, 2, 4, 3, 5),
    zr1 = v128.shuffle<f32>(d, f, 2, 4, 3, 5);
  const pw0 = v128.shuffle<f32>(b, c, 0, 6, 1, 7),
    pw1 = v128.shuffle<f32>(e, f, 0, 6, 1, 7);
  const x = v128.shuffle<u64>(xy0, xy1, 0, 2),
    y = v128.shuffle<u64>(xy0, xy1, 1, 3);
  const z = v128.shuffle<u64>(zr0, zr1, 0, 2),
    roll = v128.shuffle<u64>(zr0, zr1, 1, 3);
  const pitch = v128.shuffle<u64>(pw0, pw1, 0, 2),
    yaw = v128.shuffle<u64>(pw0, pw1, 1, 3);

  sincos4(roll, TRIG);
  sincos4(pitch, TRIG + 32);
  sincos4(yaw, TRIG + 64);
  const sr = v128.load(TRIG),
    cr = v128.load(TRIG, 16);
  const sp = v128.load(TRIG, 32),
    cp = v128.load(TRIG, 48);
  const sy = v128.load(TRIG, 64),
    cy = v128.load(TRIG, 80);
  const syp = mul(sy, sp),
    cyp = mul(cy, sp);
  const r00 = mul(cy, cp),
    r01 = sub(mul(cyp, sr), mul(sy, cr)),
    r02 = add(mul(cyp, cr), mul(sy, sr));
  const r10 = mul(sy, cp),
    r11 = add(mul(syp, sr), mul(cy, cr)),
    r12 = sub(mul(syp, cr), mul(cy, sr));
  const r20 = f32x4.neg(sp),
    r21 = mul(cp, sr),
    r22 = mul(cp, cr);

  const a00 = all(rig.mount_00),
    a01 = all(rig.mount_01),
    a02 = all(rig.mount_02);
  const a10 = all(rig.mount_10),
    a11 = all(rig.mount_11),
    a12 = all(rig.mount_12);
  const a20 = all(rig.mount_20),
    a21 = all(rig.mount_21),
    a22 = all(rig.mount_22);
  put4(0, dot(a00, r00, a01, r10, a02, r20));
  put4(1, dot(a00, r01, a01, r11, a02, r21));
  put4(2, dot(a00, r02, a01, r12, a02, r22));
  put4(3, dot(a10, r00, a11, r10, a12, r20));
  put4(4, dot(a10, r01, a11, r11, a12, r21));
  put4(5, dot(a10, r02, a11, r12, a12, r22));
  put4(6, dot(a20, r00, a21, r10, a22, r20));
  put4(7, dot(a20, r01, a21, r11, a22, r21));
  put4(8, dot(a20, r02, a21, r12, a22, r22));
  put4(9, dot(a00, x, a01, y, a02, z));
  put4(10, dot(a10, x, a11, y, a12, z));
  put4(11, dot(a20, x, a21, y, a22, z));
}

/** Row `row` of the legs' vectors: M d + (t + e). */
// @ts-ignore: decorator
@inline function along(row: i32, d: usize, e: usize): v128 {
  const turned = dot(got4(3 * row), four(d), got4(3 * row + 1), four(d + 4), got4(3 * row + 2), four(d + 8));
  return add(turned, add(got4(9 + row), four(e)));
}

/** The four poses at MOVE to joint coordinates at LEG. Returns which poses are in reach, all ones each. */
function legs(): v128 {
  const rig = image();
  const isCrank = rig.drive == DRIVE_CRANK;
  const isOther = (rig.flags & FLAG_OTHER_BRANCH) != 0;
  const zero = all(0.0);
  let inReach = i32x4.splat(-1);
  let leg = ACTIVE + LEGS_AT;
  for (let i: usize = 0; i < usize(LEGS); i++) {
    const d = leg + offsetof<LegImage>('dx');
    const lx = along(0, d, leg),
      ly = along(1, d, leg + 4),
      lz = along(2, d, leg + 8);
    let value: v128;
    if (isCrank) {
      const h0 = four(DRIVE + 4);
      const L = mul(add(add(mul(lx, lx), mul(ly, ly)), mul(sub(lz, h0), add(lz, h0))), four(DRIVE));
      const N = add(mul(lx, four(leg + offsetof<LegImage>('ux'))), mul(ly, four(leg + offsetof<LegImage>('uy'))));
      const D = add(mul(N, N), mul(sub(lz, L), add(lz, L)));
      inReach = v128.and(inReach, v128.and(f32x4.ge(D, zero), f32x4.gt(lz, zero)));
      const far = add(lz, f32x4.sqrt(D));
      const half = isOther ? angleOf4(far, add(N, L)) : angleOf4(sub(L, N), far);
      value = add(half, half);
      inReach = v128.and(inReach, f32x4.eq(value, value));
    } else {
      value = f32x4.sqrt(dot(lx, lx, ly, ly, lz, lz));
      const shortest = four(ACTIVE + offsetof<Image>('stroke_lo'));
      const longest = four(ACTIVE + offsetof<Image>('stroke_hi'));
      inReach = v128.and(inReach, v128.and(f32x4.ge(value, shortest), f32x4.le(value, longest)));
    }
    v128.store(LEG + (i << 4), value);
    leg += offsetof<LegImage>();
  }
  return inReach;
}

/** Six legs of four poses at LEG, turned to four poses of six legs; all ones are a NaN. */
// @ts-ignore: decorator
@inline function store4(out: usize, lost: v128): void {
  const l1 = v128.or(v128.load(LEG), lost),
    l2 = v128.or(v128.load(LEG, 16), lost);
  const l3 = v128.or(v128.load(LEG, 32), lost),
    l4 = v128.or(v128.load(LEG, 48), lost);
  const l5 = v128.or(v128.load(LEG, 64), lost),
    l6 = v128.or(v128.load(LEG, 80), lost);
  const a = v128.shuffle<f32>(l1, l2, 0, 4, 1, 5),
    b = v128.shuffle<f32>(l1, l2, 2, 6, 3, 7);
  const c = v128.shuffle<f32>(l3, l4, 0, 4, 1, 5),
    d = v128.shuffle<f32>(l3, l4, 2, 6, 3, 7);
  const e = v128.shuffle<f32>(l5, l6, 0, 4, 1, 5),
    f = v128.shuffle<f32>(l5, l6, 2, 6, 3, 7);
  v128.store(out, v128.shuffle<u64>(a, c, 0, 2));
  v128.store(out, v128.shuffle<u64>(e, a, 0, 3), 16);
  v128.store(out, v128.shuffle<u64>(c, e, 1, 3), 32);
  v128.store(out, v128.shuffle<u64>(b, d, 0, 2), 48);
  v128.store(out, v128.shuffle<u64>(f, b, 0, 3), 64);
  v128.store(out, v128.shuffle<u64>(d, f, 1, 3), 80);
}
