/**
 * Poses at which every candidate is looked at: home, where each wanted travel ends, the corners of the wanted box, and home with each
 * carrier or designed joint at its soft limits. At the first two kinds it is looked at for frequencies too.
 */
import { type Pose, HOME } from '../../rig/rig.ts';
import { type Ask, TRAVELS } from './ask.ts';
import { gravityBends } from './gravity.ts';
import { type Instant, Instants, type StandIns, loadInertia, parabola, pullOf, putInstant } from './instants.ts';
import { platformOf } from './candidate-rig.ts';
import type { StandIn } from './stand-in.ts';

export interface Stations {
  readonly instants: Instants;
  /** In the carrier's axes, m and rad: 6 each. */
  readonly poses: Float64Array;
  /** Of the first ones, home among them, frequencies are told too. */
  readonly firm: number;
  /** Travel that ends at a station; -1: none. */
  readonly ends: Int32Array;
  /** From here on corners, up to `carried`. */
  readonly corners: number;
  /** From here on home with a carrier, or another axis that is free, at a limit: by axis its lower, then its upper. */
  readonly carried: number;
  /** Those axes, as indices of the rig's joints. */
  readonly tilted: readonly number[];
  /** By firm station: mass matrix and second derivatives of the energy of height, size × size × 3 (c0, c1, c2 of the height of home). */
  readonly size: number;
  readonly mass: Float64Array;
  readonly bends: Float64Array;
  /** The same for a kilogram on each free counterweight's arm, by its distance. */
  readonly massPer: Float64Array;
  readonly bendsPer: Float64Array;
}

const MM_PER_M = 1000;

interface Place {
  readonly pose: Pose;
  readonly q: readonly number[];
}

export function stationsOf(ask: Ask, stands: StandIns): Stations {
  const { rig, must } = ask;
  const home = rig.joints.map((joint) => joint.home);
  const wanted = [...must.travels.keys()].filter((k) => must.travels[k]! > 0);
  const firm: Place[] = [HOME, ...wanted.map((k) => along(k, must.travels[k]!))].map((pose) => ({ pose, q: home }));
  const corners = cornersOf(must.travels, must.together).map((pose): Place => ({ pose, q: home }));
  const turned = turnedOf(ask);
  const places = [...firm, ...corners, ...turned.flatMap((i) => tilted(ask, home, i))];
  const instants = new Instants(places.length, stands);
  const size = 6 + stands.axes.length;
  const each = 3 * size * size;
  const [mass, bends] = [new Float64Array(each * firm.length), new Float64Array(each * firm.length)];
  const weights = stands.weighted.length;
  const [massPer, bendsPer] = [
    new Float64Array(each * firm.length * weights),
    new Float64Array(each * firm.length * weights),
  ];
  places.forEach((place, n) => {
    putInstant(stands, atRest(place), instants, n);
    if (n >= firm.length) return;
    putMatrices(stands.plain, null, mass, bends, n * each);
    addOwn(stands, place.q, mass, bends, n * each);
    stands.weighted.forEach((some, w) => {
      putMatrices(some, stands.plain[0]!, massPer, bendsPer, (n * weights + w) * each);
    });
  });
  return {
    instants,
    poses: Float64Array.from(places.flatMap(({ pose }) => pose.map((value, k) => (k < 3 ? value / MM_PER_M : value)))),
    firm: firm.length,
    ends: Int32Array.from(places, (_, n) => (n > 0 && n < firm.length ? wanted[n - 1]! : -1)),
    corners: firm.length,
    carried: firm.length + corners.length,
    tilted: turned,
    size,
    mass,
    bends,
    massPer,
    bendsPer,
  };
}

const along = (k: number, by: number): Pose =>
  HOME.map((_, c) => (c === k >> 1 ? (k & 1 ? by : -by) : 0)) as unknown as Pose;

/** Every choice of one end of each wanted component, shrunk to the share that is wanted at once. */
function cornersOf(travels: Float64Array, share: number): Pose[] {
  if (!(share > 0)) return [];
  let poses: number[][] = [[]];
  for (let c = 0; c < TRAVELS / 2; c++) {
    const ends = [...new Set([-travels[2 * c]! * share, travels[2 * c + 1]! * share].map((end) => end + 0))];
    poses = poses.flatMap((pose) => ends.map((end) => [...pose, end]));
  }
  return poses as unknown as Pose[];
}

const zeros = (n: number): Float64Array => new Float64Array(n);
const atRest = ({ pose, q }: Place): Instant => ({
  pose,
  twist: zeros(6),
  rate: zeros(6),
  others: { q, v: zeros(q.length), a: zeros(q.length) },
});

/** Joints that carry the base, and those in space that are designed, by index. */
function turnedOf({ rig, freeAxes }: Ask): number[] {
  const found: number[] = [];
  for (let on = platformOf(rig).on; on !== null;) {
    const i = rig.joints.findIndex(({ name }) => name === on);
    found.push(i);
    on = rig.joints[i]?.axis?.on ?? null;
  }
  const designed = rig.joints.flatMap(({ name, axis }, i) => (axis && freeAxes.includes(name) ? [i] : []));
  return [...new Set([...found, ...designed])];
}

const tilted = ({ rig }: Ask, home: readonly number[], i: number): Place[] =>
  [rig.joints[i]!.lo, rig.joints[i]!.hi].map((at) => ({ pose: HOME, q: home.with(i, at) }));

/** The parabolas of both matrices at `at`, less those of another stand-in. */
function putMatrices(
  some: readonly StandIn[],
  less: StandIn | null,
  mass: Float64Array,
  bends: Float64Array,
  at: number,
): void {
  const put = (of: (stand: StandIn) => Float64Array, out: Float64Array): void => {
    const found = some.map(of);
    const base = less && of(less);
    for (let k = 0; k < found[0]!.length; k++) {
      const value = (n: 0 | 1 | 2): number => found[n]![k]! - (base ? base[k]! : 0);
      parabola([value(0), value(1), value(2)], out, at + 3 * k);
    }
  };
  put((stand) => stand.massMatrix(), mass);
  put((stand) => gravityBends(stand), bends);
}

/** Loads of the joints' own. */
function addOwn(
  { rig, axes }: StandIns,
  q: readonly number[],
  mass: Float64Array,
  bends: Float64Array,
  at: number,
): void {
  const size = 6 + axes.length;
  axes.forEach((i, k) => {
    const joint = rig.joints[i]!;
    const diagonal = at + 3 * ((6 + k) * size + 6 + k);
    mass[diagonal]! += loadInertia(joint);
    bends[diagonal]! -= pullOf(joint) * Math.sin(q[i]! - (joint.load?.arm_level_at_rad ?? 0));
  });
}
