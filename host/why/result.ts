/** What `why` answers: the four questions of a maker, and for a symptom the causes that this rig can have, likeliest first. */
import type { Told } from '../replay/verdict.ts';

export interface WhyAnswer {
  readonly question: string;
  readonly verdict: Told;
  /** A sentence or two with figures. */
  readonly because: string;
}

export const SYMPTOMS = ['jerk', 'wobble', 'buzz', 'slap', 'short', 'hot', 'twitch'] as const;
export type Symptom = (typeof SYMPTOMS)[number];

export type CauseName =
  | 'torque_saturated'
  | 'beyond_limits'
  | 'falling_load'
  | 'play_crossing_balance'
  | 'coarse_stream'
  | 'shaking_stream'
  | 'supply_sag'
  | 'dead_band_hunting'
  | 'binding'
  | 'reach_or_rod_ends'
  | 'mode_excited'
  | 'holding_heat';

/** What the plant does at the joint in question; errors in the joint's shown unit. */
export interface Trial {
  readonly saturated_ms: number;
  readonly tracking_error: number;
  /** Swing left when its command has stood still for a while, to either side. */
  readonly wobble: number;
  /** When it fell, or the plate that it holds: the others are of the time before. */
  readonly falls_at_s: number | null;
  readonly unit: 'deg' | 'mm';
}

export interface Cause {
  readonly cause: CauseName;
  /** As a maker would call it. */
  readonly title: string;
  readonly likely: 'likely' | 'possible' | 'unlikely';
  readonly because: string;
  /** One thing to do at the prop that tells this cause from the others. */
  readonly test: string;
  readonly cure: string;
  readonly cost: string;
  /** The plant, before and after the cure; null: the plant does not know this cause. */
  readonly before: Trial | null;
  readonly after: Trial | null;
  /** What the metal of this trial was assumed to be beyond what it always is, in words; null: nothing. */
  readonly assumed: string | null;
}

export interface Why {
  readonly answers: readonly WhyAnswer[];
  readonly symptom: Symptom | null;
  readonly causes: readonly Cause[];
  readonly rests_on: readonly string[];
  /** Which figure, if it were measured, would move the answers most, in words without a stop; null: none does. */
  readonly measure_first: string | null;
}
