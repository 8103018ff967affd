/**
 * What a replay answers. `Answer` is the JSON document of the command; `Traces` is what the report draws besides, kept in
 * fixed memory however long the stream. Units as the key names say; a joint of a linear platform has `_mm` for `_deg`.
 */
import type { Beyond } from '../physics/dynamics/beyond.ts';
import type { Pose } from '../rig/rig.ts';
import type { Proven } from './target.ts';

export interface Breach {
  readonly at_s: number;
  /** A joint's name, or 'path', 'link', 'guard'. */
  readonly where: string;
  readonly what: 'pulse' | 'soft_limit' | 'speed' | 'plus' | 'minus' | 'rod_end' | 'assembly' | 'tripped' | 'silence';
  /** One sentence with figures and units. */
  readonly message: string;
}

/** In the joint's own unit: keys end in `_deg`, or `_mm` for a linear leg. */
export interface JointAnswer {
  readonly name: string;
  readonly unit: 'deg' | 'mm';
  readonly min: number;
  readonly max: number;
  readonly peak_speed: number;
  readonly peak_plus: number;
  readonly peak_minus: number;
  /** Ticks on which a limit changed the motion. */
  readonly limit_ticks: number;
  readonly peak_error: number;
  readonly peak_error_at_s: number;
  /** How far it went beyond everything asked of it within 0.8 s before or after, or its braking time where that is longer. */
  readonly past: number;
  readonly past_at_s: number;
  /** What the metal does; null without the plant. */
  readonly metal: MetalJoint | null;
}

/** How far the rig's responses moved one column from what the stream asks. */
export interface MovedAnswer {
  /** As in a stream's header: `yaw_deg`, `nod_deg`. */
  readonly column: string;
  /** The furthest, mm or deg, and when. */
  readonly moved: number;
  readonly at_s: number;
}

/** When: seconds since the stream's first frame, null before it; and since power-up. */
export interface When {
  readonly at_s: number | null;
  readonly up_s: number;
}

/** What went wrong with the rig's responses. */
export interface ResponseFaults {
  /** How they failed: by more than their fuel, or by a trap; they are switched off then. Null: they did not. */
  readonly failed: ({ readonly cause: 'fuel' | 'trap' } & When) | null;
  /** How often they asked for what is no number, which is dropped, and when first. Null: never. */
  readonly dropped: ({ readonly count: number } & When) | null;
}

/** How often one column of the stream speeds up and slows down. */
export interface PeaksAnswer {
  /** As in a stream's header: `yaw_deg`, `nod_deg`. */
  readonly column: string;
  /** Speed peaks of the stream and of what came out: 20 ms steps, prominence 10 % of the stream's largest speed, 1 unit/s at least. */
  readonly asked: number;
  readonly delivered: number;
  /** Of those delivered, how many the stream does not have, even with a little less prominence. */
  readonly added: number;
}

export interface Spread {
  readonly p50: number;
  readonly p99: number;
  readonly max: number;
}

export interface Answer {
  readonly ok: boolean;
  readonly rig: string;
  readonly stream: string;
  readonly target: string;
  /** What the target is: words for the reader, `proven` says whether it was silicon. */
  readonly proven: Proven;
  readonly seconds: number;
  readonly ticks: number;
  readonly frames: number;
  /** Frames that the modelled or real link lost. */
  readonly lost: number;
  readonly late: number;
  readonly starved: number;
  /** Ticks on which the plate was not where it was asked to be for want of reach: out of it, or on its way back. */
  readonly unreachable: number;
  /** Share of the looks at which the asked pose, or what a joint is asked for, is out of reach; `stopped_by`: what stopped how many. */
  readonly out_of_reach: number;
  readonly stopped_by: readonly { readonly joint: string; readonly cause: string; readonly frames: number }[];
  /** Joints, but the legs, asked to go beyond their soft limits: the furthest of each, the furthest first. */
  readonly beyond: readonly Beyond[];
  /** From a frame's instant to the joints that show it: the playback delay, look_ahead_ms of it, and wobble_ms that the wobble cure takes. */
  readonly delay_ms: number;
  /** What the controller sees of what comes; the rest of the playback delay bears jitter. */
  readonly look_ahead_ms: number;
  readonly wobble_ms: number;
  readonly latency_ms: Spread;
  /** Duration of a tick; null where the target does not measure it. `clock` says on what it was measured. */
  readonly tick_us: (Spread & { readonly budget: number; readonly clock: string }) | null;
  readonly path: { readonly peak_mm: number; readonly peak_deg: number; readonly at_s: number };
  readonly tolerance: { readonly mm: number; readonly deg: number };
  readonly joints: readonly JointAnswer[];
  readonly speed_peaks: readonly PeaksAnswer[];
  readonly breaches: readonly Breach[];
  /** How many breaches there were in all; `breaches` lists the first hundred. */
  readonly breach_count: number;
  /**
   * Columns that the rig's responses moved, the furthest first; everything above is then measured against what they ask. Null: the
   * rig has none, or the target cannot tell, and what they change counts as away from the stream.
   */
  readonly responses: readonly MovedAnswer[] | null;
  /** Null: none, or it is not known as above. */
  readonly response_faults: ResponseFaults | null;
  /** What the metal does, when it was asked for; null: not asked for. */
  readonly metal: MetalAnswer | null;
}

/** The plant's part that is no single joint's. */
export interface MetalAnswer {
  /**
   * What fell, and when: `the plate`, when its legs no longer held it, or a joint by name, when its load took it past where its servo
   * turns. What the metal did is known until then. Null: nothing fell.
   */
  readonly falls: { readonly what: string; readonly at_s: number } | null;
  /**
   * Where the simulation came apart, so that nothing that it says of later can be trusted: what seems to fall does not at a finer
   * step. `look_at`: figures of the rig that no prop has, in words. Null: nowhere.
   */
  readonly unsure: { readonly what: string; readonly at_s: number; readonly look_at: readonly string[] } | null;
  /** Most current that all servos together take for the commanded motion, A; null: a figure is unknown. */
  readonly peak_a: number | null;
  /** Joints taken to follow exactly, by name, since a figure of theirs is unknown: they are never out of torque nor behind. */
  readonly taken_exact: readonly string[];
  /** What the figures take for granted, and what is left out of them. */
  readonly rests_on: readonly string[];
}

/** Errors in the joint's shown unit. */
export interface MetalJoint {
  /** When it fell, or the plate that it holds: the other figures are of the time before. Null: never. */
  readonly falls_at_s: number | null;
  /** Time at the servo line: it gives all it has and cannot follow. */
  readonly saturated_ms: number;
  /** Largest use that the commanded motion asks for; null: a servo's figures are unknown, or it is too fast for any torque. */
  readonly peak_use: number | null;
  /** How far the servo was behind its command at most. */
  readonly tracking_error: number;
  readonly tracking_error_at_s: number;
  /** The same without what its load hangs it at rest, which no limit changes. */
  readonly beyond_rest: number;
  /** Which way it then lacked effort: 1 in the direction of plus, -1 of minus. */
  readonly pushes: 1 | -1;
  /** How far it ran ahead of its command at most, beyond what its load hangs it at rest: what a falling load does. */
  readonly overrun: number;
  /** Swing left when the command has stood still for a while, to either side. */
  readonly wobble: number;
}

/** Torque over time at the joint's coordinate: what the commanded motion needs, and what the servo has at that speed. */
export interface TorqueTrace {
  readonly name: string;
  readonly unit: 'N·m' | 'N';
  readonly needed: EnvelopeData;
  readonly available: EnvelopeData;
  /** How far the metal is from its command, in the joint's shown unit: what its load hangs it, its lag, its wobble. */
  readonly off: EnvelopeData;
}

/** Lowest and highest value in each of at most some hundreds of equal time buckets; empty buckets hold NaN. */
export interface EnvelopeData {
  readonly bucket_s: number;
  readonly lo: Float64Array;
  readonly hi: Float64Array;
}

export interface JointTrace {
  readonly name: string;
  readonly unit: 'deg' | 'mm';
  /**
   * Limits in the shown unit: soft limits, speed, plus, minus (all positive but lo), and the speeds at which plus and minus have faded
   * to nothing (Infinity: they stay).
   */
  readonly limits: {
    readonly lo: number;
    readonly hi: number;
    readonly speed: number;
    readonly plus: number;
    readonly minus: number;
    readonly plus_gone: number;
    readonly minus_gone: number;
  };
  /** Shown unit; asked is NaN where the pose cannot be reached. */
  readonly asked: EnvelopeData;
  readonly delivered: EnvelopeData;
  readonly speed: EnvelopeData;
  readonly accel: EnvelopeData;
}

export interface Histogram {
  readonly unit: string;
  /** Edges: counts.length + 1. */
  readonly edges: readonly number[];
  readonly counts: readonly number[];
}

/** The prop at one instant, coordinates in the rig's own units (rad, mm). */
export interface Instant {
  readonly at_s: number;
  readonly asked_pose: Pose;
  readonly delivered_pose: Pose | null;
  /** By joint, in the rig's order; asked is null where out of reach or not commanded. */
  readonly asked: readonly (number | null)[];
  readonly delivered: readonly number[];
  /** What stops the asked pose, or null. */
  readonly stopped_by: { readonly joint: string; readonly cause: string } | null;
  /** The joint furthest from what was asked, in its shown unit, and how much of it lies past everything asked. */
  readonly worst_joint: {
    readonly name: string;
    readonly error: number;
    readonly past: number;
    readonly unit: 'deg' | 'mm';
  } | null;
}

export interface Traces {
  /** Pose components in mm and degrees, order of POSE_KEYS. */
  readonly pose: readonly { readonly key: string; readonly asked: EnvelopeData; readonly delivered: EnvelopeData }[];
  readonly joints: readonly JointTrace[];
  readonly latency: Histogram;
  readonly tick: Histogram | null;
  readonly worst: Instant;
  /** By joint, when the plant ran; else empty. */
  readonly torques: readonly TorqueTrace[];
}

export interface Replay {
  readonly answer: Answer;
  readonly traces: Traces;
}
