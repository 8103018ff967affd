/** JSON keys of a joint's figures: each carries its unit, which is degrees or, for a linear leg, mm. */

type Rate = 'position' | 'speed' | 'accel';
const SUFFIX: Readonly<Record<Rate, string>> = { position: '', speed: '_s', accel: '_s2' };

/** `withUnit('deg', { peak_speed: ['speed', 12] })` is `{ peak_speed_deg_s: 12 }`. */
export const withUnit = (
  unit: 'deg' | 'mm',
  figures: Readonly<Record<string, readonly [Rate, number]>>,
): Record<string, number> =>
  Object.fromEntries(Object.entries(figures).map(([key, [rate, value]]) => [`${key}_${unit}${SUFFIX[rate]}`, value]));
