/** The ticks of a stream that a search looks at, so that its length does not matter: what is found is judged on all of them afterwards. */
import { available } from '../../physics/servo/servo-line.ts';
import type { Joint } from '../../rig/rig.ts';
import { lengthOf, CUTS } from '../along.ts';
import { type Asked, ownEffort } from './asked.ts';
import type { Ticks } from './judge.ts';

/** Ticks of which the average is taken, no fewer than half of them. */
const EVEN = 500;

/** In each of so many equal lengths of the stream: largest and least effort, largest share, and both ends of where it goes. */
export function ticksOf(joint: Joint, asked: Asked): Ticks {
  const n = asked.t_s.length;
  const figures: readonly ((k: number) => number)[] = [
    (k) => asked.effort[k]!,
    (k) => -asked.effort[k]!,
    (k) => asked.q[k]!,
    (k) => -asked.q[k]!,
    (k) => shareAt(joint, asked, k),
  ];
  const best = figures.map(() => new Int32Array(CUTS).fill(-1));
  for (let k = 0; k < n; k++) {
    const length = lengthOf(k, n);
    for (const [f, figure] of figures.entries()) {
      const before = best[f]![length]!;
      if (before < 0 || figure(k) > figure(before)) best[f]![length] = k;
    }
  }
  const peaks = [...new Set(best.flatMap((of) => [...of]))].filter((k) => k >= 0);
  const stride = Math.max(1, Math.floor(n / EVEN));
  return { peaks, even: Array.from({ length: Math.floor(n / stride) }, (_, m) => m * stride) };
}

function shareAt(joint: Joint, asked: Asked, k: number): number {
  const effort = asked.effort[k]! + ownEffort(joint, asked.rate[k]!, asked.accel[k]!);
  return Math.abs(effort) / (available(joint, asked.rate[k]!, effort < 0 ? -1 : 1) ?? 1);
}
