/** What `wiring` answers. Currents in A, voltages in V, lengths in m, cross-sections in mm². null: cannot be told; `unknown` says why. */
import type { Link } from '../rig/links.ts';

/** A length of wire, there and back, behind its fuse. */
export interface Run {
  /** Cable label. */
  readonly label: string;
  readonly length_m: number;
  readonly stalled_a: number | null;
  /** At most while it moves: peak_use of the stalled current; with a stream, what the stream asks where that is more. */
  readonly moving_a: number | null;
  readonly fuse_a: number | null;
  readonly mm2: number | null;
  readonly bears_a: number | null;
  /** Stalled. */
  readonly drop_v: number | null;
}

export interface ServoRun extends Run {
  readonly joint: string;
  readonly servo: string;
  /** As the rig file numbers it, and as the board names it. */
  readonly pin: number;
  readonly pin_name: string;
}

/** What a falling load gives back at most. */
export interface FedBack {
  /** Sum over the joints of torque to hold at the hardest place · the joint's speed limit; null: no joint's is known. */
  readonly power_w: number | null;
  /** To what the supply rises in `for_s` when nothing but the capacitor takes it; null: a figure is missing. */
  readonly rises_to_v: number | null;
  readonly for_s: number;
  /** Joints that are not counted: what they hold is not known, or has no bound. */
  readonly unknown: readonly string[];
}

export interface Item {
  readonly name: string;
  readonly count: number;
  readonly size: string;
}

/** A line of the night. */
export interface NightLine {
  readonly what: string;
  /** As the rig file numbers it, and as the board names it. */
  readonly pin: number;
  readonly pin_name: string;
  readonly goes_to: string;
  readonly is: 'output' | 'input' | 'analog';
}

export interface WiringAnswer {
  /** Every wire and fuse could be chosen, and fits the supply. */
  readonly ok: boolean;
  readonly rig: string;
  readonly board: string;
  readonly link: Link;
  readonly supply: {
    readonly kind: 'mains' | 'battery';
    readonly voltage_v: number | null;
    readonly gives_a: number | null;
  };
  readonly trunk: Run;
  /** Of the supply's voltage, that trunk and servo cable may lose together with everything stalled. */
  readonly drop_share: number;
  readonly servos: readonly ServoRun[];
  readonly stop: { readonly pin: number; readonly pin_name: string; readonly category: 0 | 1 | 2 } | null;
  readonly power: { readonly pin: number; readonly pin_name: string } | null;
  /** Divider that measures the supply; null: none. */
  readonly measure: { readonly pin_name: string; readonly upper_kohm: number; readonly lower_kohm: number } | null;
  /** Empty without a night. */
  readonly night: readonly NightLine[];
  readonly capacitor: { readonly uf: number; readonly volts: number | null };
  readonly fed_back: FedBack;
  readonly parts: readonly Item[];
  /** What does not fit. Sentences without a stop, as are all below. */
  readonly troubles: readonly string[];
  readonly unknown: readonly string[];
  readonly notes: readonly string[];
  readonly cautions: readonly string[];
  readonly checklist: readonly string[];
}
