/**
 * What is left of the travels when a design is built as people build: every joint's centre off by a little, in each direction by
 * itself. The same draws for every design, so that two are compared and not their luck.
 */
import type { Design } from './design.ts';
import { Geometries } from './evaluate/geometry.ts';
import { LegSet } from './evaluate/legs.ts';
import type { Prepared } from './evaluate/prepare.ts';
import { Travels } from './evaluate/travels.ts';
import { Draws } from './search/draws.ts';

/** So many give the percentile to half a percent (measured on the owl). */
const DRAWS = 400;
const PERCENTILE = 0.05;
const SEED = 1;
const MM = 1e-3;

/**
 * 5th percentile of the least of all wanted travels, each as a share of what is asked, without its spare. Null: no travel is asked, or it
 * is built exactly.
 */
export function robustOf({ ask, ways }: Prepared, design: Design, draws = DRAWS): number | null {
  const { travels: wanted, built_within_mm } = ask.must;
  if (built_within_mm === 0 || wanted.every((by) => by === 0)) return null;
  const legs = new LegSet();
  if (Number.isNaN(new Geometries(ask).put(design, legs))) return 0;
  const [base, arm] = [legs.base.slice(), legs.arm.slice()];
  const travels = new Travels(ways, legs);
  const drawn = Draws.of(SEED, 0);
  const off = (): number => built_within_mm * MM * drawn.normal();
  const least = Float64Array.from({ length: draws }, () => {
    for (let k = 0; k < base.length; k++) {
      legs.base[k] = base[k]! + off();
      legs.arm[k] = arm[k]! + off();
    }
    travels.find(legs);
    // Metres along, radians about.
    return wanted.reduce(
      (share, by, k) => (by > 0 ? Math.min(share, travels.by[k]! / (k < 6 ? by * MM : by)) : share),
      Infinity,
    );
  }).sort();
  return least[Math.floor(PERCENTILE * draws)]!;
}
