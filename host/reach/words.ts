/** What `reach` answers in a maker's words: one for the command line and the page, so that they say the same. */
import type { Stop } from '../physics/kinematics/inverse.ts';
import type { AxisName, AxisUnit } from './axes.ts';
import type { BoxShare, FirmTravel, FirmnessOnTheWay, ReachAnswer, Unsure } from './result.ts';

const WAYS: Readonly<Record<AxisName, readonly [minus: string, plus: string]>> = {
  x: ['back', 'forward'],
  y: ['to its right', 'to its left'],
  z: ['down', 'up'],
  roll: ['leans left', 'leans right'],
  pitch: ['nose up', 'nose down'],
  yaw: ['turns right', 'turns left'],
};

/** Where a way along an axis leads; left and right are the prop's own. */
export const wayWords = (axis: AxisName, way: 'minus' | 'plus'): string => WAYS[axis][way === 'minus' ? 0 : 1];

const CAUSES: Readonly<Record<Stop['cause'], (joint: string) => string>> = {
  rod: (joint) => `the reach of ${joint}’s rod`,
  stroke: (joint) => `the end of ${joint}’s stroke`,
  limit: (joint) => `${joint}’s soft limit`,
  rod_end: (joint) => `${joint}’s rod end`,
};

/** What stands in the way, as a thing. */
export const stopWords = ({ joint, cause }: Stop): string => CAUSES[cause](joint);

/** A number to `digits` decimals that never reads -0, with its unit. */
export function amount(value: number, unit: AxisUnit | '%', digits = 2): string {
  const text = value.toFixed(digits);
  return `${Number(text) === 0 ? text.replace('-', '') : text} ${unit}`;
}

export const together = (names: readonly string[]): string =>
  names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1) ?? ''}`;

/** "home", or where else travel is counted from. */
export const placeWords = ({ at }: Pick<ReachAnswer, 'at'>): string => {
  const parts = Object.entries(at).flatMap(([key, value]) => {
    const [name = '', unit = ''] = key.split('_');
    return value === 0 ? [] : [`${name} ${String(Number(value.toFixed(2)))} ${unit}`];
  });
  return parts.length === 0 ? 'home' : together(parts);
};

/**
 * Beyond it a plate is not held well: one motion takes less than a hundredth of what another asks of the legs (our choice: a
 * tenth of a millimetre of play in the legs may then be ten of the plate, which is half of what such a platform travels).
 */
export const POOR = 100;
/** Share of the stiffness at the beginning below which it is worth saying so (our choice: it then swings at half its frequency). */
const SOFT = 0.25;
/** Legs that must run so many times as fast are worth saying (our choice: a move with a quarter of a servo's speed then takes all of it). */
const FAST = 4;

/** Whether the plate loses hold on a way: it hangs loose or goes soft. */
export const isSoft = ({ stiffness }: FirmnessOnTheWay): boolean => stiffness !== null && stiffness.share < SOFT;

/** How firmly the plate is held where travel begins. */
export function firmWords({ condition, weakest, in_line, ...answer }: ReachAnswer): string {
  const place = placeWords(answer);
  if (in_line)
    return `at ${place} a crank is in line with its rod: there the plate does not follow it, whichever way it turns`;
  const against = together(weakest);
  if (condition === null)
    return `at ${place} the plate hangs loose: it can move along ${against} while all six legs stand still, and no servo can hold it`;
  const figure = `condition number ${condition.toFixed(1)}: 1 is ideal, up to ${String(POOR)} is good enough; least firm along ${against}`;
  return condition > POOR
    ? `at ${place} the plate is hardly held (${figure}): a little play in the legs becomes a lot at the plate`
    : `firmly at ${place} (${figure})`;
}

/** What is to be known of the ways before they are taken; empty when the plate is held well all along. */
export function warningsOf(answer: Omit<ReachAnswer, 'warnings'>): string[] {
  const place = placeWords(answer);
  return answer.axes.flatMap((travel) => [
    ...wayWarning(travel, 'minus', travel.minus_firmness, place),
    ...wayWarning(travel, 'plus', travel.plus_firmness, place),
  ]);
}

function wayWarning(travel: FirmTravel, way: 'minus' | 'plus', firm: FirmnessOnTheWay, place: string): string[] {
  const { axis, unit } = travel;
  const stop = travel[`${way}_stop`];
  const by = stop ? `, before ${stopWords(stop)} stops it` : '';
  const along = `${axis} ${wayWords(axis, way)}`;
  if (firm.loose_at !== null)
    return [`${along}: the plate comes to hang loose at ${amount(firm.loose_at, unit)}${by}. Stay well short of it.`];
  const warnings: string[] = [];
  if (firm.stiffness && isSoft(firm)) {
    const share = `${(firm.stiffness.share * 100).toFixed(firm.stiffness.share < 0.1 ? 1 : 0)} %`;
    const at = amount(firm.stiffness.at, unit);
    warnings.push(`${along}: it becomes less firm; at ${at} it has ${share} of its stiffness at ${place}.`);
  }
  if (firm.faster !== null && firm.faster > FAST) {
    const times = firm.faster > 1000 ? 'over 1000' : firm.faster.toFixed(0);
    warnings.push(
      `${along}: toward the end the legs must move ${times} times as fast as at ${place} for the same motion.`,
    );
  }
  return warnings;
}

const percent = (share: number): string => `${(share * 100).toFixed(1)} %`;

/** The answer to a wanted box. */
export function boxWords({ share, interval, samples, seed, stops, fits_at, confidence }: BoxShare): string {
  const sampled = `of ${String(samples)} random poses (seed ${String(seed)})`;
  const between = `${percent(interval[0])} to ${percent(interval[1])} at ${String(confidence * 100)} % confidence`;
  if (share === 1) return `all ${sampled} are in reach: ${between}`;
  const [most] = stops;
  const by = most ? `; what stops it most often is ${stopWords(most)}` : '';
  const fits =
    fits_at === null
      ? ''
      : fits_at > 0
        ? `. At ${percent(Math.floor(fits_at * 1000) / 1000)} of its size, its corners and all samples are in reach`
        : '';
  return `${percent(share)} ${sampled} are in reach: ${between}${by}${fits}`;
}

export const unsureWords = ({ path, within_percent, by, unit, axis }: Unsure): string =>
  `${path} is known to within ${String(within_percent)} %, which changes the travel in ${axis} by up to ${amount(by, unit)}`;
