/** Everything about an ask that no design changes, worked out once: an evaluator makes figures of designs from it. */
import { type FarAsk, farAskOf } from './farthest.ts';
import { rpyMatrix } from '../../rig/rotation.ts';
import type { Ask } from './ask.ts';
import { Candidate } from './candidate.ts';
import { platformOf } from './candidate-rig.ts';
import type { Instants } from './instants.ts';
import { StandIns } from './instants.ts';
import { withMargins } from './margins.ts';
import { instantsAlong } from './motion.ts';
import { type Stations, stationsOf } from './stations.ts';
import { hardTicks } from './hard-ticks.ts';

export interface Prepared {
  /** With its margins spent. */
  readonly ask: Ask;
  readonly stations: Stations;
  /** Ticks of the stream at which candidates are hardest pressed, and others at which they come nearest to what stops them; null: no stream. */
  readonly ticks: Instants | null;
  readonly reached: Instants | null;
  /** Joints with an axis in space, in the order of the figures. */
  readonly axes: readonly string[];
  /** Joints with a free counterweight. */
  readonly weighted: readonly string[];
  /** Their places among the rig's joints. */
  readonly axisIndex: readonly number[];
  readonly far: FarAsk;
  /** The carrier's axes in the base's frame, a row each. */
  readonly ways: Float64Array;
}

/**
 * The rig has a platform, and servos whose torque and speed are known. Takes some 0.1 s, and half a second with a stream of 20 s.
 * Pure: the same ask makes the same figures to the last bit, in any worker.
 */
export function prepare(ask: Ask): Prepared {
  const spent = withMargins(ask);
  const { rig, samples, stream } = spent;
  const weighted = spent.counterweights;
  const stands = new StandIns(rig, weighted);
  const mount = rpyMatrix(platformOf(rig).mount.rpy_rad);
  const stations = stationsOf(spent, stands);
  const before: Prepared = {
    ask: spent,
    stations,
    far: farAskOf(ask, stations, stands.axes, mount),
    ticks: null,
    reached: null,
    axes: stands.axes.map((i) => rig.joints[i]!.name),
    weighted,
    axisIndex: stands.axes,
    ways: Float64Array.from(mount),
  };
  if (!stream) return before;
  const all = instantsAlong(stands, stream);
  const { hard, near } = hardTicks(all, new Candidate(before), samples);
  return { ...before, ticks: all.pick(hard, stands), reached: all.pick(near, stands) };
}
