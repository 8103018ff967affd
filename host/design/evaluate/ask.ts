/**
 * What the evaluator is asked: the want, resolved to plain numbers, and the rig that candidates are made from. Plain data and typed
 * arrays throughout, so that it can be sent to a worker. mm, rad, kg, s, N·m; travels run by pose component: x minus, x plus,
 * y minus, … yaw plus.
 */
import type { Rig, Servo } from '../../rig/rig.ts';
import type { StoredStream } from '../../stream/stored.ts';
import type { Design } from '../design.ts';
import type { Clearance } from '../../rig/clearance.ts';

/** Travels of a pose: two of each component. */
export const TRAVELS = 12;
/** Pose components before the joints in a row of a stream. */
const POSE = 6;

/** A servo class that the search may choose. */
export interface ServoChoice {
  readonly name: string;
  /** At the supply's voltage, before margins. */
  readonly servo: Servo;
  readonly price: number;
  /** Body of one servo; null: that of the clearance. */
  readonly body_mm: readonly [number, number, number] | null;
}

/**
 * A stream at every tick of the controller, and a tick before the first and after the last, where `load` looks for rates: row k + 1
 * is tick k. Pose (mm, rad), then the rig's joints but the legs (rad; NaN: left alone).
 */
export interface SampledStream {
  readonly name: string;
  readonly dt_s: number;
  /** Without the two besides. */
  readonly ticks: number;
  /** Numbers in a row. */
  readonly size: number;
  /** (ticks + 2) rows. */
  readonly rows: Float64Array;
}

/** What must be reached from home, at least. */
export interface Musts {
  /** Sizes of the 12 travels, all 0 or more; 0: nothing is wanted there. */
  readonly travels: Float64Array;
  /** Share of all of them at once; 0: not wanted. */
  readonly together: number;
  /** Travel beyond what is wanted, as a share of it. */
  readonly spare: number;
  /** Standard deviation of every joint centre as it is built, by each coordinate; 0: not looked at. */
  readonly built_within_mm: number;
}

/** What must hold besides travels, as far as it decides whether bodies are looked at beyond them (free-travels.ts). Null: not wanted. */
export interface Bounds {
  readonly lowest_hz: number | null;
  /** Share of what a servo can give at its speed, along the stream. */
  readonly use: number | null;
  /** Share of stall torque. */
  readonly hold_use: number | null;
  readonly height_mm: number | null;
}

/** Factors on what weighs (parts, loads, cranks, rods; no counterweight) and on the supply's voltage: 1.1 and 0.9 are usual. */
export interface Margins {
  readonly weight: number;
  readonly voltage: number;
}

/** What of the base rig candidates keep as it is, symmetric or not; a design's own figures are then not read. */
export interface Kept {
  readonly base: boolean;
  readonly plate: boolean;
  readonly azimuths: boolean;
}

export interface Ask {
  /** With a platform. */
  readonly rig: Rig;
  readonly must: Musts;
  readonly bounds: Bounds;
  readonly classes: readonly ServoChoice[];
  readonly clearance: Clearance;
  readonly margins: Margins;
  readonly keeps: Kept;
  /** By leg: it has soft limits of its own in the rig, which hold beside those that are designed. */
  readonly ownLimits: readonly boolean[];
  /** Joints but legs whose gear ratio, counterweight or servo is free. Others are told, and nothing is wanted of them. */
  readonly freeAxes: readonly string[];
  /** Those of them that may have a counterweight. */
  readonly counterweights: readonly string[];
  /** Free axes whose torque to hold is bounded. */
  readonly bounded: readonly string[];
  /** What must be followed; null: nothing. */
  readonly stream: SampledStream | null;
  /** Designs from all over the space: where a stream is hardest is looked for with them. 40 are enough. */
  readonly samples: readonly Design[];
}

/** A stream at the ticks of its rig's controller. At least one frame. */
export function sampleStream(name: string, rig: Rig, stored: StoredStream): SampledStream {
  const dt_s = 1 / rig.motion.tick_hz;
  const first_s = stored.time(0);
  const ticks = Math.floor((stored.time(stored.count - 1) - first_s) / dt_s + 1e-9) + 1;
  const size = POSE + rig.joints.length - (rig.platform ? POSE : 0);
  const rows = new Float64Array((ticks + 2) * size);
  const row = new Float64Array(size);
  for (let k = -1; k <= ticks; k++) {
    stored.evaluate(first_s + k * dt_s, row);
    rows.set(row, (k + 1) * size);
  }
  return { name, dt_s, ticks, size, rows };
}
