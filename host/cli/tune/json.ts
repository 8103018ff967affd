/** What tuning answers, as the JSON document of the command: every key with its unit. */
import type { Figures, Seen, TuneAnswer, TunedJoint } from '../../tune/result.ts';
import type { WobbleCure } from '../../tune/wobble.ts';
import { goneOf, withUnit } from '../keys.ts';

type Unit = TunedJoint['unit'];

/** A limit that does not fade has no speed at which it is gone: no key. */
const figuresJson = (figures: Figures, unit: Unit): Record<string, number> =>
  withUnit(unit, {
    speed: ['speed', figures.speed],
    plus: ['accel', figures.plus],
    minus: ['accel', figures.minus],
    ...goneOf(figures),
  });

const seenJson = (seen: Seen | null, unit: Unit): Record<string, unknown> | null =>
  seen && {
    saturated_ms: seen.saturated_ms,
    ...withUnit(unit, { peak_error: ['position', seen.peak_error] }),
    falls: seen.falls,
  };

const jointJson = (joint: TunedJoint): Record<string, unknown> => {
  const { name, path, unit, outcome, file, limits, could, full_range_s, bound_by, before, after } = joint;
  return {
    name,
    ...figuresJson(limits, unit),
    bound_by,
    before: seenJson(before, unit),
    after: seenJson(after, unit),
    path,
    outcome,
    file: figuresJson(file, unit),
    could: could && figuresJson(could, unit),
    full_range_s,
  };
};

export const tuneJson = (
  answer: TuneAnswer,
  wobble: WobbleCure | null,
  output: string | null,
): Record<string, unknown> => ({
  ...answer,
  wobble,
  output,
  joints: answer.joints.map(jointJson),
  margins: answer.margins?.alone ?? null,
  margins_together: answer.margins?.together ?? null,
  late: answer.late.map(({ name, unit, before, after, past_before, past_after, carries_nothing }) => ({
    name,
    ...withUnit(unit, {
      before: ['position', before],
      after: ['position', after],
      past_before: ['position', past_before],
      past_after: ['position', past_after],
    }),
    carries_nothing,
  })),
});
