/** What loading answers, as the JSON document of the command: every key with its unit. */
import type { JointAlong, JointLoad, LoadAnswer, PlaceAnswer } from '../../load/result.ts';
import { beyondJson, withUnit } from '../keys.ts';
import { poseRecord } from '../rig-summary.ts';

type Document = Record<string, unknown>;

const placeJson = ({ pose, joints }: PlaceAnswer): Document => ({
  ...(pose ? poseRecord(pose) : {}),
  ...Object.fromEntries(Object.entries(joints).map(([name, at]) => [`${name}_deg`, at])),
});

/** Largest effort, speed and share of one joint along the stream; `use` is null with `impossible` or where figures are unknown. */
function alongJson(along: JointAlong | null, unit: 'deg' | 'mm', effort: 'nm' | 'n'): Document {
  if (!along) return { [`peak_${effort}`]: null, peak_at_s: null, use: null, at_s: null };
  return {
    [`peak_${effort}`]: along.peak,
    peak_at_s: along.peak_at_s,
    ...withUnit(unit, { peak_speed: ['speed', along.peak_speed] }),
    use: along.use,
    impossible: along.impossible,
    at_s: along.at_s,
    [`there_${effort}`]: along.effort,
    ...withUnit(unit, { there: ['speed', along.speed] }),
    rms_use: along.rms_use,
    hot: along.hot,
    use_over_time: along.use_over_time,
  };
}

function jointJson({
  name,
  unit,
  hold,
  hold_use,
  worst,
  along,
  stall,
  needs,
  fastest,
  ...limits
}: JointLoad): Document {
  const effort = unit === 'deg' ? 'nm' : 'n';
  return {
    name,
    [`hold_${effort}`]: hold,
    hold_use,
    worst: { [`hold_${effort}`]: worst.effort, use: worst.use, loose: worst.loose, at: placeJson(worst.at) },
    ...alongJson(along, unit, effort),
    [`stall_${effort}`]: stall,
    [`needs_${effort}`]: needs,
    ...(fastest === null ? {} : withUnit(unit, { fastest: ['speed', fastest] })),
    continuous_use: limits.continuous_use,
    peak_use: limits.peak_use,
  };
}

/** How far it sags at rest; null: not known. */
function sagJson({ sag, joints }: LoadAnswer): Document {
  const by = joints.map(({ name, unit }, i) => [`${name}_${unit}`, sag.joints[i] ?? null]);
  return { plate: sag.plate && poseRecord(sag.plate), joints: Object.fromEntries(by), assumed: sag.assumed };
}

export function loadJson(whole: LoadAnswer): Document {
  const { at, joints, easiest, modes, ...answer } = whole;
  return {
    ...answer,
    at: placeJson(at),
    joints: joints.map(jointJson),
    sag: sagJson(whole),
    beyond: answer.beyond.map(beyondJson),
    easiest: easiest && { ...easiest, at: placeJson(easiest.at) },
    modes:
      modes && modes.map(({ hz, unstable, mostly }) => (unstable ? { hz: null, unstable, mostly } : { hz, mostly })),
  };
}
