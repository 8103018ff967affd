/**
 * What an axis holds at the hardest place that the soft limits of all joints allow, as near as twelve travels tell: gravity pulls on it as
 * the plate's weight is moved from home and as its own angle is, and the ends of the travels count as the half axes of an ellipsoid of
 * places. Of platforms of cranks mostly within 5 % of what `load` finds by searching, rarely 15 % below (farthest.test.ts); of
 * actuators that lean far it tells much less. Without margins, since `load` has none.
 */
import { linksOf } from '../../physics/dynamics/links.ts';
import type { Rig, Vec3 } from '../../rig/rig.ts';
import { cross, dot, scale } from '../../rig/rotation.ts';
import { AT } from '../figures.ts';
import { type Ask, TRAVELS } from './ask.ts';
import type { Crew } from './crew.ts';
import type { Instants } from './instants.ts';
import { type Moment, parabolaAt } from './moment.ts';
import type { Stations } from './stations.ts';

const MM_PER_M = 1000;
/** Angles of an axis at which it is looked at, from one soft limit to the other: the hardest between two of them is missed by 1 %. */
const ANGLES = 5;
/** Sine of an axis' range below which its ends do not tell what is between them: as good as none, or half a turn. */
const FLAT = 0.05;

/** An axis whose torque is bounded. */
interface Held {
  /** Its row in the figures. */
  readonly row: number;
  /** The station at its lower limit, the rest at home; the next is at its upper. */
  readonly station: number;
  /** From limit to limit, rad. */
  readonly range: number;
  /** Torque per m that the plate's weight is moved, in the base's frame: at the lower limit, and a quarter turn on. N·m/m. */
  readonly low: Vec3;
  readonly turned: Vec3;
}

/** What of it does not depend on the design. */
export interface FarAsk {
  readonly held: readonly Held[];
  /** How much heavier than given everything is but counterweights that are designed. */
  readonly heavier: number;
  /** By travel of turning: how the plate's centre of mass goes with the sine of the angle and with 1 less its cosine, base's frame, m. */
  readonly swing: readonly (readonly [Vec3, Vec3])[];
  /** The carrier's axes in the base's frame. */
  readonly ways: readonly Vec3[];
}

/** @param axes joints of the figures' rows, by index; @param mount row-major, from the base's frame to its carrier's axes */
export function farAskOf(ask: Ask, stations: Stations, axes: readonly number[], mount: readonly number[]): FarAsk {
  const { rig, bounded, margins } = ask;
  const { mass_kg, centre_m } = plateOf(rig, mount);
  const ways = [0, 1, 2].map((k): Vec3 => [mount[3 * k]!, mount[3 * k + 1]!, mount[3 * k + 2]!]);
  const held = bounded.flatMap((name): Held[] => {
    const joint = rig.joints.findIndex((one) => one.name === name);
    const [row, pair] = [axes.indexOf(joint), stations.tilted.indexOf(joint)];
    if (row < 0 || pair < 0) return [];
    const station = stations.carried + 2 * pair;
    const range = rig.joints[joint]!.hi - rig.joints[joint]!.lo;
    const [low, high] = [station, station + 1].map((n) =>
      scale(pullOf(stations.instants, n, row, axes.length), mass_kg),
    ) as [Vec3, Vec3];
    const turned = low.map((value, k) => quarterOn(value, high[k]!, range)) as unknown as Vec3;
    return [{ row, station, range, low, turned }];
  });
  const swing = ways.map((way): readonly [Vec3, Vec3] => [cross(way, centre_m), cross(way, cross(way, centre_m))]);
  return { held, heavier: margins.weight, swing, ways };
}

/** Of what goes as a·cos + b·sin of an angle from a: b, by its value at the end of a range; 0: it cannot be told. */
const quarterOn = (first: number, last: number, range: number): number =>
  Math.abs(Math.sin(range)) > FLAT ? (last - first * Math.cos(range)) / Math.sin(range) : 0;

/** Torque on axis `row` per kg and m that a weight on the base is moved; none where it does not carry the base. */
function pullOf({ carrier, along, carries }: Instants, n: number, row: number, axes: number): Vec3 {
  if (carries[row] === 0) return [0, 0, 0];
  const at = 3 * (n * axes + row);
  return cross(
    [carrier[9 * n + 6]!, carrier[9 * n + 7]!, carrier[9 * n + 8]!],
    [along[at]!, along[at + 1]!, along[at + 2]!],
  );
}

/** Mass of the moving plate and its centre from the pivot at home, in the base's frame. What moves upon it by an axis is not in it. */
function plateOf(rig: Rig, mount: readonly number[]): { readonly mass_kg: number; readonly centre_m: Vec3 } {
  const parts = rig.parts.filter(({ fitted }) => fitted);
  const { mass_kg, com_m } = linksOf(rig, parts).find(({ kind }) => kind === 'moving')!.body;
  const inBase = (c: number): number => dot([mount[c]!, mount[c + 3]!, mount[c + 6]!], com_m);
  return { mass_kg, centre_m: [inBase(0), inBase(1), inBase(2)] };
}

export class Farthest {
  private readonly ask: FarAsk;
  /** By axis: torque at both its limits, the rest at home; NaN: it does not stand. */
  private readonly ends: Float64Array;
  /** How far the plate's centre of mass goes by each travel, base's frame. */
  private readonly shift = new Float64Array(3 * TRAVELS);

  constructor(ask: FarAsk) {
    this.ask = ask;
    this.ends = new Float64Array(2 * ask.held.length);
  }

  begin(): void {
    this.ends.fill(NaN);
  }

  /** Station n was worked out: what of its efforts is without margins. */
  note(instants: Instants, n: number, { axis }: Moment, { weight, arm }: Crew): void {
    const { held, heavier } = this.ask;
    for (let h = 0; h < held.length; h++) {
      const { row, station } = held[h]!;
      if (n !== station && n !== station + 1) continue;
      let designed = 0;
      for (let w = 0; w < weight.length; w++)
        designed +=
          weight[w]! * parabolaAt(instants.weight, 3 * ((n * weight.length + w) * axis.length + row), arm[w]!);
      this.ends[2 * h + n - station] = (axis[row]! - designed) / heavier + designed;
    }
  }

  /** When travels are told: at the servos, N·m. @param toServo by axis */
  put(toServo: Float64Array, out: Float64Array, at: number): void {
    const { held } = this.ask;
    if (held.length === 0) return;
    this.putShifts(out, at + AT.travel);
    for (let h = 0; h < held.length; h++) out[at + AT.axis_most + held[h]!.row] = this.most(h) * toServo[held[h]!.row]!;
  }

  private putShifts(out: Float64Array, travel: number): void {
    const { shift } = this;
    const { ways, swing } = this.ask;
    for (let t = 0; t < TRAVELS; t++) {
      const by = t & 1 ? out[travel + t]! : -out[travel + t]!;
      const p = (t >> 1) % 3;
      for (let k = 0; k < 3; k++)
        shift[3 * t + k] =
          t < TRAVELS / 2
            ? (by / MM_PER_M) * ways[p]![k]!
            : Math.sin(by) * swing[p]![0][k]! + (1 - Math.cos(by)) * swing[p]![1][k]!;
    }
  }

  private most(h: number): number {
    const { range } = this.ask.held[h]!;
    const [low, high] = [this.ends[2 * h]!, this.ends[2 * h + 1]!];
    if (!(Math.abs(Math.sin(range)) > FLAT)) return Math.max(this.at(h, 1, 0, low), this.at(h, 1, 0, high));
    const turned = quarterOn(low, high, range);
    let most = 0;
    for (let n = 0; n < ANGLES; n++) {
      const angle = (range * n) / (ANGLES - 1);
      const [c, s] = [Math.cos(angle), Math.sin(angle)];
      const here = this.at(h, c, s, c * low + s * turned);
      // NaN stays.
      if (!(here <= most)) most = here;
    }
    return most;
  }

  /** The most either way at one angle of the axis, whose cosine and sine from its lower limit these are. @param home with the plate at home */
  private at(h: number, c: number, s: number, home: number): number {
    const { shift } = this;
    const { low, turned } = this.ask.held[h]!;
    const [x, y, z] = [c * low[0] + s * turned[0], c * low[1] + s * turned[1], c * low[2] + s * turned[2]];
    let up = 0;
    let down = 0;
    for (let t = 0; t < 3 * TRAVELS; t += 6) {
      const a = x * shift[t]! + y * shift[t + 1]! + z * shift[t + 2]!;
      const b = x * shift[t + 3]! + y * shift[t + 4]! + z * shift[t + 5]!;
      const [more, less] = [Math.max(0, a, b), Math.min(0, a, b)];
      up += more * more;
      down += less * less;
    }
    return Math.max(home + Math.sqrt(up), -home + Math.sqrt(down));
  }
}
