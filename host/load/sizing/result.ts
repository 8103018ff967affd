/** Which servo would do for each joint, and what would make a smaller one do. JSON keys and units are the command's (host/cli/servo). */
import type { Servo, Vec3 } from '../../rig/rig.ts';
import type { Judged } from './judge.ts';
import type { Slower } from './slower.ts';

/** A servo class that may be taken, N·m and rad/s or N and mm/s; price in whatever money the file counts; null: not given. */
export interface Offer {
  readonly servo: Servo;
  readonly price: number | null;
}

export interface ClassVerdict extends Judged {
  readonly offer: Offer;
  /** The joint it is worst for: one of the six where legs share a class. */
  readonly worst: string;
}

/** What makes a class do that alone does not, each found by search and then worked out anew with it in the rig. */
export type Remedy = { readonly offer: Offer; readonly judged: Judged } & (
  | { readonly kind: 'gear'; readonly ratio: number; readonly before: number }
  | {
      readonly kind: 'counterweight';
      readonly kg: number;
      readonly arm_mm: number;
      /** In its carrier's frame with the joint at 0; null: the joint has no place, it is opposite its load. */
      readonly at_mm: Vec3 | null;
    }
  | {
      readonly kind: 'spring';
      /** About the axis. */
      readonly nm_per_deg: number;
      /** Where it gives nothing. */
      readonly free_deg: number;
    }
);

/** The gear that comes nearest where none does. */
export interface NearestGear {
  readonly ratio: number;
  readonly judged: Judged;
}

/** The joints that share a class: the six legs, or one joint. */
export interface Group {
  readonly name: string;
  readonly joints: readonly string[];
  readonly unit: 'deg' | 'mm';
  /** Name of the class that it has. */
  readonly now: string;
  /** What it holds is known. */
  readonly weighed: boolean;
  /** The plate comes to hang loose within the legs' soft limits: the hardest place is not counted. */
  readonly loose: boolean;
  /** As the rig and the file list them, those of the right drive. */
  readonly classes: readonly ClassVerdict[];
  /** The least that does: cheapest, or where a price is missing of least stall torque; null: none, or not known. */
  readonly least: ClassVerdict | null;
  /** Stall effort, at the servo, of one as quick without load that would do; null: this one does, none would, or not known. */
  readonly needs: number | null;
  readonly or: readonly Remedy[];
  /** Where its own class is not enough and no remedy was found for it alone; null: else, and of legs. */
  readonly none_alone: { readonly gear: NearestGear | null } | null;
  /** Where its own class is not enough for the stream: whether it would be for a slower one; null: else, or not looked at. */
  readonly slower: Slower | null;
}

export interface SizingAnswer {
  /** No joint is without a class that would do; what is not known is left open. */
  readonly ok: boolean;
  readonly rig: string;
  readonly stream: string | null;
  readonly groups: readonly Group[];
  /** Classes that fit no joint, since all are driven the other way. */
  readonly misfits: readonly Offer[];
  readonly out_of_reach: number | null;
  /** What of it weighs and is not known, in words. */
  readonly unweighed: readonly string[];
}
