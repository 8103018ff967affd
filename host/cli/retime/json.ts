/** What retiming answers, as the JSON document of the command: every key with its unit. */
import type { ColumnPeaks, JointPeaks, Pace, RetimeAnswer, RetimedJoint, SoftenedJoint } from '../../retime/result.ts';
import { withUnit } from '../keys.ts';

const peaksJson = ({ speed, plus, minus, use }: JointPeaks, unit: 'mm' | 'deg'): Record<string, unknown> => ({
  ...withUnit(unit, { speed: ['speed', speed], plus: ['accel', plus], minus: ['accel', minus] }),
  use,
});

const jointJson = ({ name, unit, limits, before, after }: RetimedJoint): Record<string, unknown> => ({
  name,
  limits: peaksJson(limits, unit),
  before: peaksJson(before, unit),
  after: peaksJson(after, unit),
});

const smoothedJson = (smoothed: RetimeAnswer['smoothed']): Record<string, unknown> | null =>
  smoothed && {
    cutoff_hz: smoothed.cutoff_hz,
    residual_rms: Object.fromEntries(smoothed.residuals.map(({ name, unit, rms }) => [`${name}_${unit}`, rms])),
  };

const softenedJson = ({ unit, lost, of, ...softened }: SoftenedJoint): Record<string, unknown> => ({
  ...softened,
  ...withUnit(unit, { lost: ['position', lost], of: ['position', of] }),
});

/** Speed peaks by column. */
const peaksOf = (peaks: readonly ColumnPeaks[], key: 'before' | 'after'): Record<string, number> =>
  Object.fromEntries(peaks.map((column) => [column.name, column[key]]));

const paceJson = ({ kind, quickest_s, peaks, quickest_peaks }: Pace): Record<string, unknown> => ({
  pace: kind,
  quickest_s,
  peaks_before: peaksOf(peaks, 'before'),
  peaks_after: peaksOf(peaks, 'after'),
  quickest_peaks: peaksOf(quickest_peaks, 'after'),
});

export function retimeJson(
  { fitted, smoothed, pace, ...answer }: RetimeAnswer,
  output: string,
): Record<string, unknown> {
  const scaled = fitted.map(({ name, unit, scale, centre, moved }) => [
    name,
    { scale, ...withUnit(unit, { centre: ['position', centre], moved: ['position', moved] }) },
  ]);
  return {
    ...answer,
    ...paceJson(pace),
    output,
    smoothed: smoothedJson(smoothed),
    scaled: Object.fromEntries(scaled),
    softened: answer.softened.map(softenedJson),
    joints: answer.joints.map(jointJson),
  };
}
