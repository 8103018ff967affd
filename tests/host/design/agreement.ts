/** What the evaluator says of designs against what the library's own functions say of the same rigs: for tests and the bench. */
import type { Design } from '../../../host/design/design.ts';
import type { Ask } from '../../../host/design/evaluate/ask.ts';
import { candidateRig } from '../../../host/design/evaluate/candidate-rig.ts';
import { Candidate, STANDS } from '../../../host/design/evaluate/candidate.ts';
import { Evaluation } from '../../../host/design/evaluate/evaluate.ts';
import { withMargins } from '../../../host/design/evaluate/margins.ts';
import type { Prepared } from '../../../host/design/evaluate/prepare.ts';
import { AT, FIGURES, stopOf } from '../../../host/design/figures.ts';
import { Demand } from '../../../host/load/demand.ts';
import { walkAlong } from '../../../host/load/along.ts';
import { firmnessAt } from '../../../host/physics/kinematics/firmness.ts';
import { inverse, whatStops } from '../../../host/physics/kinematics/inverse.ts';
import { poseAt, travelAlong } from '../../../host/physics/kinematics/travel.ts';
import { modesAt } from '../../../host/physics/vibration/modes.ts';
import { unitAlong } from '../../../host/reach/axes.ts';
import { HOME, type Pose, type Rig } from '../../../host/rig/rig.ts';
import type { StoredStream } from '../../../host/stream/stored.ts';

export interface Agreement {
  /** Travels compared, of them with another stop, largest difference (mm or rad), and those cut at a singular pose. */
  travels: number;
  otherStops: number;
  travel: number;
  cut: number;
  /** Holds compared; largest difference of efforts over the largest effort of the place, of legs and axes. */
  holds: number;
  hold: number;
  /** Largest difference of the lowest frequency at home, Hz (the library differentiates by small steps); how often only one of the two says unstable. */
  hz: number;
  otherStable: number;
  /** Along the stream: designs whose largest use is below 1 and all in reach; largest relative difference of use and current; other reach. */
  streams: number;
  use: number;
  current: number;
  otherReach: number;
}

const NOTHING: Agreement = {
  ...{ travels: 0, otherStops: 0, travel: 0, cut: 0, holds: 0, hold: 0, hz: 0, otherStable: 0 },
  ...{ streams: 0, use: 0, current: 0, otherReach: 0 },
};

/** @param stored the ask's stream, whole; null: not compared. */
export function agreementOf(
  ask: Ask,
  prepared: Prepared,
  designs: readonly Design[],
  stored: StoredStream | null,
): Agreement {
  const found = { ...NOTHING };
  const evaluation = new Evaluation(prepared);
  const candidate = new Candidate(prepared);
  const figures = new Float64Array(FIGURES);
  for (const design of designs) {
    evaluation.figures(design, figures);
    const rig = candidateRig(withMargins(ask), design);
    const stands = rig !== null && whatStops(rig, HOME) === null;
    if (stands !== (figures[AT.stands] === 1))
      throw new Error(`only one says that it stands: ${JSON.stringify(design)}`);
    if (!rig || !stands) continue;
    compareTravels(rig, figures, found);
    if (candidate.take(design) === STANDS) compareHolds(rig, prepared, candidate, found);
    compareFrequency(rig, figures, found);
    if (stored) compareStream(rig, stored, figures, found);
  }
  return found;
}

function compareTravels(rig: Rig, figures: Float64Array, found: Agreement): void {
  for (let k = 0; k < 12; k++) {
    const axis = (k >> 1) as 0;
    const sign = k & 1 ? 1 : -1;
    const travel = travelAlong(rig, HOME, axis, sign);
    const by = figures[AT.travel + k]!;
    const stop = stopOf(figures, k);
    found.travels++;
    if (stop?.cause === 'loose') {
      found.cut++;
      // On the near side the determinant has the sign of home, just behind it the other.
      const sides = [0, by * 0.999, by + Math.min(1e-3, (travel.by - by) / 2)].map(
        (at) => firmnessAt(rig.platform!, poseAt(HOME, unitAlong(axis, sign), at))?.side,
      );
      if (!(by < travel.by) || sides[0] !== sides[1] || sides[0] !== -(sides[2] ?? 0)) found.otherStops++;
      continue;
    }
    const same =
      stop === null
        ? travel.stop === null
        : travel.stop?.joint === `leg${stop.leg + 1}` && travel.stop.cause === stop.cause;
    if (!same) found.otherStops++;
    found.travel = Math.max(found.travel, Math.abs(travel.by - by));
  }
}

function compareHolds(rig: Rig, { stations, axisIndex, ask }: Prepared, candidate: Candidate, found: Agreement): void {
  const demand = new Demand(rig);
  const { instants, poses, carried } = stations;
  const { moment, legs, rods, bars, crew, height } = candidate;
  for (let n = 0; n < carried; n += 7) {
    const pose = [0, 1, 2, 3, 4, 5].map((k) => poses[6 * n + k]! * (k < 3 ? 1000 : 1)) as unknown as Pose;
    const there = inverse(rig.platform!, pose);
    const q = [...(there ?? []), ...ask.rig.joints.slice(6).map(({ home }) => home)];
    if (!there || !demand.hold({ q, pose })) continue;
    moment.place(instants, n, legs);
    moment.work(instants, n, height, legs, rods, bars, crew, false);
    const most = Math.max(...demand.effort.slice(0, 6).map(Math.abs));
    for (let i = 0; i < 6; i++) found.hold = Math.max(found.hold, Math.abs(moment.leg[i]! - demand.effort[i]!) / most);
    axisIndex.forEach((i, k) => {
      const held = demand.effort[i]!;
      found.hold = Math.max(found.hold, Math.abs(moment.axis[k]! - held) / Math.max(1e-3, Math.abs(held)));
    });
    found.holds++;
  }
}

function compareFrequency(rig: Rig, figures: Float64Array, found: Agreement): void {
  const modes = modesAt(rig, [...inverse(rig.platform!, HOME)!, ...rig.joints.slice(6).map(({ home }) => home)], HOME);
  const placed = (i: number): boolean => i < 6 || rig.joints[i]!.axis !== null;
  const lowest = modes?.modes.find(({ shape }) => shape.some((by, i) => placed(i) && Math.abs(by) > 1e-3));
  const hz = figures[AT.home_hz]!;
  if (!lowest) return;
  if (lowest.hz === null || hz < 0) found.otherStable += lowest.hz === null && hz < 0 ? 0 : 1;
  else found.hz = Math.max(found.hz, Math.abs(hz - lowest.hz));
}

function compareStream(rig: Rig, stored: StoredStream, figures: Float64Array, found: Agreement): void {
  const along = walkAlong(new Demand(rig), stored);
  const missed = along.out_of_reach > 0;
  if (missed !== figures[AT.stream_short]! > 0) found.otherReach++;
  if (missed) return;
  const use = Math.max(
    ...along.joints.slice(0, 6).map((joint) => (joint?.impossible ? Infinity : (joint?.use ?? NaN))),
  );
  if (!(use < 1)) return;
  found.streams++;
  found.use = Math.max(found.use, Math.abs(figures[AT.use]! / use - 1));
  if (along.current) found.current = Math.max(found.current, Math.abs(figures[AT.current]! / along.current.peak_a - 1));
}
