/**
 * A rig's wobble cure as the controller runs it: which joints it shapes, over which ticks, and how late that makes the prop. Says in
 * words what does not fit.
 */
import type { Say } from './problem.ts';
import type { Joint, Rig } from './rig.ts';
import { type Cure, type Tap, tapsOf } from './shaper.ts';
import { short, together, counted } from './words.ts';
import { slowerTicks } from './slower-ticks.ts';

export interface WobbleFilter {
  /** Indices of the joints whose motion is shaped; the others only come as late. */
  readonly joints: readonly number[];
  /** The first is the present tick. */
  readonly taps: readonly Tap[];
  /** How much later everything comes, in ticks: the mean of the taps. */
  readonly delay_ticks: number;
}

/** Ticks of history that the controller keeps for all joints together: 8 joints over 128, or more over fewer. */
const HISTORY_TICKS = 1024;
/** An impulse has to lie within a tick of where it belongs: at least so many ticks in a period. */
const TICKS_PER_PERIOD = 4;
/** A servo hears of a new place once a frame: with fewer frames in a period the cure is coarse. */
const FRAMES_PER_PERIOD = 4;
/** Up to this damping the damped form of `broad` is known (shaper.ts). */
const BROAD_DAMPING = 0.3;

/**
 * What the rig's motion.wobble makes of the controller; null: nothing. With a platform the legs and the joints that carry it are
 * shaped; without, the joints that carry other joints or parts; failing that, all. What they do not move is too light to ring.
 */
export function wobbleFilter(rig: Pick<Rig, 'platform' | 'parts' | 'joints' | 'motion'>): WobbleFilter | null {
  const { wobble, tick_hz } = rig.motion;
  if (wobble.cure === 'none' || wobble.hz === null || wobble.damping === null) return null;
  const taps = tapsOf(wobble.cure, wobble.hz, wobble.damping, tick_hz);
  const delay_ticks = taps.reduce((sum, { share, ticks }) => sum + share * ticks, 0);
  return { joints: shapedJoints(rig), taps, delay_ticks };
}

/** Constant delay of the wobble cure, ms; 0 without one. */
export function wobbleDelay_ms(rig: Rig): number {
  const filter = wobbleFilter(rig);
  return filter ? (1000 * filter.delay_ticks) / rig.motion.tick_hz : 0;
}

/** Indices of the joints that a wobble cure shapes, as wobbleFilter says. */
export function shapedJoints({ platform, parts, joints }: Pick<Rig, 'platform' | 'parts' | 'joints'>): number[] {
  const named = new Map(joints.map((joint) => [joint.name, joint]));
  const carriers = new Set<string>();
  const carry = (on: string | null): void => {
    const joint: Joint | undefined = on === null || carriers.has(on) ? undefined : named.get(on);
    if (!joint) return;
    carriers.add(joint.name);
    carry(joint.axis?.on ?? null);
  };
  if (platform) carry(platform.on);
  else {
    for (const { axis } of joints) carry(axis?.on ?? null);
    for (const { on } of parts) carry(on);
  }
  const shaped = joints
    .map(({ kind, name }, i) => (kind === 'leg' || carriers.has(name) ? i : -1))
    .filter((i) => i >= 0);
  return shaped.length > 0 ? shaped : joints.map((_, i) => i);
}

/** Ticks of history that a filter takes: of shaped joints to its last tap, of the others around its delay. */
function historyOf({ joints, taps, delay_ticks }: WobbleFilter, count: number): number {
  return joints.length * (taps.at(-1)?.ticks ?? 0) + (count - joints.length) * (Math.floor(delay_ticks) + 1);
}

const fits = (rig: Rig, change: Partial<Rig['motion']['wobble']> & { tick_hz?: number } = {}): boolean => {
  const { tick_hz = rig.motion.tick_hz, ...wobble } = change;
  const motion = { ...rig.motion, tick_hz, wobble: { ...rig.motion.wobble, ...wobble } };
  const filter = wobbleFilter({ ...rig, motion });
  return filter === null || historyOf(filter, rig.joints.length) <= HISTORY_TICKS;
};

/** Refuses a cure that the controller cannot run, and warns of one that the servos follow only coarsely. */
export function checkWobble(rig: Rig, say: Say): void {
  const { wobble, tick_hz } = rig.motion;
  const { cure, hz, damping } = wobble;
  if (cure === 'none' || hz === null || damping === null) return;
  if (cure === 'broad' && damping > BROAD_DAMPING) {
    say.error(
      ['motion', 'wobble', 'damping'],
      `found ${short(damping, 3)}; broad is known up to ${String(BROAD_DAMPING)}: allowed with so much: exact or tolerant`,
    );
  } else if (hz * TICKS_PER_PERIOD > tick_hz) {
    say.error(
      ['motion', 'wobble', 'hz'],
      `found ${short(hz, 2)} Hz; allowed: up to ${short(tick_hz / TICKS_PER_PERIOD)} Hz, a quarter of tick_hz`,
    );
  } else if (!fits(rig)) {
    say.error(['motion', 'wobble', 'hz'], tooLong(rig, cure, hz));
  } else coarse(rig, hz, say);
}

/** What would fit instead: a faster wobble, a gentler cure, slower ticks. */
function tooLong(rig: Rig, cure: Cure, hz: number): string {
  const { tick_hz } = rig.motion;
  const { joints } = wobbleFilter(rig) ?? { joints: [] };
  const others = rig.joints.length - joints.length;
  const who = `${counted(joints.length, 'joint')}${others > 0 ? ` and wait with ${String(others)} more` : ''}`;
  const ways = [`hz from ${short(leastHz(rig, cure, hz), 2)} up`];
  if (cure !== 'exact' && fits(rig, { cure: 'exact' })) ways.push('cure: exact, which looks half as far back');
  const slower = slowerTicks(
    rig.joints,
    rig.motion.tick_hz,
    (tick_hz) => tick_hz >= hz * TICKS_PER_PERIOD && fits(rig, { tick_hz }),
  );
  if (slower !== null) ways.push(`tick_hz: ${String(slower)}`);
  return `found ${short(hz, 2)} Hz: at ${String(tick_hz)} ticks a second the controller cannot look back far enough to shape ${who}; allowed: ${ways.join('; or ')}`;
}

/** The slowest wobble that fits, Hz, rounded up to a hundredth. */
function leastHz(rig: Rig, cure: Cure, hz: number): number {
  let below = hz;
  let above = rig.motion.tick_hz / TICKS_PER_PERIOD;
  while (above - below > 0.002) {
    const middle = (below + above) / 2;
    if (fits(rig, { cure, hz: middle })) above = middle;
    else below = middle;
  }
  return Math.ceil(above * 100) / 100;
}

function coarse(rig: Rig, hz: number, say: Say): void {
  const slow = (wobbleFilter(rig)?.joints ?? [])
    .map((i) => rig.joints[i])
    .filter((joint) => joint !== undefined)
    .filter(({ servo }) => servo.frame_hz < hz * FRAMES_PER_PERIOD);
  if (slow.length === 0) return;
  const names = together([...new Set(slow.map(({ servo }) => servo.name))]);
  say.warning(
    ['motion', 'wobble', 'hz'],
    `found ${short(hz, 2)} Hz: servos ${names} get fewer than ${String(FRAMES_PER_PERIOD)} pulses in a period of it, so the cure will be coarse`,
  );
}
