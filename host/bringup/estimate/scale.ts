/**
 * A leg's centre pulse, scale and sense from readings of its angle (or length) at some pulses: the straight line of least squares, reading on
 * pulse, since pulses are exact. Confidence: NIST/SEMATECH e-Handbook of Statistical Methods, 4.1.4.1 and 4.5.2 (calibration), Student's t.
 */
import { type Joint, toDeg } from '../../rig/rig.ts';
import { t95 } from './quantiles.ts';

export interface Line {
  readonly slope: number;
  readonly slope_error: number;
  readonly intercept: number;
  readonly intercept_error: number;
  /** Standard deviation of a reading about the line. */
  readonly spread: number;
  readonly freedom: number;
  readonly mean_x: number;
  /** Sum of squares of x about its mean. */
  readonly sxx: number;
}

/** Null: fewer than three points, or all at one x. */
export function straightLine(x: readonly number[], y: readonly number[]): Line | null {
  const n = x.length;
  const mean = (of: readonly number[]): number => of.reduce((sum, value) => sum + value, 0) / n;
  const [mean_x, mean_y] = [mean(x), mean(y)];
  const sxx = x.reduce((sum, value) => sum + (value - mean_x) ** 2, 0);
  if (n < 3 || !(sxx > 0)) return null;
  const slope = x.reduce((sum, value, i) => sum + (value - mean_x) * (y[i]! - mean_y), 0) / sxx;
  const left = x.reduce((sum, value, i) => sum + (y[i]! - mean_y - slope * (value - mean_x)) ** 2, 0);
  const freedom = n - 2;
  const spread = Math.sqrt(left / freedom);
  return {
    slope,
    slope_error: spread / Math.sqrt(sxx),
    intercept: mean_y - slope * mean_x,
    intercept_error: spread * Math.sqrt(1 / n + mean_x ** 2 / sxx),
    spread,
    freedom,
    mean_x,
    sxx,
  };
}

export interface ScaleFound {
  readonly joint: string;
  readonly unit: 'deg' | 'mm';
  readonly readings: number;
  readonly centre_us: number;
  readonly centre_off_us: number;
  /** As the rig file has it: per degree at the servo, or per mm. */
  readonly us_per_unit: number;
  readonly us_per_unit_off: number;
  readonly sense: 1 | -1;
  /** Standard deviation of a reading about the line, deg or mm. */
  readonly spread: number;
}

/**
 * @param readings in deg or mm, as the table has them.
 * @returns null: fewer than three readings, or all at one pulse; 'flat': the leg does not follow its pulses clearly (95 %).
 */
export function scaleOf(
  joint: Joint,
  pulses_us: readonly number[],
  readings: readonly number[],
): ScaleFound | 'flat' | null {
  const line = straightLine(pulses_us, readings);
  if (!line) return null;
  const t = t95Of(line.freedom);
  if (!(Math.abs(line.slope) > t * line.slope_error)) return 'flat';
  const zero = joint.unit === 'deg' ? toDeg(joint.centre) : joint.centre;
  const centre_us = (zero - line.intercept) / line.slope;
  const error_us =
    (line.spread / Math.abs(line.slope)) * Math.sqrt(1 / readings.length + (centre_us - line.mean_x) ** 2 / line.sxx);
  const per = 1 / Math.abs(line.slope) / joint.gear_ratio;
  return {
    joint: joint.name,
    unit: joint.unit,
    readings: readings.length,
    centre_us,
    centre_off_us: t * error_us,
    us_per_unit: per,
    us_per_unit_off: (per * t * line.slope_error) / Math.abs(line.slope),
    sense: line.slope > 0 ? 1 : -1,
    spread: line.spread,
  };
}

/** With one and two degrees of freedom in closed form: tan(π·0.475), and (2p-1)·√(2/(1-(2p-1)²)). */
const t95Of = (freedom: number): number =>
  freedom === 1 ? Math.tan(Math.PI * 0.475) : freedom === 2 ? 0.95 * Math.sqrt(2 / (1 - 0.95 ** 2)) : t95(freedom);

/** The joint with what was found in its place. */
export function withScale(joint: Joint, found: ScaleFound): Joint {
  const per = found.us_per_unit * joint.gear_ratio;
  return {
    ...joint,
    centre_us: found.centre_us,
    sense: found.sense,
    us_per_unit: joint.unit === 'deg' ? toDeg(per) : per,
  };
}
