/**
 * How far a candidate travels until two of its bodies come nearer than the gap that is asked for: the least of all wanted travels as a
 * share of what is wanted, looked for outward from where they end, which `clearance` covers. Where none is wanted usual ones stand for them.
 */
import { AT } from '../figures.ts';
import { type Ask, TRAVELS } from './ask.ts';
import type { Candidate } from './candidate.ts';
import type { Spaces } from './spaces.ts';

/** Without wanted travels, these: mm and rad. */
const USUAL = { mm: 20, rad: 0.3 };
/** Where a way's end is too near, looks along it: the first of them that is too near has the first place before it. */
const LOOKS = 4;
/** Halvings of their step: to 1/512 of the way, on its free side. */
const HALVINGS = 7;
/** At the very end a leg may be out of reach by rounding. */
const INSIDE = 1 - 1e-9;
const MM = 1e-3;

export class FreeTravels {
  private readonly ask: Ask;
  /** 12, mm and rad; 0: not looked at. */
  private readonly wanted: Float64Array;
  /** Share of `wanted` that `clearance` covers. */
  private readonly covered: 0 | 1;
  private readonly gap_m: number;

  constructor(ask: Ask) {
    const { travels } = ask.must;
    const isAsked = travels.some((by) => by > 0);
    this.ask = ask;
    this.wanted = isAsked ? travels : travels.map((_, k) => (k < TRAVELS / 2 ? USUAL.mm : USUAL.rad));
    this.covered = isAsked ? 1 : 0;
    this.gap_m = ask.clearance.gap_mm * MM;
  }

  /** Once all other figures are there. Bodies are not looked at where it falls short of what is wanted. */
  put(candidate: Candidate, spaces: Spaces, out: Float64Array, at: number): void {
    const { wanted } = this;
    let share = Infinity;
    for (let k = 0; k < TRAVELS; k++)
      if (wanted[k]! > 0) share = Math.min(share, out[at + AT.travel + k]! / wanted[k]!);
    if (this.isWorthIt(out, at))
      for (let k = 0; k < TRAVELS; k++) if (wanted[k]! > 0) share = this.freeOn(candidate, spaces, k, share);
    out[at + AT.free] = share;
  }

  /** Whether it holds what is wanted as far as this is told here: the travel of one that does not is never compared with another's. */
  private isWorthIt(out: Float64Array, at: number): boolean {
    const { must, clearance, bounds } = this.ask;
    if (out[at + AT.stream_short]! > 0 || out[at + AT.unstable]! > 0) return false;
    for (let k = 0; k < TRAVELS; k++) if (isLess(out[at + AT.travel + k]!, must.travels[k]!)) return false;
    return !(
      isLess(out[at + AT.clearance]!, clearance.gap_mm) ||
      isLess(out[at + AT.together]!, must.together) ||
      isLess(out[at + AT.lowest_hz]!, bounds.lowest_hz ?? -Infinity) ||
      isLess(bounds.use ?? Infinity, out[at + AT.use]!) ||
      isLess(bounds.hold_use ?? Infinity, out[at + AT.hold_use]!) ||
      isLess(bounds.height_mm ?? Infinity, out[at + AT.height]!)
    );
  }

  /** Up to `most`, a share of what is wanted along travel k; all of it where its end is free, whatever is on the way. */
  private freeOn(candidate: Candidate, spaces: Spaces, k: number, most: number): number {
    const from = this.covered;
    if (!(most > from) || !this.isTight(candidate, spaces, k, most)) return most;
    let lo: number = from;
    let hi = most;
    for (let n = 1; n < LOOKS; n++) {
      const share = from + ((most - from) * n) / LOOKS;
      if (this.isTight(candidate, spaces, k, share)) {
        hi = share;
        break;
      }
      lo = share;
    }
    for (let halving = 0; halving < HALVINGS; halving++) {
      const middle = (lo + hi) / 2;
      if (this.isTight(candidate, spaces, k, middle)) hi = middle;
      else lo = middle;
    }
    return lo;
  }

  private isTight({ travels, legs, rods }: Candidate, spaces: Spaces, k: number, share: number): boolean {
    if (!travels.go(k, share * INSIDE * this.wanted[k]! * (k < TRAVELS / 2 ? MM : 1))) return true;
    rods.put(legs);
    return spaces.isTight(legs, rods, this.gap_m);
  }
}

/** Less by more than rounding, which a wish forgives. */
const isLess = (have: number, want: number): boolean => !(have >= want - Math.abs(want) * 1e-6);
