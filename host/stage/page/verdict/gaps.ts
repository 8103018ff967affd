/**
 * Where what comes out is not what was asked, and why, for the time line: stretches with a cause, the joint that it is the fault of,
 * and a sentence.
 */
import { percent } from '../../../load/words.ts';
import { isBeyond, withinLimits } from '../../../physics/dynamics/beyond.ts';
import { pastWindow_s } from '../../../replay/past-measure.ts';
import { VISIBLE, causeWords } from '../../../replay/verdict.ts';
import { effortOf } from '../../../replay/words.ts';
import { type Joint, type Rig, toShown } from '../../../rig/rig.ts';
import { FRAME_HZ } from '../../take/take.ts';
import type { Trace } from './trace.ts';

export type GapCause = 'reach' | 'limit' | 'torque';

export interface Gap {
  readonly from_s: number;
  readonly to_s: number;
  readonly cause: GapCause;
  /** By name. */
  readonly joint: string;
  /** Behind what is asked of it, or past everything asked about then; null: neither shows. */
  readonly way: 'behind' | 'past' | null;
  /** One sentence without its stop. */
  readonly words: string;
}

/** Of one frame. */
interface Found {
  readonly cause: GapCause;
  readonly joint: number;
  /** What stops it, as `causeWords` takes it; '': nothing does. */
  readonly stop: string;
}

/** Frames without a cause that part no gap: a quarter of a second (ours). */
const BRIDGED = 12;

export function gapsOf(rig: Rig, trace: Trace): Gap[] {
  const runs: { found: Found; from: number; to: number }[] = [];
  const open = new Map<string, (typeof runs)[number]>();
  for (let f = 0; f < trace.played; f++)
    for (const found of causesAt(rig, trace, f)) {
      const key = `${found.cause} ${String(found.joint)} ${found.stop}`;
      const run = open.get(key);
      if (run && f - run.to <= BRIDGED) run.to = f;
      else {
        const begun = { found, from: f, to: f };
        open.set(key, begun);
        runs.push(begun);
      }
    }
  // A servo out of torque is held back by nothing else.
  const torque = runs.filter(({ found }) => found.cause === 'torque');
  const isNear = (run: (typeof runs)[number]): boolean =>
    torque.some(
      (one) => one.found.joint === run.found.joint && run.from <= one.to + BRIDGED && run.to >= one.from - BRIDGED,
    );
  return runs
    .filter((run) => run.found.cause !== 'limit' || !isNear(run))
    .map(({ found, from, to }) => gapOf(rig, trace, found, from, to));
}

/** At a frame: what is out of reach, then who lacks torque, then whose limits hold it back by more than is seen. */
function causesAt(rig: Rig, trace: Trace, f: number): Found[] {
  const { joint, joints: n } = trace;
  const stop = trace.stops[trace.frame.stop[f]! - 1];
  const found: Found[] = [];
  if (stop)
    found.push({ cause: 'reach', joint: rig.joints.findIndex(({ name }) => name === stop.joint), stop: stop.cause });
  rig.joints.forEach((one, i) => {
    const at = f * n + i;
    const asked = joint.askedJoints[at]!;
    if (one.kind !== 'leg' && isBeyond(one, asked)) found.push({ cause: 'reach', joint: i, stop: 'limit' });
    else if (joint.saturated_ms[at]! > 0 || joint.use[at]! > 1) found.push({ cause: 'torque', joint: i, stop: '' });
    else if (joint.held[at]! > 0 && toShown(one, Math.abs(asked - joint.position[at]!)) > VISIBLE)
      found.push({ cause: 'limit', joint: i, stop: '' });
  });
  return found;
}

function gapOf(rig: Rig, trace: Trace, { cause, joint: i, stop }: Found, from: number, to: number): Gap {
  const joint = rig.joints[i]!;
  const [from_s, to_s] = [trace.t_s[from]!, trace.t_s[to]! + 1 / FRAME_HZ];
  const { off, past } = offBy(joint, trace, i, [from, to], cause === 'torque' ? 'metal' : 'position');
  const shown = (value: number): string => `${value.toFixed(1)} ${joint.unit}`;
  const way = past > Math.max(VISIBLE, off / 2) ? 'past' : off > VISIBLE ? 'behind' : null;
  const far =
    way === null ? '' : way === 'past' ? `, ${shown(past)} past everything asked of it` : `, ${shown(off)} behind`;
  const times = `from ${from_s.toFixed(1)} s to ${to_s.toFixed(1)} s`;
  const words = {
    reach: `${joint.name}: ${causeWords(stop)} ${times}`,
    torque: `${joint.name}: out of ${effortOf([joint])} ${times}${shortWords(trace, i, from, to)}${far}`,
    limit: `${joint.name}: held back by its limits ${times}${far}`,
  }[cause];
  return { from_s, to_s, cause, joint: joint.name, way, words };
}

/** How much more than it has is asked of a servo. */
function shortWords({ joint, joints: n }: Trace, i: number, from: number, to: number): string {
  let most = 0;
  for (let f = from; f <= to; f++) most = Math.max(most, joint.use[f * n + i]! || 0);
  if (most === Infinity) return ', faster than its servo can go';
  return most > 1 ? `, ${percent(most - 1)} short` : '';
}

/** How far the joint, as commanded or as its metal is, lies from what is asked, and how far beyond all that is asked about then; shown units. */
function offBy(
  joint: Joint,
  trace: Trace,
  i: number,
  [from, to]: readonly [number, number],
  by: 'metal' | 'position',
): { off: number; past: number } {
  const { joint: columns, joints: n, count } = trace;
  const window = Math.ceil(pastWindow_s(joint) * FRAME_HZ);
  let [off, past, low, high] = [0, 0, Infinity, -Infinity];
  for (let f = Math.max(0, from - window); f <= Math.min(count - 1, to + window); f++) {
    const asked = columns.askedJoints[f * n + i]!;
    if (asked < low) low = asked;
    if (asked > high) high = asked;
  }
  for (let f = from; f <= to; f++) {
    const at = f * n + i;
    const asked = withinLimits(joint, columns.askedJoints[at]!);
    const delivered = columns.position[at]!;
    off = Math.max(off, Math.abs(asked - columns[by][at]!) || 0);
    past = Math.max(past, delivered - high, low - delivered);
  }
  return { off: toShown(joint, off), past: toShown(joint, past) };
}
