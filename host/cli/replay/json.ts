/** A replay's answer as the JSON document of the command: every key with its unit. */
import type { Answer, JointAnswer } from '../../replay/result.ts';
import { beyondJson, withUnit } from '../keys.ts';

const jointJson = (joint: JointAnswer): Record<string, unknown> => ({
  name: joint.name,
  ...withUnit(joint.unit, {
    min: ['position', joint.min],
    max: ['position', joint.max],
    peak_speed: ['speed', joint.peak_speed],
    peak_plus: ['accel', joint.peak_plus],
    peak_minus: ['accel', joint.peak_minus],
    peak_error: ['position', joint.peak_error],
    past: ['position', joint.past],
  }),
  peak_error_at_s: joint.peak_error_at_s,
  past_at_s: joint.past_at_s,
  limit_ticks: joint.limit_ticks,
  saturated_ms: joint.metal?.saturated_ms ?? null,
  ...(joint.metal && {
    peak_use: joint.metal.peak_use,
    ...withUnit(joint.unit, {
      tracking_error: ['position', joint.metal.tracking_error],
      overrun: ['position', joint.metal.overrun],
      wobble: ['position', joint.metal.wobble],
    }),
    falls_at_s: joint.metal.falls_at_s,
    tracking_error_at_s: joint.metal.tracking_error_at_s,
  }),
});

export const answerJson = (answer: Answer): Record<string, unknown> => ({
  ...answer,
  joints: answer.joints.map(jointJson),
  beyond: answer.beyond.map(beyondJson),
});
