/**
 * Input shapers: the few positive impulses whose vibrations cancel, so that a motion convolved with them leaves its structure
 * at rest. Textbook impulses in seconds, and the same on the controller's grid of ticks. What they leave is in physics/shaper.ts.
 */
import type { Motion } from './rig.ts';

export type Cure = Exclude<Motion['wobble']['cure'], 'none'>;

/** Share of the motion (all positive, in sum 1), and how much later it comes. */
export interface Impulse {
  readonly share: number;
  readonly at_s: number;
}

/** A share of the motion, so many whole ticks later. */
export interface Tap {
  readonly share: number;
  readonly ticks: number;
}

/** What `broad` leaves at its own frequency, for a wider range around it. */
export const BROAD_RESIDUAL = 0.05;

/** The period of the damped vibration, s; hz is the natural frequency (undamped), damping the ratio to critical, below 1. */
const dampedPeriod_s = (hz: number, damping: number): number => 1 / (hz * Math.sqrt(1 - damping * damping));

/** How much of a vibration is left after half a period of its own. */
export const halfPeriodDecay = (damping: number): number =>
  Math.exp((-damping * Math.PI) / Math.sqrt(1 - damping * damping));

/**
 * The impulses of a cure, the first at 0. exact: ZV, tolerant: ZVD (N. C. Singer, W. P. Seering, J. Dyn. Syst. Meas. Control
 * 112(1), 1990); broad: EI (W. Singhose, W. Seering, N. Singer, J. Mech. Des. 116(2), 1994), damped by the curve fit in
 * W. Singhose et al., Control Eng. Practice 8, 2000, good to about 0.003 of residual for damping up to 0.3.
 */
export function shaperOf(cure: Cure, hz: number, damping: number): Impulse[] {
  const half_s = dampedPeriod_s(hz, damping) / 2;
  const K = halfPeriodDecay(damping);
  if (cure === 'broad') return broad(damping, 2 * half_s);
  const late = K / (1 + K);
  const early = 1 / (1 + K);
  const once: Impulse[] = [
    { share: early, at_s: 0 },
    { share: late, at_s: half_s },
  ];
  if (cure === 'exact') return once;
  return [
    { share: early * early, at_s: 0 },
    { share: 2 * early * late, at_s: half_s },
    { share: late * late, at_s: 2 * half_s },
  ];
}

function broad(damping: number, period_s: number): Impulse[] {
  const [first, last, middle] = damping === 0 ? UNDAMPED_BROAD : dampedBroad(BROAD_RESIDUAL, damping);
  return [
    { share: first, at_s: 0 },
    { share: 1 - first - last, at_s: middle * period_s },
    { share: last, at_s: period_s },
  ];
}

/** Shares of the first and the last impulse, and when the middle one comes, in periods. */
type Broad = readonly [first: number, last: number, middle: number];
const UNDAMPED_BROAD: Broad = [(1 + BROAD_RESIDUAL) / 4, (1 + BROAD_RESIDUAL) / 4, 0.5];

/** The curve fit; V: what is left, z: damping. */
const dampedBroad = (V: number, z: number): Broad => [
  0.24968 + 0.24961 * V + 0.80008 * z + 1.23328 * V * z + 0.49599 * z ** 2 + 3.17316 * V * z ** 2,
  0.25149 + 0.21474 * V - 0.83249 * z + 1.41498 * V * z + 0.85181 * z ** 2 - 4.90094 * V * z ** 2,
  0.4999 +
    (0.46159 * z + 4.26169 * z ** 2 + 1.75601 * z ** 3) * V +
    (8.57843 * z - 108.644 * z ** 2 + 336.989 * z ** 3) * V ** 2,
];

/** When the middle of the motion comes: what moves steadily is behind by this. */
export const meanDelay_s = (shaper: readonly Impulse[]): number =>
  shaper.reduce((sum, { share, at_s }) => sum + share * at_s, 0);

/**
 * The cure as the controller does it: an impulse between two ticks is shared by both. For `exact` the shares are those that
 * cancel on the grid, not only in the limit of many ticks; `tolerant` is that twice. hz at most a quarter of tick_hz.
 */
export function tapsOf(cure: Cure, hz: number, damping: number, tick_hz: number): Tap[] {
  if (cure === 'broad') return split(shaperOf(cure, hz, damping), tick_hz);
  const once = cancelling(hz, damping, tick_hz);
  return cure === 'exact' ? once : convolved(once, once);
}

/** Linear between the two ticks around each impulse. */
function split(shaper: readonly Impulse[], tick_hz: number): Tap[] {
  const taps = shaper.flatMap(({ share, at_s }) => {
    const before = Math.floor(at_s * tick_hz);
    const past = at_s * tick_hz - before;
    return [
      { share: share * (1 - past), ticks: before },
      { share: share * past, ticks: before + 1 },
    ];
  });
  return merged(taps);
}

/**
 * Two impulses, the later one on the ticks n and n + 1: shares 1 - b, b(1 - f), bf. With w the growth and turn of the vibration in
 * a tick, they cancel where w^n·(1 + f(w - 1)) = -r is real and negative; then b = 1/(1 + r).
 */
function cancelling(hz: number, damping: number, tick_hz: number): Tap[] {
  const turn = (2 * Math.PI) / (dampedPeriod_s(hz, damping) * tick_hz);
  const growth = (2 * Math.PI * hz * damping) / tick_hz;
  const power = (n: number): [re: number, im: number] => {
    const size = Math.exp(growth * n);
    return [size * Math.cos(turn * n), size * Math.sin(turn * n)];
  };
  const n = Math.floor(Math.PI / turn);
  const [re, im] = power(n);
  const [nextRe, nextIm] = power(n + 1);
  const f = im / (im - nextIm);
  const r = -(re + f * (nextRe - re));
  const late = 1 / (1 + r);
  return merged([
    { share: 1 - late, ticks: 0 },
    { share: late * (1 - f), ticks: n },
    { share: late * f, ticks: n + 1 },
  ]);
}

const convolved = (a: readonly Tap[], b: readonly Tap[]): Tap[] =>
  merged(a.flatMap((x) => b.map((y) => ({ share: x.share * y.share, ticks: x.ticks + y.ticks }))));

/** One tap a tick, in their order; those that are nothing but rounding left out. */
function merged(taps: readonly Tap[]): Tap[] {
  const shares = new Map<number, number>();
  for (const { share, ticks } of taps) shares.set(ticks, (shares.get(ticks) ?? 0) + share);
  return [...shares]
    .map(([ticks, share]) => ({ share, ticks }))
    .filter(({ share }) => share > 1e-12)
    .sort((a, b) => a.ticks - b.ticks);
}
