/**
 * Room between the bodies of a platform: cranks and rods as capsules (segments with a thickness), servos' bodies as boxes, the two
 * plates as discs. What is joined is not looked at: a crank and its own rod, a crank and its own servo. Parts that ride along are not
 * known here. m.
 */
import { BOX, boxToBox, boxToDisc, segmentToBox } from '../../physics/kinematics/boxes.ts';
import type { Clearance } from '../../rig/clearance.ts';
import { faceBehindRod_mm } from '../../rig/servo-body.ts';
import type { LegSet } from './legs.ts';
import { segmentDistance, squareTo } from './segments.ts';
import { inwardOf } from './sizes.ts';
import type { Rods } from './statics.ts';

const MM = 1e-3;

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

/** Cranks or rods (or actuators), which are all alike. */
interface Bars {
  /** Segments, 6 numbers each. */
  readonly segments: Float64Array;
  readonly radius: number;
  /** A segment's length, or more. */
  long: number;
  /** Number of the first of these bodies. */
  readonly first: number;
}

export class Spaces {
  /** Least room so far, m, and between which two. */
  least = Infinity;
  nearest = 0;
  private readonly clearance: Clearance;
  private readonly cranks: Bars;
  private readonly rods: Bars;
  private readonly servos = new Float64Array(6 * BOX);
  /** From a box's middle to its corners. */
  private corner = 0;
  /** The moving plate's face: see boxes.ts. */
  private readonly plate = new Float64Array(7);
  private plateRadius = 0;
  private readonly pivot_m: readonly number[];

  constructor(clearance: Clearance, pivot_mm: readonly number[]) {
    this.clearance = clearance;
    const bars = (thick_mm: number, first: number): Bars => ({
      segments: new Float64Array(36),
      radius: (thick_mm / 2) * MM,
      long: 0,
      first,
    });
    this.cranks = bars(clearance.horn_thick_mm, BODIES.crank);
    this.rods = bars(clearance.rod_thick_mm, BODIES.rod);
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
    for (let i = 0; i < 6; i++)
      for (let k = 0; k < i; k++)
        this.tell(boxToBox(this.servos, BOX * i, this.servos, BOX * k), BODIES.servo + k, BODIES.servo + i);
  }

  private putServos(legs: LegSet, [long_mm, high_mm, deep_mm]: readonly [number, number, number]): void {
    const { servos } = this;
    const [long, high, deep] = [(long_mm / 2) * MM, (high_mm / 2) * MM, (deep_mm / 2) * MM];
    this.corner = Math.sqrt(long * long + high * high + deep * deep);
    for (let i = 0, o = 0; i < 6; i++, o += BOX) {
      const middle = (faceBehindRod_mm(this.clearance) * MM + deep) * inwardOf(legs, i);
      servos[o] = legs.base[3 * i]! - middle * legs.uy[i]!;
      servos[o + 1] = legs.base[3 * i + 1]! + middle * legs.ux[i]!;
      servos[o + 2] = legs.base[3 * i + 2]!;
      servos[o + 3] = legs.ux[i]!;
      servos[o + 4] = legs.uy[i]!;
      servos[o + 5] = long;
      servos[o + 6] = deep;
      servos[o + 7] = high;
    }
  }

  /** A pose: the legs are placed there, and their rods worked out. */
  at(legs: LegSet, placed: Rods): void {
    this.putBars(legs, placed);
    this.lookAtBars(legs);
    if (!legs.linear) this.lookAtPlates(legs);
  }

  /** Cranks and rods, with each other and with servos. */
  private lookAtBars(legs: LegSet): void {
    const { cranks, rods } = this;
    cranks.long = legs.crank;
    rods.long = legs.linear ? legs.longest : legs.rod;
    for (let i = 0; i < 6; i++) {
      for (let k = 0; k < i; k++) this.look(rods, i, rods, k);
      if (legs.linear) continue;
      for (let k = 0; k < 6; k++) {
        if (k < i) this.look(cranks, i, cranks, k);
        if (k !== i) this.look(rods, i, cranks, k);
        this.lookAtServo(rods, i, k);
        if (k !== i) this.lookAtServo(cranks, i, k);
      }
    }
  }

  /** Whether two bodies come nearer than a gap at a pose; writes `least` over. Servos beside each other are looked at in `begin` alone. */
  isTight(legs: LegSet, placed: Rods, gap_m: number): boolean {
    this.least = gap_m;
    this.putBars(legs, placed);
    if (!legs.linear) this.lookAtPlates(legs);
    if (this.least >= gap_m) this.lookAtBars(legs);
    return this.least < gap_m;
  }

  /** The rods; and the cranks, which run beside them. */
  private putBars(legs: LegSet, { tip }: Rods): void {
    const { segments: rods, radius: rod } = this.rods;
    const { segments: cranks, radius: horn } = this.cranks;
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
    const { servos, plate } = this;
    const { segments: rods, radius: rod } = this.rods;
    const floor = -this.clearance.axes_above_base_mm * MM;
    this.putPlate(legs);
    for (let i = 0; i < 6; i++) {
      this.tell(rods[6 * i + 2]! - legs.base[3 * i + 2]! - floor - rod, BODIES.crank + i, BODIES.base);
      this.tell(this.toPlate(legs, rods, 6 * i) - rod, BODIES.crank + i, BODIES.plate);
      this.tell(boxToDisc(servos, BOX * i, plate, this.least), BODIES.servo + i, BODIES.plate);
    }
  }

  private putPlate({ turn: m, centre }: LegSet): void {
    const { plate, pivot_m: p } = this;
    const [x, y, z] = [-p[0]!, -p[1]!, -p[2]! - this.clearance.plate_below_studs_mm * MM];
    for (let k = 0; k < 3; k++) {
      plate[k] = centre[k]! + m[3 * k]! * x + m[3 * k + 1]! * y + m[3 * k + 2]! * z;
      plate[3 + k] = m[3 * k + 2]!;
    }
    plate[6] = this.plateRadius;
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

  /** A bar of leg i and leg k's servo. */
  private lookAtServo({ segments, radius, long, first }: Bars, i: number, k: number): void {
    const { servos } = this;
    const a = 6 * i;
    const b = BOX * k;
    // Further than the balls around them: not the nearest.
    const x = (segments[a]! + segments[a + 3]!) / 2 - servos[b]!;
    const y = (segments[a + 1]! + segments[a + 4]!) / 2 - servos[b + 1]!;
    const z = (segments[a + 2]! + segments[a + 5]!) / 2 - servos[b + 2]!;
    const reach = this.least + radius + this.corner + long / 2;
    if (x * x + y * y + z * z > reach * reach) return;
    // Nor is a bar that stays off the ball around the servo: four of five that are left (measured).
    const off = this.least + radius + this.corner;
    if (squareTo(segments, a, servos[b]!, servos[b + 1]!, servos[b + 2]!) > off * off) return;
    this.tell(segmentToBox(segments, a, servos, b) - radius, first + i, BODIES.servo + k);
  }

  /** Leg i's bar of one kind, and leg k's of another. */
  private look(one: Bars, i: number, other: Bars, k: number): void {
    const { segments: A } = one;
    const { segments: B } = other;
    const a = 6 * i;
    const b = 6 * k;
    const thick = one.radius + other.radius;
    // Further than the balls around them: not the nearest.
    const x = A[a]! + A[a + 3]! - B[b]! - B[b + 3]!;
    const y = A[a + 1]! + A[a + 4]! - B[b + 1]! - B[b + 4]!;
    const z = A[a + 2]! + A[a + 5]! - B[b + 2]! - B[b + 5]!;
    const reach = 2 * (this.least + thick) + (one.long + other.long);
    if (x * x + y * y + z * z > reach * reach) return;
    this.tell(segmentDistance(A, a, B, b) - thick, other.first + k, one.first + i);
  }

  private tell(room: number, first: number, second: number): void {
    if (!(room < this.least)) return;
    this.least = room;
    this.nearest = bodyPair(first, second);
  }
}
