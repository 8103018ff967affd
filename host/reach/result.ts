/** What `reach` answers: the JSON document of the command. Lengths mm, angles degrees; every figure finite or null. */
import type { Stop } from '../physics/kinematics/inverse.ts';
import type { AxisName, AxisUnit } from './axes.ts';

/** Travel along one component of the pose, the others held, from the pose asked about to the first stop. */
export interface AxisTravel {
  readonly axis: AxisName;
  readonly unit: AxisUnit;
  /** How far it goes, 0 or less; accurate to 0.01. */
  readonly minus: number;
  /** How far it goes, 0 or more. */
  readonly plus: number;
  /** What stands in the way there; null: nothing within half a turn. */
  readonly minus_stop: Stop | null;
  readonly plus_stop: Stop | null;
}

/** How firmly the legs hold the plate on the way to a stop, beside where it begins. */
export interface FirmnessOnTheWay {
  /** Condition number where the travel ends; null: singular, or a crank in line with its rod. */
  readonly condition: number | null;
  /** Stiffness against the weakest motion, where that is least on the way, over that at the beginning; null: singular there. */
  readonly stiffness: { readonly share: number; readonly at: number } | null;
  /** Where on the way the plate comes to hang loose (a singular pose is passed); null: nowhere. */
  readonly loose_at: number | null;
  /** How many times faster legs must run on the way, at worst, than at its beginning; null: not known. */
  readonly faster: number | null;
}

export interface FirmTravel extends AxisTravel {
  readonly minus_firmness: FirmnessOnTheWay;
  readonly plus_firmness: FirmnessOnTheWay;
}

/** A region of the pose's components and the share of it in reach, by seeded sampling. */
export interface BoxShare {
  readonly ranges: readonly {
    readonly axis: AxisName;
    readonly unit: AxisUnit;
    readonly from: number;
    readonly to: number;
  }[];
  readonly samples: number;
  readonly seed: number;
  readonly share: number;
  /** Wilson's score interval. */
  readonly interval: readonly [lowest: number, highest: number];
  readonly confidence: number;
  /** What stopped the samples out of reach, most frequent first. */
  readonly stops: readonly (Stop & { readonly samples: number })[];
  /** The box shrunk by this factor about the pose asked about had every sample in reach; null: that pose is not in the box. */
  readonly fits_at: number | null;
}

/** Two components of the pose as a map: what stops each place. */
export interface Plane {
  readonly axes: readonly [across: AxisName, up: AxisName];
  readonly units: readonly [AxisUnit, AxisUnit];
  /** Values of the components themselves at the first and last column, and at the lowest and highest row. */
  readonly across: readonly [from: number, to: number];
  readonly up: readonly [from: number, to: number];
  /** Rows from the lowest up, a letter for each place; '.' is in reach. */
  readonly rows: readonly string[];
  readonly letters: Readonly<Record<string, Stop>>;
  /** Edges of what is in reach, closed lines of [across, up], holes among them; to a few thousandths of a place. */
  readonly outlines: readonly (readonly (readonly [across: number, up: number])[])[];
}

/** One dimension of the rig, changed by a step. */
export interface Change {
  /** Key path in the rig file. */
  readonly path: string;
  /** In words: `crank`, `rod ends`. */
  readonly words: string;
  readonly unit: 'mm' | 'deg' | '%';
  readonly from: number;
  readonly to: number;
  readonly home_z_mm: number | null;
  /** Travel with it, from the same pose; null: the rig cannot stand there then. */
  readonly axes: readonly AxisTravel[] | null;
  /** Condition number there then; null: singular, or it cannot stand there. */
  readonly condition: number | null;
  /** What else speaks against it, or why it cannot be; null: nothing that was looked at. */
  readonly but: string | null;
}

/** How far a figure that is not known exactly moves the travel. */
export interface Unsure {
  readonly path: string;
  readonly within_percent: number;
  readonly axis: AxisName;
  readonly unit: AxisUnit;
  /** By how much the travel that it moves most may be off. */
  readonly by: number;
}

export interface ReachAnswer {
  /** The plate is held where travel begins and on every way, and the wanted box is all in reach. */
  readonly ok: boolean;
  readonly rig: string;
  readonly home_z_mm: number;
  /** The pose that travel is counted from. */
  readonly at: Readonly<Record<string, number>>;
  readonly axes: readonly FirmTravel[];
  /** Condition number of the Jacobian there, lengths over the plate's radius; null: singular. */
  readonly condition: number | null;
  /** Components of the motions that the plate is held against least. */
  readonly weakest: readonly AxisName[];
  /** A crank stands in line with its rod there, so that no finite rate of the legs moves the plate. */
  readonly in_line: boolean;
  /** Sentences; empty when the plate is held firmly wherever it goes. */
  readonly warnings: readonly string[];
  readonly box: BoxShare | null;
  readonly planes: readonly Plane[];
  readonly changes: readonly Change[] | null;
  readonly unsure: readonly Unsure[];
  readonly rests_on: readonly string[];
}
