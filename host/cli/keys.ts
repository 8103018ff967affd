/** JSON keys of a joint's figures: each carries its unit, which is degrees or, for a linear leg, mm. */
import type { Beyond } from '../physics/dynamics/beyond.ts';

type Rate = 'position' | 'speed' | 'accel';
const SUFFIX: Readonly<Record<Rate, string>> = { position: '', speed: '_s', accel: '_s2' };

/** `withUnit('deg', { peak_speed: ['speed', 12] })` is `{ peak_speed_deg_s: 12 }`. */
export const withUnit = (
  unit: 'deg' | 'mm',
  figures: Readonly<Record<string, readonly [Rate, number]>>,
): Record<string, number> =>
  Object.fromEntries(Object.entries(figures).map(([key, [rate, value]]) => [`${key}_${unit}${SUFFIX[rate]}`, value]));

/** A joint asked to go beyond its soft limits. */
export const beyondJson = ({ joint, unit, asked, limit, at_s }: Beyond): Record<string, unknown> => ({
  joint,
  ...withUnit(unit, { asked: ['position', asked], limit: ['position', limit] }),
  at_s,
});

/** For `withUnit`: the speeds at which plus and minus are gone, of those that fade. */
export const goneOf = (limits: {
  readonly plus_gone: number;
  readonly minus_gone: number;
}): Readonly<Record<string, readonly [Rate, number]>> => ({
  ...(Number.isFinite(limits.plus_gone) ? { plus_gone_at: ['speed', limits.plus_gone] as const } : {}),
  ...(Number.isFinite(limits.minus_gone) ? { minus_gone_at: ['speed', limits.minus_gone] as const } : {}),
});
