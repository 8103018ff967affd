/**
 * Room between the bodies of a platform: servo bodies, cranks and rods as capsules (segments with a thickness), the two plates as
 * discs. What is joined is not looked at: a crank and its own rod, a crank and its own servo. Parts that ride along are not known here.
 * A servo's body is round at its long edges: capsules side by side along its shaft, as far apart as it is thick at most. m.
 */
import type { Clearance } from '../../rig/clearance.ts';
import type { LegSet } from './legs.ts';
import { segmentDistance } from './segments.ts';
import { inwardOf } from './sizes.ts';
import type { Rods } from './statics.ts';

const MM = 1e-3;
/** Capsules of a servo's body at most. */
const MOST_CAPSULES = 4;

/** Bodies by number: cranks, rods (or actuators) and servos by leg, then the plates. */
export const BODIES = { crank: 0, rod: 6, servo: 12, base: 18, plate: 19 } as const;
/** Two bodies as one number. */
export const bodyPair = (a: number, b: number): number => 32 * a + b;

/** `leg1's rod`, for a body's number. */
export function bodyName(n: number): string {
  if (n >= BODIES.base) return n === BODIES.base ? 'the base plate' : 'the moving plate';
  const what = n >= BODIES.servo ? 'servo' : n >= BODIES.rod ? 'rod' : 'crank';
  return `leg${String((n % 6) + 1)}’s ${what}`;
}

export class Spaces {
  /** Least room so far, m, and between which two. */
  least = Infinity;
  nearest = 0;
  private readonly clearance: Clearance;
  /** Segments, 6 numbers each. */
  private readonly cranks = new Float64Array(36);
  private readonly rods = new Float64Array(36);
  private readonly servos = new Float64Array(36 * MOST_CAPSULES);
  private capsules = 0;
  private thick = 0;
  /** Length of their segments. */
  private deep = 0;
  private readonly horn: number;
  private readonly rod: number;
  private plateRadius = 0;
  private readonly pivot_m: readonly number[];

  constructor(clearance: Clearance, pivot_mm: readonly number[]) {
    this.clearance = clearance;
    this.horn = (clearance.horn_thick_mm / 2) * MM;
    this.rod = (clearance.rod_thick_mm / 2) * MM;
    this.pivot_m = pivot_mm.map((value) => value * MM);
  }

  /** A new candidate: its servos' bodies, which stand still. */
  begin(legs: LegSet, body_mm: readonly [number, number, number]): void {
    this.least = Infinity;
    this.nearest = 0;
    this.plateRadius = 0;
    for (let j = 0; j < 18; j += 3)
      this.plateRadius = Math.max(
        this.plateRadius,
        Math.hypot(legs.arm[j]! + this.pivot_m[0]!, legs.arm[j + 1]! + this.pivot_m[1]!),
      );
    if (legs.linear) return;
    this.putServos(legs, body_mm);
    const { servos, capsules } = this;
    for (let i = 0; i < 6; i++)
      for (let k = 0; k < i; k++)
        for (let m = 0; m < capsules; m++)
          for (let n = 0; n < capsules; n++)
            this.look(
              servos,
              6 * (capsules * i + m),
              servos,
              6 * (capsules * k + n),
              2 * this.thick,
              2 * this.deep,
              BODIES.servo + k,
              BODIES.servo + i,
            );
  }

  private putServos(legs: LegSet, [long_mm, thick_mm, deep_mm]: readonly [number, number, number]): void {
    const [long, thick, deep] = [long_mm * MM, thick_mm * MM, deep_mm * MM];
    const radius = Math.min(long, thick, deep) / 2;
    const count = Math.min(MOST_CAPSULES, Math.max(1, Math.ceil(long / (2 * radius) - 1e-9)));
    const face = this.rod + 2 * this.horn;
    this.thick = radius;
    this.deep = deep - 2 * radius;
    this.capsules = count;
    for (let i = 0; i < 6; i++) {
      const inward = inwardOf(legs, i);
      for (let m = 0; m < count; m++) {
        const off = count === 1 ? 0 : (long - 2 * radius) * (m / (count - 1) - 0.5);
        const o = 6 * (count * i + m);
        for (let end = 0; end < 2; end++) {
          const depth = (end === 0 ? face + radius : face + deep - radius) * inward;
          this.servos[o + 3 * end] = legs.base[3 * i]! + off * legs.ux[i]! - depth * legs.uy[i]!;
          this.servos[o + 3 * end + 1] = legs.base[3 * i + 1]! + off * legs.uy[i]! + depth * legs.ux[i]!;
          this.servos[o + 3 * end + 2] = legs.base[3 * i + 2]!;
        }
      }
    }
  }

  /** A pose: the legs are placed there, and their rods worked out. */
  at(legs: LegSet, rods: Rods): void {
    this.putBars(legs, rods);
    const { cranks, rods: bars, servos, capsules, rod, horn, deep } = this;
    const long = legs.linear ? legs.longest : legs.rod;
    for (let i = 0; i < 6; i++) {
      for (let k = 0; k < i; k++)
        this.look(bars, 6 * i, bars, 6 * k, 2 * rod, 2 * long, BODIES.rod + k, BODIES.rod + i);
      if (legs.linear) continue;
      for (let k = 0; k < 6; k++) {
        if (k < i)
          this.look(cranks, 6 * i, cranks, 6 * k, 2 * horn, 2 * legs.crank, BODIES.crank + k, BODIES.crank + i);
        if (k !== i)
          this.look(bars, 6 * i, cranks, 6 * k, rod + horn, long + legs.crank, BODIES.crank + k, BODIES.rod + i);
        for (let m = 0; m < capsules; m++) {
          const o = 6 * (capsules * k + m);
          this.look(bars, 6 * i, servos, o, rod + this.thick, long + deep, BODIES.rod + i, BODIES.servo + k);
          if (k !== i)
            this.look(
              cranks,
              6 * i,
              servos,
              o,
              horn + this.thick,
              legs.crank + deep,
              BODIES.crank + i,
              BODIES.servo + k,
            );
        }
      }
    }
    if (!legs.linear) this.lookAtPlates(legs);
  }

  /** The rods; and the cranks, which run beside them. */
  private putBars(legs: LegSet, { tip }: Rods): void {
    const { cranks, rods, rod, horn } = this;
    const { base, centre, r, ux, uy } = legs;
    for (let i = 0, j = 0, o = 0; i < 6; i++, j += 3, o += 6) {
      const back = legs.linear ? 0 : (rod + horn) * inwardOf(legs, i);
      for (let k = 0; k < 3; k++) {
        const start = base[j + k]! + (legs.linear ? 0 : tip[j + k]!);
        const beside = k === 0 ? -back * uy[i]! : k === 1 ? back * ux[i]! : 0;
        rods[o + k] = start;
        rods[o + 3 + k] = centre[k]! + r[j + k]!;
        cranks[o + k] = base[j + k]! + beside;
        cranks[o + 3 + k] = start + beside;
      }
    }
  }

  /** Of cranks' ends and the base plate's face; of cranks' ends and servos and the moving plate. */
  private lookAtPlates(legs: LegSet): void {
    const { servos, rods, rod, thick, capsules } = this;
    const floor = -this.clearance.axes_above_base_mm * MM;
    for (let i = 0; i < 6; i++) {
      this.tell(rods[6 * i + 2]! - legs.base[3 * i + 2]! - floor - rod, BODIES.crank + i, BODIES.base);
      this.tell(this.toPlate(legs, rods, 6 * i) - rod, BODIES.crank + i, BODIES.plate);
      for (let m = 0; m < capsules; m++)
        for (let end = 0; end < 6; end += 3)
          this.tell(this.toPlate(legs, servos, 6 * (capsules * i + m) + end) - thick, BODIES.servo + i, BODIES.plate);
    }
  }

  /** How far a point is beneath the moving plate's face, or beside its rim, m; below 0: above the face. */
  private toPlate({ turn: m, centre }: LegSet, points: Float64Array, o: number): number {
    const { pivot_m: p, plateRadius } = this;
    const x = points[o]! - centre[0]!;
    const y = points[o + 1]! - centre[1]!;
    const z = points[o + 2]! - centre[2]!;
    const side = m[0]! * x + m[3]! * y + m[6]! * z + p[0]!;
    const front = m[1]! * x + m[4]! * y + m[7]! * z + p[1]!;
    const high = m[2]! * x + m[5]! * y + m[8]! * z + p[2]! + this.clearance.plate_below_studs_mm * MM;
    const off = Math.sqrt(side * side + front * front) - plateRadius;
    return off <= 0 ? -high : Math.sqrt(off * off + high * high);
  }

  /** @param longs lengths of both segments together, or more. */
  private look(
    A: Float64Array,
    a: number,
    B: Float64Array,
    b: number,
    thick: number,
    longs: number,
    first: number,
    second: number,
  ): void {
    // Further than the balls around them: not the nearest.
    const x = A[a]! + A[a + 3]! - B[b]! - B[b + 3]!;
    const y = A[a + 1]! + A[a + 4]! - B[b + 1]! - B[b + 4]!;
    const z = A[a + 2]! + A[a + 5]! - B[b + 2]! - B[b + 5]!;
    const reach = 2 * (this.least + thick) + longs;
    if (x * x + y * y + z * z > reach * reach) return;
    this.tell(segmentDistance(A, a, B, b) - thick, first, second);
  }

  private tell(room: number, first: number, second: number): void {
    if (!(room < this.least)) return;
    this.least = room;
    this.nearest = bodyPair(first, second);
  }
}
