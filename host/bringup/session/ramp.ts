/** Places to ask for, one every 20 ms: from rest to rest within a speed and an acceleration. */

export interface Pace {
  /** Per second and per second squared, rad or mm. */
  readonly speed: number;
  readonly accel: number;
}

const STEP_S = 0.02;

/**
 * The places on the way, the last of them the goal; where `broken` says so, it brakes and ends where it stands.
 * A step of so many more may still be braked from: v²/2a is what is left (trapezoidal profile).
 */
export function* ramp(from: number, goal: number, { speed, accel }: Pace, broken: () => boolean): Generator<number> {
  const way = Math.sign(goal - from);
  const more = accel * STEP_S;
  let [at, v] = [from, 0];
  while (at !== goal) {
    const left = Math.abs(goal - at);
    if (broken()) v -= more;
    else v = Math.min(v + more, speed, Math.max(more, Math.sqrt(2 * accel * left) - more / 2));
    if (v <= 0) return;
    at = v * STEP_S >= left ? goal : at + way * v * STEP_S;
    yield at;
  }
}
