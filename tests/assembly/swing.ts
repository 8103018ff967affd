/** A springy structure on a joint of the real controller, and how much of its swing a wobble cure leaves; the benchmark prints it too. */
import { type Rig, toRad } from '../../host/rig/rig.ts';
import { Prop } from './prop.ts';
import { rigOf } from './rigs.ts';

export type Wobble = Rig['motion']['wobble'];
export const NONE: Wobble = { cure: 'none', hz: null, damping: null };

/**
 * A light, springy structure on the joint: x'' + 2ζω(x' - u') + ω²(x - u) = 0 with u the joint's place, straight between the
 * instants at which the structure sees it. Fourth-order Runge-Kutta, 0.2 ms.
 */
export function swingLeft(u: readonly number[], every_s: number, hz: number, damping: number, from: number): number {
  const w = 2 * Math.PI * hz;
  let [x, v] = [u[0]!, 0];
  let peak = 0;
  for (let n = 0; n + 1 < u.length; n++) {
    const slope = (u[n + 1]! - u[n]!) / every_s;
    const steps = Math.ceil(every_s / 0.0002);
    const h = every_s / steps;
    const pull = (t: number, at: number, speed: number): number =>
      -2 * damping * w * (speed - slope) - w * w * (at - u[n]! - slope * t);
    for (let k = 0; k < steps; k++) {
      const t = k * h;
      const a1 = pull(t, x, v);
      const a2 = pull(t + h / 2, x + (h / 2) * v, v + (h / 2) * a1);
      const a3 = pull(t + h / 2, x + (h / 2) * v + ((h * h) / 4) * a1, v + (h / 2) * a2);
      const a4 = pull(t + h, x + h * v + ((h * h) / 2) * a2, v + h * a3);
      x += h * v + ((h * h) / 6) * (a1 + a2 + a3);
      v += (h / 6) * (a1 + 2 * a2 + 2 * a3 + a4);
    }
    if (n >= from) peak = Math.max(peak, Math.abs(x - u[n + 1]!));
  }
  return peak;
}

/** The nod's places from a look about: up 20 deg, and standing there. */
export function look(wobble: Wobble): number[] {
  const prop = new Prop(rigOf({ platform: null, wobble }));
  prop.rouse();
  const places: number[] = [];
  prop.watch = (t) => places.push(t.position[0]!);
  for (let n = 0; n < 600; n++) {
    if (n % 4 === 0) prop.pose(20_000, [0, 0, 0, 0, 0, 0, toRad(20), 0]);
    prop.run(1);
  }
  return places;
}

/**
 * Swing left after a look about, as a share of what is left without the cure, for structures at these ratios to its frequency.
 * @param from tick at which the look is over, filter and all; @param every ticks between two that a servo hears of
 */
export function swingsLeft(wobble: Wobble, ratios: readonly number[], from: number, every = 1): number[] {
  const { hz, damping } = wobble;
  if (hz === null || damping === null) throw new Error('a cure has a frequency and a damping');
  const [plain, shaped] = [look(NONE), look(wobble)].map((places) => places.filter((_, n) => n % every === 0));
  return ratios.map((ratio) => {
    const left = (places: readonly number[] = []): number =>
      swingLeft(places, every / 200, ratio * hz, damping, from / every);
    return left(shaped) / left(plain);
  });
}
