/**
 * What is left of a candidate's travels when it is built as people build: every joint's centre off by a little, in each direction by
 * itself. The draws are the same for every candidate, so that two are compared and not their luck.
 */
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import type { Design } from '../design.ts';
import { TRAVELS } from './ask.ts';
import { Candidate, STANDS } from './candidate.ts';
import type { Prepared } from './prepare.ts';

const SEED = 1;
/** So many give a percentile to half a percent (measured). */
const DRAWS = 400;
const PERCENTILE = 0.05;
/** Coordinates of the twelve joints. */
const EACH = 36;
const MM = 1e-3;

export class Built {
  private readonly candidate: Candidate;
  private readonly draws: Float64Array;
  private readonly within_m: number;
  private readonly found: Float64Array;

  constructor(prepared: Prepared, draws = DRAWS) {
    this.candidate = new Candidate(prepared);
    this.draws = normals(draws * EACH);
    this.within_m = prepared.ask.must.built_within_mm * MM;
    this.found = new Float64Array(draws * TRAVELS);
  }

  /**
   * 5th percentile of each of the 12 travels, mm and rad; 0 of a design that does not stand at home. Height of home is as designed.
   * @returns `share`: the same of the least of all wanted travels, each as a share of `wanted` (0: not wanted); Infinity: none is.
   */
  travels(design: Design, wanted: Float64Array): { readonly travels: Float64Array; readonly share: number } {
    const { candidate, draws, within_m, found } = this;
    const count = found.length / TRAVELS;
    const stands = candidate.take(design) === STANDS;
    const { legs, travels } = candidate;
    const [base, arm] = [legs.base.slice(), legs.arm.slice()];
    const shares = new Float64Array(count);
    for (let n = 0; n < count; n++) {
      for (let k = 0; k < 18; k++) {
        legs.base[k] = base[k]! + within_m * draws[n * EACH + k]!;
        legs.arm[k] = arm[k]! + within_m * draws[n * EACH + 18 + k]!;
      }
      if (stands) travels.find(legs);
      shares[n] = Infinity;
      for (let k = 0; k < TRAVELS; k++) {
        // What is no number counts as no travel: sorted, NaN would stand among the best.
        const by = stands && travels.by[k]! > 0 ? travels.by[k]! * (k < TRAVELS / 2 ? 1 / MM : 1) : 0;
        found[k * count + n] = by;
        if (wanted[k]! > 0) shares[n] = Math.min(shares[n]!, by / wanted[k]!);
      }
    }
    const low = (values: Float64Array): number => values.sort()[Math.floor(PERCENTILE * count)]!;
    return {
      travels: Float64Array.from({ length: TRAVELS }, (_, k) => low(found.subarray(k * count, (k + 1) * count))),
      share: low(shares),
    };
  }
}

/** Standard normal numbers, two at a time (Box & Muller, Annals of Mathematical Statistics 29, 1958). */
function normals(count: number): Float64Array {
  const random = xoroshiro128plus(SEED);
  const out = new Float64Array(count);
  for (let k = 0; k < count; k += 2) {
    const size = Math.sqrt(-2 * Math.log(1 - uniformFloat64(random)));
    const turn = 2 * Math.PI * uniformFloat64(random);
    out[k] = size * Math.cos(turn);
    if (k + 1 < count) out[k + 1] = size * Math.sin(turn);
  }
  return out;
}
