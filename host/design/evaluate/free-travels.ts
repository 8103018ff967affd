/**
 * How far a candidate travels until two of its bodies come nearer than the gap that is asked for: outward from where each wanted travel
 * ends, which `clearance` covers, to where its legs stop. Ways of which nothing is wanted are not looked at, but where none is: then all.
 */
import { AT } from '../figures.ts';
import { type Ask, TRAVELS } from './ask.ts';
import type { Candidate } from './candidate.ts';
import type { Spaces } from './spaces.ts';

/** Looks on the way, its end included: bodies that are apart at all of them count as apart between. */
const LOOKS = 4;
/** Halvings of a look's step: the first place is known to 1/4096 of the way, and told on its free side. */
const HALVINGS = 10;
/** At the very end a leg may be out of reach by rounding. */
const INSIDE = 1 - 1e-9;
const MM = 1e-3;

export class FreeTravels {
  private readonly ask: Ask;
  /** Travels that are looked at. */
  private readonly looked: readonly number[];
  private readonly gap_m: number;

  constructor(ask: Ask) {
    const all = Array.from({ length: TRAVELS }, (_, k) => k);
    const wanted = all.filter((k) => ask.must.travels[k]! > 0);
    this.ask = ask;
    this.looked = wanted.length > 0 ? wanted : all;
    this.gap_m = ask.clearance.gap_mm * MM;
  }

  /** Once all other figures are there. The free travel of a candidate that goes less far than wanted, or has no room there, is its travel. */
  put(candidate: Candidate, spaces: Spaces, out: Float64Array, at: number): void {
    for (let k = 0; k < TRAVELS; k++) out[at + AT.free + k] = out[at + AT.travel + k]!;
    if (!this.isWorthIt(out, at)) return;
    const { looked } = this;
    for (let n = 0; n < looked.length; n++) {
      const k = looked[n]!;
      const unit = k < TRAVELS / 2 ? MM : 1;
      const from = this.ask.must.travels[k]! * unit;
      const to = out[at + AT.travel + k]! * unit;
      const by = this.firstTight(candidate, spaces, k, from, to);
      if (by < to) out[at + AT.free + k] = by / unit;
    }
  }

  private isWorthIt(out: Float64Array, at: number): boolean {
    const { must, clearance } = this.ask;
    if (!(out[at + AT.clearance]! >= clearance.gap_mm && out[at + AT.together]! >= must.together)) return false;
    if (out[at + AT.stream_short]! > 0 || out[at + AT.unstable]! > 0) return false;
    for (let k = 0; k < TRAVELS; k++) if (!(out[at + AT.travel + k]! >= must.travels[k]!)) return false;
    return true;
  }

  /** On travel k, free at `from`; m or rad. @returns `to` where no look finds bodies too near. */
  private firstTight(candidate: Candidate, spaces: Spaces, k: number, from: number, to: number): number {
    let lo = from;
    for (let n = 1; n <= LOOKS; n++) {
      let hi = n === LOOKS ? from + (to - from) * INSIDE : from + ((to - from) * n) / LOOKS;
      if (!this.isTight(candidate, spaces, k, hi)) {
        lo = hi;
        continue;
      }
      for (let halving = 0; halving < HALVINGS; halving++) {
        const middle = (lo + hi) / 2;
        if (this.isTight(candidate, spaces, k, middle)) hi = middle;
        else lo = middle;
      }
      return lo;
    }
    return to;
  }

  private isTight({ travels, legs, rods }: Candidate, spaces: Spaces, k: number, by: number): boolean {
    if (!travels.go(k, by)) return true;
    rods.put(legs);
    return spaces.isTight(legs, rods, this.gap_m);
  }
}
