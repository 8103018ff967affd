/**
 * Joints that carry nothing (lids, beak, ears) never slow the head: each that asks for too much is softened by itself, before the
 * stream is retimed. Stroke by stroke where there is stillness to take time from, else the nearest curve within limits.
 */
import { toShown } from '../../rig/rig.ts';
import type { StoredStream } from '../../stream/stored.ts';
import type { Loads } from '../loads.ts';
import type { RigMotion } from '../motion.ts';
import type { SoftenedJoint } from '../result.ts';
import { ByNearest } from './by-nearest.ts';
import { ByStrokes, type Softened } from './by-strokes.ts';
import { type Clock, clockOf, sampled } from './clock.ts';
import { Curve } from './curve.ts';
import { type Change, withFrames } from './frames.ts';
import { type Asked, Judge } from './judge.ts';
import { type Lone, loneJoints } from './lone.ts';
import { type Range, joined } from './ranges.ts';
import { type Stroke, strokesOf } from './stroke.ts';

/** The stream with softened joints, and what became of each; a stream that asks for nothing too much is itself. */
export interface Softening {
  readonly stream: StoredStream;
  readonly softened: readonly SoftenedJoint[];
}

/** A turn of the joint is looked for so far from where it was, s. */
const TURNS_WITHIN_S = 0.06;

export function softenLone(motion: RigMotion, loads: Loads, stream: StoredStream): Softening {
  const lone = loneJoints(motion.rig).filter(({ place }) => stream.count > 2 && !Number.isNaN(stream.row(0)[place]!));
  if (lone.length === 0) return { stream, softened: [] };
  const clock = clockOf(motion.rig, stream);
  const columns = sampled(
    stream,
    lone.map(({ place }) => place),
    clock,
  );
  const changes: Change[] = [];
  const softened: SoftenedJoint[] = [];
  for (const [k, joint] of lone.entries()) {
    const curve = new Curve(columns[k]!, clock);
    const told = softenOne(joint, curve, new Judge(joint, clock, motion, loads, stream));
    if (told.length === 0) continue;
    changes.push({ place: joint.place, curve });
    softened.push(...told);
  }
  if (changes.length === 0) return { stream, softened };
  return { stream: withFrames(stream, clock, changes, changedFrames(changes, clock)), softened };
}

/** Changes the curve; what was done in words' figures: nothing, one way or both. */
function softenOne(lone: Lone, curve: Curve, judge: Judge): SoftenedJoint[] {
  const all = (): Asked[] => judge.atTicks(curve.now, 0, curve.clock.count - 1);
  const found = all();
  if (found.length === 0) return [];
  const strokes = new ByStrokes(lone, curve, judge).soften(found);
  const left = strokes.length > 0 ? all() : found;
  const spans = left.length > 0 ? new ByNearest(lone, curve, judge).soften(left) : [];
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
