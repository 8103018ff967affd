/** Between the page and the worker that judges takes. */
import type { JointLoad } from '../../../load/result.ts';
import type { Take } from '../../take/take.ts';
import type { WhyAnswer } from '../../../why/result.ts';
import type { Fix, Fixed } from './fixes.ts';
import type { Gap } from './gaps.ts';

/** What the Workshop asks for. */
export type Task = 'why' | 'tune';

export type ToVerdict =
  | { readonly do: 'start'; readonly rig: string; readonly wasm: ArrayBuffer }
  /** Judges a take; one that is being judged is given up. */
  | { readonly do: 'judge'; readonly number: number; readonly take: Take }
  | { readonly do: 'fix'; readonly number: number; readonly take: Take; readonly fix: Fix }
  | { readonly do: 'work'; readonly number: number; readonly take: Take; readonly task: Task };

/** A take's trace as the page draws it, by frame of 20 ms; see trace.ts. Positions in mm and rad. */
export interface TakeTrace {
  /** Frames, and joints of the rig. */
  readonly count: number;
  readonly joints: number;
  /** Of the take, s. */
  readonly t_s: Float64Array;
  /** Rows as a stream has them: pose, then the joints but the legs. */
  readonly rows: number;
  readonly asked: Float32Array;
  readonly delivered: Float32Array;
  /** The same rows by the metal. */
  readonly metal: Float32Array;
  /** By joint of the rig: share of its torque; NaN unknown, Infinity too fast. */
  readonly use: Float32Array;
}

export interface Verdict {
  readonly trace: TakeTrace;
  readonly gaps: readonly Gap[];
  readonly answers: readonly WhyAnswer[];
  readonly joints: readonly JointLoad[];
  /** Frames judged anew. */
  readonly anew: number;
}

export type FromVerdict =
  | { readonly said: 'ready' }
  | ({ readonly said: 'verdict'; readonly number: number } & Verdict)
  | { readonly said: 'fixed'; readonly number: number; readonly fixed: Fixed }
  | { readonly said: 'worked'; readonly number: number; readonly task: Task; readonly html: string }
  | { readonly said: 'progress'; readonly number: number; readonly share: number }
  /** What it is about now, in words. */
  | { readonly said: 'doing'; readonly number: number; readonly words: string }
  | { readonly said: 'fault'; readonly number: number; readonly words: string };
