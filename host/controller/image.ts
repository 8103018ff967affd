/**
 * Packs a rig into the binary rig image that the controller runs from: header, constants of the inverse kinematics, limits,
 * servo scales. Computed in f64, stored as f32. The layout is assembly/layout.ts; numbers are little-endian.
 */
import { sha256 } from '@noble/hashes/sha2.js';
import crc32 from 'crc/calculators/crc32';
import { type Mat3, mulVec, rpyMatrix, transpose } from '../rig/rotation.ts';
import { type Joint, type Leg, type Platform, type Rig, type Vec3, toRad } from '../rig/rig.ts';
import { lookAheadTicks, lookAhead_us } from '../rig/look-ahead.ts';
import { wobbleFilter } from '../rig/wobble.ts';

const MAGIC = 0x31525750;
export const IMAGE_VERSION = 3;
const HEADER_BYTES = 12;
const WOBBLE_AT = 172;
const LEGS_AT = 212;
const LEG_BYTES = 48;
const JOINTS_AT = LEGS_AT + 6 * LEG_BYTES;
const JOINT_BYTES = 64;
const NO_PIN = 255;
/** All of the motion, as a share of the wobble filter. */
const ALL = 2 ** 30;

const DRIVE = { crank: 1, linear: 2 } as const;
const REST = { on_stop: 0, hanging: 1, powered: 2 } as const;

/**
 * Speeds of rousing and settling: slow enough to step back from, and to catch what is not as it should be.
 * 20 deg/s at an axis or crank, 10 mm/s along an actuator, 10 mm/s and 15 deg/s of the plate.
 */
export const SLOW = { rad_s: toRad(20), mm_s: 10, plate_mm_s: 10, plate_rad_s: toRad(15) } as const;

/** Cursor that writes numbers one after another. */
function writer(view: DataView, start: number) {
  let at = start;
  return {
    u8: (...values: number[]): void => {
      for (const v of values) view.setUint8(at++, v);
    },
    u16: (...values: number[]): void => {
      for (const v of values) {
        view.setUint16(at, v, true);
        at += 2;
      }
    },
    u32: (...values: number[]): void => {
      for (const v of values) {
        view.setUint32(at, v, true);
        at += 4;
      }
    },
    f32: (...values: number[]): void => {
      for (const v of values) {
        view.setFloat32(at, v, true);
        at += 4;
      }
    },
  };
}

/** The image of a rig, at most 1524 bytes. The fingerprint is in bytes 12 to 15 (`imageFingerprint`). */
export function packImage(rig: Rig): Uint8Array<ArrayBuffer> {
  const image = new Uint8Array(JOINTS_AT + rig.joints.length * JOINT_BYTES);
  const view = new DataView(image.buffer);
  packGeneral(view, rig);
  if (rig.platform) packPlatform(view, rig.platform);
  packPoses(view, rig);
  packWobble(view, rig);
  rig.joints.forEach((joint, i) => {
    packJoint(view, JOINTS_AT + i * JOINT_BYTES, joint);
  });
  image.set(sha256(image.subarray(16)).subarray(0, 4), 12);
  view.setUint32(0, MAGIC, true);
  view.setUint16(4, IMAGE_VERSION, true);
  view.setUint16(6, image.length, true);
  view.setUint32(8, crc32(image.subarray(HEADER_BYTES)) >>> 0, true);
  return image;
}

/** First four bytes of the SHA-256 of what the image says: two rigs that move alike share it. */
export function imageFingerprint(image: Uint8Array): number {
  return new DataView(image.buffer, image.byteOffset).getUint32(12, true);
}

function packGeneral(view: DataView, rig: Rig): void {
  const { motion, board, supply } = rig;
  const w = writer(view, 16);
  w.u16(motion.tick_hz, lookAheadTicks(motion));
  w.u8(rig.joints.length, rig.platform ? 6 : 0, rig.platform ? DRIVE[rig.platform.drive] : 0);
  w.u8(rig.platform?.branch === 'other' ? 1 : 0);
  w.u8(REST[rig.rest], board?.stop?.category ?? 1, board?.stop?.pin ?? NO_PIN, board?.power_pin ?? NO_PIN);
  // Targets that wait for their time make up the rest of the delay.
  w.u32(Math.round(motion.playback_delay_ms * 1000 - lookAhead_us(motion)), Math.round(motion.hold_s * 1000));
  w.u16(Math.round((supply?.low_v ?? 0) * 1000));
}

function packPlatform(view: DataView, platform: Platform): void {
  const mount = rpyMatrix(platform.mount.rpy_rad);
  const w = writer(view, 44);
  w.f32(platform.crank_mm, platform.rod_mm, platform.stroke_mm?.[0] ?? 0, platform.stroke_mm?.[1] ?? 0);
  w.f32(platform.rod_end_rad === null ? 0 : Math.sin(platform.rod_end_rad));
  w.f32(...transpose(mount));
  const legs = writer(view, LEGS_AT);
  for (const leg of platform.legs) legs.f32(...legConstants(platform, leg, mount), 0);
}

/** Constants of one leg: home + pivot - base point (base frame), moving point - pivot (carrier's), azimuth, servo axis (carrier's). */
function legConstants(platform: Platform, leg: Leg, mount: Mat3): number[] {
  const home: Vec3 = [0, 0, platform.home_z_mm];
  const e = [0, 1, 2].map((k) => (home[k] ?? 0) + (platform.pivot_mm[k] ?? 0) - (leg.base_mm[k] ?? 0));
  const d: Vec3 = [
    leg.moving_mm[0] - platform.pivot_mm[0],
    leg.moving_mm[1] - platform.pivot_mm[1],
    leg.moving_mm[2] - platform.pivot_mm[2],
  ];
  const cos = Math.cos(leg.azimuth_rad);
  const sin = Math.sin(leg.azimuth_rad);
  return [...e, ...mulVec(mount, d), cos, sin, ...mulVec(mount, [-sin, cos, 0])];
}

function packPoses(view: DataView, rig: Rig): void {
  const w = writer(view, 100);
  w.f32(...rig.motion.pose_speed.map((speed) => speed ?? 0));
  const { plate_mm_s: mm, plate_rad_s: rad } = SLOW;
  w.f32(mm, mm, mm, rad, rad, rad);
  w.f32(...(rig.platform?.rest ?? [0, 0, 0, 0, 0, 0]));
}

/** The earlier ticks that the wobble filter adds to the present one, and how long the joints that it does not shape wait. */
function packWobble(view: DataView, rig: Rig): void {
  const filter = wobbleFilter(rig);
  if (!filter) return;
  const earlier = filter.taps.slice(1);
  const five = (values: readonly number[]): number[] => [0, 1, 2, 3, 4].map((k) => values[k] ?? 0);
  const wait = Math.floor(filter.delay_ticks);
  const w = writer(view, WOBBLE_AT);
  w.u8(earlier.length, 0);
  w.u16(filter.joints.reduce((mask, i) => mask | (1 << i), 0));
  // Rounded down, so that in sum they are never more than all of it.
  w.u32(...five(earlier.map(({ share }) => Math.floor(share * ALL))));
  w.u16(...five(earlier.map(({ ticks }) => ticks)), wait);
  w.u32(Math.floor((filter.delay_ticks - wait) * ALL));
}

function packJoint(view: DataView, at: number, joint: Joint): void {
  const w = writer(view, at);
  w.f32(joint.lo, joint.hi, joint.speed, joint.plus, joint.minus);
  w.f32(joint.unit === 'deg' ? SLOW.rad_s : SLOW.mm_s, joint.rest, joint.home);
  w.f32(joint.centre_us, joint.sense * joint.us_per_unit, joint.centre, joint.range_us[0], joint.range_us[1]);
  w.u16(joint.servo.frame_hz);
  w.u8(joint.pin, 0);
  // 0 for a limit that stays.
  const goneOr0 = (speed: number): number => (Number.isFinite(speed) ? speed : 0);
  w.f32(goneOr0(joint.plus_gone), goneOr0(joint.minus_gone));
}
