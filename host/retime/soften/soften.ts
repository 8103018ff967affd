/**
 * Joints that carry nothing (lids, beak, ears) never slow the head: each that asks for too much is softened by itself, before the
 * stream is retimed. Stroke by stroke where there is stillness to take time from, else the nearest curve within limits.
 */
import { toShown } from '../../rig/rig.ts';
import { rotorAt } from '../../rig/rotor.ts';
import type { StoredStream } from '../../stream/stored.ts';
import type { Loads } from '../loads.ts';
import type { RigMotion } from '../motion.ts';
import type { SoftenedJoint } from '../result.ts';
import { MOST_SLOWER } from '../too-slow.ts';
import { ByNearest } from './by-nearest.ts';
import { ByStrokes, type Softened } from './by-strokes.ts';
import { type Clock, clockOf, sampled } from './clock.ts';
import { Curve } from './curve.ts';
import { type Change, withFrames } from './frames.ts';
import { type Asked, Judge } from './judge.ts';
import { type Lone, loneJoints, movesOther } from './lone.ts';
import { type Range, joined } from './ranges.ts';
import { type Stroke, strokesOf } from './stroke.ts';
import { withValues } from './values.ts';

/** The stream with softened joints, and what became of each; a stream that asks for nothing too much is itself. */
export interface Softening {
  readonly stream: StoredStream;
  readonly softened: readonly SoftenedJoint[];
}

/** A turn of the joint is looked for so far from where it was, s. */
const TURNS_WITHIN_S = 0.06;
/** Without new frames, shares of the limits that are tried (ours). */
const SHARES = [1, 0.95, 0.9, 0.8, 0.65];

/**
 * A servo that would need so many times its torque for the joint's own acceleration alone: within its torque it would be slower than
 * retiming goes (torque falls with the square of the time), and looking for its curve takes minutes. It is left to retiming, which has
 * an end and words.
 */
function isHopeless({ joint }: Lone): boolean {
  const { servo, plus, minus, gear_ratio } = joint;
  return servo.stall !== null && rotorAt(joint) * Math.min(plus, minus) > MOST_SLOWER ** 2 * servo.stall * gear_ratio;
}

/** Softens them all; on the stream's own frames where these lie as close as new ones would. */
export function softenLone(motion: RigMotion, loads: Loads, stream: StoredStream): Softening {
  const work = new Work(motion, loads, stream);
  return (work.isDense ? work.inPlace() : null) ?? work.onNewFrames();
}

/**
 * The same without new frames: what carries something stays to the last bit.
 * @returns null: with these frames the joints cannot keep their limits.
 */
export const softenInPlace = (motion: RigMotion, loads: Loads, stream: StoredStream): Softening | null =>
  new Work(motion, loads, stream).inPlace();

class Work {
  private readonly motion: RigMotion;
  private readonly loads: Loads;
  private readonly stream: StoredStream;
  private readonly lone: readonly Lone[];
  private readonly clock: Clock;
  private readonly mayLose: boolean;

  constructor(motion: RigMotion, loads: Loads, stream: StoredStream) {
    this.motion = motion;
    this.loads = loads;
    this.stream = stream;
    this.lone = loneJoints(motion.rig).filter(({ place }) => stream.count > 2 && !Number.isNaN(stream.row(0)[place]!));
    this.clock = clockOf(motion.rig, stream);
    this.mayLose = movesOther(stream, this.lone);
  }

  /** Whether half of the stream's frames at least are no further apart than new ones would be. */
  get isDense(): boolean {
    const { perFrame, step_s } = this.clock;
    const frame_s = perFrame * step_s * 1.001;
    let close = 0;
    for (let f = 0; f + 1 < this.stream.count; f++)
      if (this.stream.time(f + 1) - this.stream.time(f) <= frame_s) close += 1;
    return 2 * close >= this.stream.count - 1;
  }

  onNewFrames(): Softening {
    const { changes, softened } = this.soften(1);
    if (changes.length === 0) return { stream: this.stream, softened };
    return { stream: withFrames(this.stream, this.clock, changes, changedFrames(changes, this.clock)), softened };
  }

  inPlace(): Softening | null {
    for (const share of SHARES) {
      const { changes, softened } = this.soften(share);
      const stream = changes.length === 0 ? this.stream : withValues(this.stream, this.clock, changes);
      if (this.isWithin(stream)) return { stream, softened };
    }
    return null;
  }

  /** @param share of their limits that softened joints keep to. */
  private soften(share: number): { readonly changes: Change[]; readonly softened: SoftenedJoint[] } {
    const { lone, clock, motion, loads, stream } = this;
    const changes: Change[] = [];
    const softened: SoftenedJoint[] = [];
    for (const [k, column] of this.columns(stream).entries()) {
      const joint = lone[k]!;
      const curve = new Curve(column, clock);
      const told = softenOne(joint, curve, new Judge(joint, clock, motion, loads, stream, share), this.mayLose);
      if (told.length === 0) continue;
      changes.push({ place: joint.place, curve });
      softened.push(...told);
    }
    return { changes, softened };
  }

  private isWithin(stream: StoredStream): boolean {
    const { lone, clock, motion, loads } = this;
    return this.columns(stream).every(
      (column, k) => new Judge(lone[k]!, clock, motion, loads, stream).atTicks(column, 0, clock.count - 1).length === 0,
    );
  }

  private columns(stream: StoredStream): Float64Array[] {
    const places = this.lone.map(({ place }) => place);
    return places.length > 0 ? sampled(stream, places, this.clock) : [];
  }
}

/** Changes the curve; what was done in words' figures: nothing, one way or both. */
function softenOne(lone: Lone, curve: Curve, judge: Judge, mayLose: boolean): SoftenedJoint[] {
  const all = (): Asked[] => judge.atTicks(curve.now, 0, curve.clock.count - 1);
  const found = all();
  if (found.length === 0 || isHopeless(lone)) return [];
  const strokes = new ByStrokes(lone, curve, judge).soften(found);
  const left = strokes.length > 0 ? all() : found;
  const spans = left.length > 0 ? new ByNearest(lone, curve, judge).soften(left, mayLose) : [];
  return [
    ...(strokes.some(({ isLonger }) => isLonger) ? [strokesTold(lone, curve.clock, strokes)] : []),
    ...(spans.length > 0 ? [nearestTold(lone, curve, spans)] : []),
  ];
}

function strokesTold({ joint }: Lone, { start_s }: Clock, strokes: readonly Softened[]): SoftenedJoint {
  const [most] = [...strokes].sort((a, b) => b.moved_s - a.moved_s);
  const { stroke, moved_s } = most!;
  const count = strokes.filter(({ isLonger }) => isLonger).length;
  const at_s = start_s + stroke.middle_s;
  const told = { name: joint.name, unit: joint.unit, way: 'strokes', strokes: count, moved_s, at_s } as const;
  return { ...told, lost: 0, of: toShown(joint, stroke.way) };
}

/** Of the strokes in these spans the one that loses most. */
function nearestTold(lone: Lone, curve: Curve, spans: readonly Range[]): SoftenedJoint {
  const { joint } = lone;
  const { clock } = curve;
  const inside = strokesOf(curve.was, lone, clock).filter(({ from, to }) =>
    spans.some((span) => span.from * clock.perFrame < to && span.to * clock.perFrame > from),
  );
  const lost = inside.map((stroke) => ({ stroke, lost: lostOf(stroke, curve) })).sort((a, b) => b.lost - a.lost);
  const [most] = lost;
  const told = { name: joint.name, unit: joint.unit, way: 'nearest', strokes: inside.length, moved_s: 0 } as const;
  const first_s = spans[0]!.from * clock.perFrame * clock.step_s;
  const at_s = clock.start_s + (most?.stroke.middle_s ?? first_s);
  return { ...told, lost: toShown(joint, most?.lost ?? 0), of: toShown(joint, most?.stroke.way ?? 0), at_s };
}

/** How much shorter a stroke's way has become: from the turn before it to the turn after it. */
function lostOf({ from, to, sign, way }: Stroke, { now, clock }: Curve): number {
  const near = Math.round(TURNS_WITHIN_S / clock.step_s);
  const turn = (at: number, side: 1 | -1): number =>
    side * now.subarray(Math.max(0, at - near), at + near + 1).reduce((most, x) => Math.max(most, side * x), -Infinity);
  const left = sign * (turn(to, sign) - turn(from, sign === 1 ? -1 : 1));
  return Math.max(0, way - left);
}

/** New frames that are not where the stream had them. */
function changedFrames(changes: readonly Change[], { perFrame, lastFrame }: Clock): Range[] {
  const ranges: Range[] = [];
  for (const { curve } of changes)
    for (let f = 0; f <= lastFrame; f++)
      if (curve.now[f * perFrame] !== curve.was[f * perFrame]) ranges.push({ from: f, to: f });
  return joined(ranges, 4);
}
