/**
 * Load bars to a 100 % line: of each joint how much of what its servo has goes into holding and into moving. A bar beyond the
 * line is hatched and said so in words; the ticks on the bars are what a servo should be asked for at most.
 */
import { scaleLinear } from 'd3-scale';
import type { JointLoad, LoadAnswer } from '../../load/result.ts';
import { effortWords, isTooMuchAlone, percents, placeWords, sizingWords } from '../../load/words.ts';
import { figure, kept, number, percent } from './figures.ts';
import { type Markup, markup } from './markup.ts';
import { label, path, upright, px } from './svg.ts';

const WIDTH = 460;
const [BAR, GAP] = [13, 5];
/** A use beyond this is drawn as this, with its end torn off. */
const MOST = 2.5;
const LEAST = 1.15;

/** Shares to px, one for all bars. */
export type ShareScale = ReturnType<typeof scaleLinear<number, number>>;

/** All that is drawn of a joint; Infinity: too fast. */
function usesOf({ hold_use, worst, along }: JointLoad): number[] {
  const move = along?.impossible ? Infinity : (along?.use ?? 0);
  return [hold_use ?? 0, worst.loose ? Infinity : (worst.use ?? 0), move];
}

/** The scale of a rig's bars, `width` px wide. */
export function shareScale({ joints }: Pick<LoadAnswer, 'joints'>, width = WIDTH): ShareScale {
  const most = Math.max(LEAST, ...joints.flatMap(usesOf).map((use) => Math.min(use * 1.04, MOST)));
  return scaleLinear([0, most], [1, width - 1]);
}

/** A bar from nothing to a use: what is beyond the line is hatched; torn where the scale ends before it. */
function bar(kind: string, use: number, top: number, x: ShareScale): Markup {
  const end = x.domain()[1] ?? 1;
  const shown = Math.min(use, end);
  const [zero, line, right] = [x(0), x(1), x(shown)];
  const bottom = top + BAR;
  const inside = upright(kind, zero, Math.max(0.5, Math.min(line, right) - zero), top, bottom);
  if (use <= 1) return inside;
  const torn = use > end;
  const edge = torn
    ? `L${px(right - 5)} ${px(top + BAR / 4)}L${px(right)} ${px(top + BAR / 2)}L${px(right - 5)} ${px(top + (3 * BAR) / 4)}L${px(right)} ${bottom}`
    : `V${bottom}`;
  return markup`${inside}<path class="beyond" d="M${px(line)} ${top}H${px(right)}${edge}H${px(line)}Z"/>`;
}

const tick = (use: number, top: number, x: ShareScale): Markup =>
  path('most-use', `M${px(x(use))} ${top - 3}V${top + BAR + 3}`);

/** One joint's bars: holding where it was asked about, at its hardest behind that; below, moving. */
export function jointBars(joint: JointLoad, x: ShareScale): Markup {
  const { hold, hold_use, worst, along, continuous_use, peak_use } = joint;
  const [first, second] = [4, 4 + BAR + GAP];
  const height = (along ? second : first) + BAR + 4;
  const hardest = worst.loose ? Infinity : worst.use;
  const moving = along?.impossible ? Infinity : hold === null && !isTooMuchAlone(joint) ? null : (along?.use ?? null);
  const said = `${joint.name}: ${[holdWords(joint), ...(along ? [moveWords(joint)] : [])].join('; ')}`;
  return markup`<svg class="loads-bar" viewBox="0 0 ${WIDTH} ${height}" role="img" aria-label="${said}">
    ${path('zero', `M${px(x(0))} 0V${height}`)}
    ${hardest === null ? null : bar('hold-most', hardest, first, x)}
    ${hold_use === null ? null : bar('hold', hold_use, first, x)}
    ${hold_use === null && hardest === null ? null : tick(continuous_use, first, x)}
    ${moving === null ? null : bar('move', moving, second, x)}${moving === null ? null : tick(peak_use, second, x)}
    ${path('all-of-it', `M${px(x(1))} 0V${height}`)}
  </svg>`;
}

const anchorAt = (x: number, width: number): 'start' | 'middle' | 'end' =>
  x < 20 ? 'start' : x > width - 20 ? 'end' : 'middle';

/** Shares under the bars. */
export function shareAxis(answer: LoadAnswer, width: number): Markup {
  const x = shareScale(answer, width);
  const marks = x
    .ticks(width > 400 ? 6 : 4)
    .map((share) => label(percent(share), x(share), 12, anchorAt(x(share), width), share === 1 ? 'name' : ''));
  return markup`<svg class="chart shares" viewBox="0 0 ${width} 16" aria-hidden="true">${marks}</svg>`;
}

const unknown = ({ stall }: JointLoad): string =>
  stall === null ? 'use unknown, since its servo’s stall torque is' : 'use unknown';

/** N·m or N, or in the units of data sheets; less than shows is said to be so. */
const taken = (effort: number, unit: 'deg' | 'mm', say = effortWords): string =>
  Math.abs(effort) < (unit === 'deg' ? 5e-4 : 0.05) ? 'next to nothing' : say(effort, unit);

const beyond = (use: number | null | undefined): string => ((use ?? 0) > 1 ? ', more than it has' : '');

function shareWords(joint: JointLoad, use: number | null): string {
  return use === null ? unknown(joint) : `${percent(use)}${beyond(use)}`;
}

/** Holding, in words. */
export function holdWords(joint: JointLoad): string {
  const { hold, hold_use, worst, unit } = joint;
  if (hold === null) return 'to hold: unknown, since the file does not say what it carries';
  const here = `to hold ${taken(hold, unit)}`;
  const share = shareWords(joint, hold_use);
  if (worst.loose)
    return `${here}, ${share}; within its soft limits the plate reaches a pose in which it hangs loose and nothing holds it`;
  if (worst.effort === null) return `${here}, ${share}`;
  if (placeWords(worst.at) === 'home') return `${here}, ${share}; home is the hardest`;
  if (worst.use === null || hold_use === null)
    return `${here}, ${share}; hardest found ${taken(worst.effort, unit, sizingWords)}`;
  // That it is too much is said once, of the harder.
  return `${here}, ${percent(hold_use)}; hardest found ${taken(worst.effort, unit, sizingWords)}, ${shareWords(joint, worst.use)}`;
}

/** How hot moving makes it, in words; null: no stream, or not known. */
function averageWords({ along, hold, continuous_use }: JointLoad): string | null {
  if (along?.rms_use == null || hold === null) return null;
  if (along.rms_use <= continuous_use) return `on average ${percent(along.rms_use)}`;
  const [much, most] = percents(along.rms_use, continuous_use);
  return `on average ${much}: above its continuous limit of ${most}`;
}

/** Moving along the stream, in words. */
export function moveWords(joint: JointLoad): string {
  const { along, unit, fastest } = joint;
  if (!along) return 'to move: nothing of the stream is in reach';
  const speed = `at ${figure(Math.abs(along.speed), `${unit}/s`, 0)}`;
  if (along.impossible)
    return `to move: asked for ${figure(along.peak_speed, `${unit}/s`, 0)}, faster than its servo can go (${number(fastest ?? NaN, 0)} ${unit}/s without load)`;
  if (isTooMuchAlone(joint))
    return `to move ${speed}: at least ${percent(along.use ?? 0)}, more than it has, for its servo’s own inertia alone`;
  if (joint.hold === null) return `to move ${speed}: torque unknown`;
  // The largest effort and the largest share of what there is at that speed seldom meet.
  const peak = `to move up to ${taken(along.peak, unit, sizingWords)}`;
  if (along.peak_at_s === along.at_s)
    return `${peak} at ${figure(along.at_s, 's', 2)}, ${speed}: ${shareWords(joint, along.use)}`;
  const hardest = `${shareWords(joint, along.use)} at ${figure(along.at_s, 's', 2)}`;
  return `${peak} at ${figure(along.peak_at_s, 's', 2)}; hardest ${hardest}: ${taken(along.effort, unit)} ${speed}`;
}

/** The bars of all joints with their words; a narrow page puts the words under them. */
export function loadBars(answer: LoadAnswer): Markup {
  const x = shareScale(answer);
  const row = (joint: JointLoad): Markup => {
    const average = averageWords(joint);
    const words = [holdWords(joint), ...(answer.stream === null ? [] : [moveWords(joint)])];
    return markup`<tr role="row"><th role="rowheader" scope="row">${joint.name}</th>
      <td role="cell" class="bars">${jointBars(joint, x)}</td>
      <td role="cell" class="words">${words.map((one) => markup`<span>${kept(one)}</span>`)}${average === null ? null : markup`<span class="beside">${kept(average)}</span>`}</td></tr>`;
  };
  return markup`<table role="table" class="loads"><tbody role="rowgroup">${answer.joints.map(row)}
    <tr role="row" class="scale"><td></td><td class="bars"><div class="wide">${shareAxis(answer, WIDTH)}</div><div class="narrow">${shareAxis(answer, 358)}</div></td><td></td></tr></tbody></table>`;
}
