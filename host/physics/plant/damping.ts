/**
 * How the servos' loops of the plant are damped. A wobble that was measured tells how the body on its servos swings as a whole, and
 * of no single servo: it is used where the plant swings at that frequency too, and then for the joints that the wobble cure is
 * about, as one ratio of damping to stiffness, which gives that mode the measured damping. All else is assumed.
 */
import type { Joint, Rig } from '../../rig/rig.ts';
import { shapedJoints } from '../../rig/wobble.ts';
import { short } from '../../rig/words.ts';
import { Mechanism } from '../dynamics/mechanism.ts';
import { type Mode, modesAt, movesMost } from '../vibration/modes.ts';
import { homePosture } from '../dynamics/places.ts';
import { LOOP_DAMPING } from './servo.ts';
import { stiffnessOf } from '../servo/stiffness.ts';

/** A mode of the plant within such a share of the measured frequency is the one that was measured (ours). */
const SAME = 0.2;

export interface LoopDamping {
  /** By joint, damping over stiffness, s; null: LOOP_DAMPING of critical with its own load. */
  readonly lead_s: readonly (number | null)[];
  /** What is taken for granted, one sentence each. */
  readonly words: readonly string[];
}

const assumed = (whose: string): string =>
  `${whose} is damped to ${String(LOOP_DAMPING)} of critical with its load (assumed)`;

export function loopDamping(rig: Rig): LoopDamping {
  const { hz, damping } = rig.motion.wobble;
  const none = rig.joints.map(() => null);
  const everyone = assumed('each servo’s loop');
  if (hz === null || damping === null) return { lead_s: none, words: [everyone] };
  const shaped = shapedJoints(rig);
  const mode = modeNear(rig, shaped, hz);
  if (!mode) return { lead_s: none, words: [everyone, unused(hz, damping)] };
  const lead_s = (2 * damping * 2 * Math.PI * mode.hz) / mode.held;
  const others = rig.joints.length > shaped.length ? [assumed('every other servo’s loop')] : [];
  return {
    lead_s: rig.joints.map((_, i) => (shaped.includes(i) ? lead_s : null)),
    words: [
      said(
        rig.joints.filter((_, i) => shaped.includes(i)),
        mode.hz,
        hz,
        damping,
      ),
      ...others,
    ],
  };
}

const unused = (hz: number, damping: number): string =>
  `motion.wobble’s damping of ${short(damping, 3)} is not used: nothing here swings at about ${short(hz, 2)} Hz on the servos alone`;

const said = (joints: readonly Joint[], here_hz: number, hz: number, damping: number): string =>
  `${joints.map(({ name }) => name).join(', ')}: damped so that what swings at ${short(here_hz, 2)} Hz here dies away as the wobble of ${short(hz, 2)} Hz in motion.wobble, ${short(damping, 3)} of critical`;

interface Swing {
  readonly hz: number;
  /** What the servos' stiffness alone, without weight, does to it: the square of its angular frequency, 1/s². */
  readonly held: number;
}

/** The nearest mode at home that one of these joints swings most in; null: none is near. */
function modeNear(rig: Rig, shaped: readonly number[], hz: number): Swing | null {
  const { q, pose } = homePosture(rig);
  const off = (mode: Mode): number => Math.abs((mode.hz ?? Infinity) / hz - 1);
  const modes = (modesAt(rig, q, pose)?.modes ?? []).filter((mode) => movesMost(mode, shaped));
  const nearest = modes.reduce<Mode | null>((best, mode) => (!best || off(mode) < off(best) ? mode : best), null);
  if (nearest?.hz == null || off(nearest) > SAME) return null;
  return { hz: nearest.hz, held: heldOf(rig, nearest.shape) };
}

/** φᵀKφ / φᵀMφ of a shape at home, K of the servos. */
function heldOf(rig: Rig, shape: readonly number[]): number {
  const mechanism = new Mechanism(rig);
  const { q, pose } = homePosture(rig);
  mechanism.at(q, pose);
  const { mass } = mechanism;
  let [stiff, heavy] = [0, 0];
  rig.joints.forEach((joint, i) => {
    const x = shape[i]! * (joint.unit === 'mm' ? 1e-3 : 1);
    if (x === 0) return;
    stiff += (stiffnessOf(joint)?.stiffness ?? 0) * shape[i]! * x;
    for (let j = 0; j < rig.joints.length; j++) heavy += x * mass[rig.joints.length * i + j]! * shape[j]!;
  });
  return stiff / heavy;
}
