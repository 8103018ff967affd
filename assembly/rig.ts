/**
 * Accepts a rig image: whole, with the right checksum, version and ranges, and with home and rest within reach; else the
 * image in force stays. Sets up the joints from it.
 */
import {
  ACTIVE,
  DRIVE_CRANK,
  DRIVE_LINEAR,
  DRIVE_NONE,
  HISTORY,
  IMAGE_CRC_FROM,
  IMAGE_MAGIC,
  IMAGE_MAX,
  IMAGE_VERSION,
  Image,
  JOINTS,
  JOINTS_AT,
  JointImage,
  LEGS,
  POSE_REST_AT,
  SHARES,
  STAGED,
  WOBBLE_BACK_AT,
  WOBBLE_SHARES_AT,
  WOBBLE_TAPS,
  image,
  inputs,
  joint,
  jointImage,
} from './layout';
import { setRate } from './clock';
import { crc32 } from './crc';
import { finite, magnitude } from './kernels';
import { prepare, solve } from './kinematics';
import { setPoseSteps } from './reach';
import { RING_PLACES } from './ring';
import { placeJoint } from './ahead';
import { setLimits } from './track';
import { startFilters } from './wobble';

/** Why an image is refused; numbers are never reused. */
export const enum Refusal {
  none = 0,
  length = 1,
  magic = 2,
  version = 3,
  checksum = 4,
  range = 5,
  home = 6,
  rest = 7,
  /** More joints than the board has servo pins. */
  pins = 8,
}

const HOME: usize = memory.data(24);

/** Judges the n bytes at STAGED and, if they are a valid image, makes it the one in force. STAGED then holds it too. */
export function acceptImage(n: u32): Refusal {
  const staged = changetype<Image>(STAGED);
  if (n < u32(JOINTS_AT) || n > u32(IMAGE_MAX)) return Refusal.length;
  if (staged.magic != IMAGE_MAGIC) return Refusal.magic;
  if (staged.version != IMAGE_VERSION) return Refusal.version;
  if (staged.length != n || n != u32(JOINTS_AT) + u32(staged.joint_count) * u32(offsetof<JointImage>()))
    return Refusal.length;
  if (staged.crc != crc32(STAGED + IMAGE_CRC_FROM, n - u32(IMAGE_CRC_FROM))) return Refusal.checksum;
  if (!rangesHold(staged)) return Refusal.range;
  if (inputs().pins && staged.joint_count > inputs().pins) return Refusal.pins;
  swap();
  const bad = whereUnreachable();
  if (bad) {
    swap();
    return bad;
  }
  memory.copy(STAGED, ACTIVE, IMAGE_MAX);
  setUp();
  return Refusal.none;
}

function whereUnreachable(): Refusal {
  if (!image().leg_count) return Refusal.none;
  if (!solve(HOME)) return Refusal.home;
  if (!solve(ACTIVE + POSE_REST_AT)) return Refusal.rest;
  return Refusal.none;
}

/** Exchanges STAGED and ACTIVE. */
function swap(): void {
  for (let i: usize = 0; i < IMAGE_MAX; i += 4) {
    const word = load<u32>(ACTIVE + i);
    store<u32>(ACTIVE + i, load<u32>(STAGED + i));
    store<u32>(STAGED + i, word);
  }
  prepare();
}

// @ts-ignore: decorator
@inline function within(x: f32, lo: f32, hi: f32): bool {
  return x >= lo && x <= hi;
}

function rangesHold(rig: Image): bool {
  if (rig.tick_hz < 50 || rig.tick_hz > 1000 || rig.joint_count == 0 || i32(rig.joint_count) > JOINTS) return false;
  // Holding longer than half an hour would see the clock of the last frame wrap.
  if (rig.delay_us > 10000000 || rig.hold_ms > 1800000 || rig.stop_category > 2) return false;
  const drive = u32(rig.drive);
  if (drive == DRIVE_NONE ? rig.leg_count != 0 : i32(rig.leg_count) != LEGS || rig.joint_count < rig.leg_count)
    return false;
  if (drive > DRIVE_LINEAR) return false;
  if (drive == DRIVE_CRANK && !(rig.crank > 0 && rig.rod > rig.crank && rig.rod < 10000)) return false;
  if (drive == DRIVE_LINEAR && !(rig.stroke_lo > 0 && rig.stroke_hi > rig.stroke_lo && rig.stroke_hi < 10000))
    return false;
  if (!within(rig.rod_end_sin, 0, 1)) return false;
  // Everything that is a float, from the crank to the end of the legs, is finite and of a sane size.
  for (let p = STAGED + offsetof<Image>('crank'); p < STAGED + offsetof<Image>('wobble_taps'); p += 4)
    if (!(magnitude(load<f32>(p)) < 100000)) return false;
  for (let p = STAGED + offsetof<Image>(); p < STAGED + JOINTS_AT; p += 4)
    if (!(magnitude(load<f32>(p)) < 100000)) return false;
  for (let i = 0; i < 12; i++)
    if (load<f32>(STAGED + offsetof<Image>('pose_speed_0') + (usize(i) << 2)) < 0) return false;
  const count = i32(rig.joint_count);
  for (let i = 0; i < count; i++)
    if (!jointHolds(changetype<JointImage>(STAGED + JOINTS_AT + usize(i) * offsetof<JointImage>()))) return false;
  if (u32(rig.look_ahead) * (u32(count) + 6) > RING_PLACES) return false;
  return wobbleHolds(rig);
}

/** The filter's shares are at most all of the motion, and what it looks back over is kept. */
function wobbleHolds(rig: Image): bool {
  const taps = u32(rig.wobble_taps);
  const count = u32(rig.joint_count);
  if (taps > WOBBLE_TAPS || rig.wobble_wait_share > SHARES || u32(rig.wobble_joints) >> count) return false;
  let left = SHARES;
  let back: u32 = 0;
  for (let k: u32 = 0; k < taps; k++) {
    const next = u32(load<u16>(STAGED + WOBBLE_BACK_AT + usize(k << 1)));
    if (next <= back) return false;
    back = next;
    const share = load<u32>(STAGED + WOBBLE_SHARES_AT + usize(k << 2));
    if (share > left) return false;
    left -= share;
  }
  const shaped = popcnt(u32(rig.wobble_joints));
  return shaped * back + (count - shaped) * (u32(rig.wobble_wait) + 1) <= HISTORY;
}

// @ts-ignore: decorator
@inline function gone(speed: f32): bool {
  return speed == 0 || within(speed, 0.0001, 100000);
}

function jointHolds(j: JointImage): bool {
  if (!(within(j.lo, -100000, 100000) && within(j.hi, -100000, 100000) && j.lo < j.hi)) return false;
  if (!(within(j.rest, j.lo, j.hi) && within(j.home, j.lo, j.hi))) return false;
  if (!(within(j.speed, 0.0001, 100000) && within(j.slow, 0.0001, 100000))) return false;
  if (!(within(j.plus, 0.0001, 10000000) && within(j.minus, 0.0001, 10000000))) return false;
  if (!(gone(j.plus_gone) && gone(j.minus_gone))) return false;
  if (!(within(j.min_us, 100, 20000) && within(j.max_us, 100, 20000) && j.min_us < j.max_us)) return false;
  if (!(finite(j.centre_us) && finite(j.us_per_unit) && finite(j.centre))) return false;
  // Both soft limits have pulses inside the servo's range, but for rounding.
  const at_lo = j.centre_us + j.us_per_unit * (j.lo - j.centre);
  const at_hi = j.centre_us + j.us_per_unit * (j.hi - j.centre);
  return within(at_lo, j.min_us - 1, j.max_us + 1) && within(at_hi, j.min_us - 1, j.max_us + 1);
}

/** Readies clock and joints for the image in force: every joint at its rest. */
function setUp(): void {
  const rig = image();
  setRate(rig.tick_hz);
  const hz = f32(rig.tick_hz);
  for (let i = 0; i < i32(rig.joint_count); i++) {
    const j = jointImage(i);
    setLimits(joint(i), j, hz);
    placeJoint(i, j.rest);
  }
  startFilters();
  setPoseSteps();
}
