/**
 * Six legs of a candidate, f64, without allocation and without an arc tangent: where a crank stands is kept as the tangent of half its
 * angle, which rises with it, and limits are turned into the same once. The formulas are those of rig/legs.ts and
 * kinematics/inverse.ts, in the base's own frame (crank azimuths lie in x, y; z is off the plate). Lengths m.
 */

/** What stops a pose, in the order in which it is told; the last is ours: the plate hangs loose there. */
export const CAUSES = ['rod', 'stroke', 'limit', 'rod_end', 'loose'] as const;
export type Cause = (typeof CAUSES)[number];

/** Margins of a leg: reach (two), soft limits (two), rod ends (two). */
export const PER_LEG = 6;
export const MARGINS = 6 * PER_LEG;
/** Of what cannot stop this rig, or cannot be told because the leg does not reach. */
const ROOM = 1;

export class LegSet {
  linear = false;
  /** Cranks folded over. */
  other = false;
  crank = 0;
  rod = 0;
  shortest = 0;
  longest = 0;
  /** sin² of the most a rod end tilts; Infinity: it is not looked at. */
  tilt2 = Infinity;
  /** The pivot at home. */
  readonly pivot = new Float64Array(3);
  /** Base joints; from pivot to moving joint at home. */
  readonly base = new Float64Array(18);
  readonly arm = new Float64Array(18);
  /** Cosine and sine of each crank's azimuth. */
  readonly ux = new Float64Array(6);
  readonly uy = new Float64Array(6);
  /** Soft limits as `at` counts. */
  readonly lo = new Float64Array(6);
  readonly hi = new Float64Array(6);

  /** After `place`: the pose's rotation, row-major, and the pivot. */
  readonly turn = new Float64Array(9);
  readonly centre = new Float64Array(3);
  /** From pivot to moving joint; from base joint to moving joint: 3 a leg. */
  readonly r = new Float64Array(18);
  readonly l = new Float64Array(18);
  /**
   * A crank's tan(α/2), or -cot(α/2) when it is folded over; an actuator's length. NaN: it does not reach.
   */
  readonly at = new Float64Array(6);
  /** Root of D (rig/legs.ts), m: a crank's lever on its rod; of an actuator its length. */
  readonly root = new Float64Array(6);
  /** D. */
  private readonly d = new Float64Array(6);
  /** How far a leg goes along its crank at angle 0, and along its shaft. */
  readonly along = new Float64Array(6);
  private readonly across = new Float64Array(6);

  /** @returns the angle's stand-in: see `at`. */
  markOf(angle_rad: number): number {
    if (this.linear) return angle_rad;
    if (this.other)
      return angle_rad <= 0 ? -Infinity : angle_rad >= 2 * Math.PI ? Infinity : -1 / Math.tan(angle_rad / 2);
    return angle_rad <= -Math.PI ? -Infinity : angle_rad >= Math.PI ? Infinity : Math.tan(angle_rad / 2);
  }

  /** The angle in rad, or the length in m, of a mark. */
  coordinateOf(mark: number): number {
    if (this.linear) return mark;
    return 2 * (this.other ? Math.atan2(1, -mark) : Math.atan(mark));
  }

  /** Places the legs for the rotation in `turn`, with the pivot displaced from home. @returns whether all reach. */
  place(x: number, y: number, z: number): boolean {
    const { turn: m, centre, pivot, arm, base, r, l } = this;
    const cx = (centre[0] = pivot[0]! + x);
    const cy = (centre[1] = pivot[1]! + y);
    const cz = (centre[2] = pivot[2]! + z);
    const m0 = m[0]!;
    const m1 = m[1]!;
    const m2 = m[2]!;
    const m3 = m[3]!;
    const m4 = m[4]!;
    const m5 = m[5]!;
    const m6 = m[6]!;
    const m7 = m[7]!;
    const m8 = m[8]!;
    let all = true;
    for (let i = 0, j = 0; i < 6; i++, j += 3) {
      const a0 = arm[j]!;
      const a1 = arm[j + 1]!;
      const a2 = arm[j + 2]!;
      const rx = m0 * a0 + m1 * a1 + m2 * a2;
      const ry = m3 * a0 + m4 * a1 + m5 * a2;
      const rz = m6 * a0 + m7 * a1 + m8 * a2;
      r[j] = rx;
      r[j + 1] = ry;
      r[j + 2] = rz;
      const lx = cx + rx - base[j]!;
      const ly = cy + ry - base[j + 1]!;
      const lz = cz + rz - base[j + 2]!;
      l[j] = lx;
      l[j + 1] = ly;
      l[j + 2] = lz;
      const reached = this.linear ? this.placeActuator(i, lx, ly, lz) : this.placeCrank(i, lx, ly, lz);
      all = reached && all;
    }
    return all;
  }

  private placeCrank(i: number, lx: number, ly: number, lz: number): boolean {
    const ux = this.ux[i]!;
    const uy = this.uy[i]!;
    const N = lx * ux + ly * uy;
    const across = ly * ux - lx * uy;
    const a = this.crank;
    const L = (N * N + across * across + lz * lz - (this.rod - a) * (this.rod + a)) / (2 * a);
    const D = N * N + (lz - L) * (lz + L);
    this.along[i] = N;
    this.across[i] = across;
    this.d[i] = D;
    if (!(D >= 0 && lz > 0)) {
      this.at[i] = NaN;
      return false;
    }
    const root = Math.sqrt(D);
    this.root[i] = root;
    const far = lz + root;
    this.at[i] = this.other ? -(N + L) / far : (L - N) / far;
    return true;
  }

  private placeActuator(i: number, lx: number, ly: number, lz: number): boolean {
    const length = Math.sqrt(lx * lx + ly * ly + lz * lz);
    this.root[i] = length;
    const reached = length >= this.shortest && length <= this.longest;
    this.at[i] = reached ? length : NaN;
    return reached;
  }

  cosine(i: number): number {
    const t = this.at[i]!;
    const square = t * t;
    return this.other ? (square - 1) / (square + 1) : (1 - square) / (1 + square);
  }

  sine(i: number): number {
    const t = this.at[i]!;
    return ((this.other ? -2 : 2) * t) / (1 + t * t);
  }

  /** Of leg i's rod against its stud on the plate, m: rod · (R·stud). */
  private onPlate(i: number): number {
    const { turn: m, l, ux, uy, crank } = this;
    const j = 3 * i;
    const u = ux[i]!;
    const v = uy[i]!;
    const c = crank * this.cosine(i);
    const s = crank * this.sine(i);
    const x = m[1]! * u - m[0]! * v;
    const y = m[4]! * u - m[3]! * v;
    const z = m[7]! * u - m[6]! * v;
    return (l[j]! - c * u) * x + (l[j + 1]! - c * v) * y + (l[j + 2]! - s) * z;
  }

  /**
   * What stops the legs where they are placed: a code, 8 · (place in CAUSES) + leg, or -1: nothing. The first of rod (or stroke),
   * limit, rod end; then the lowest leg.
   */
  stop(): number {
    const { at, lo, hi, across, rod, tilt2 } = this;
    for (let i = 0; i < 6; i++) if (at[i] !== at[i]) return (this.linear ? 8 : 0) + i;
    for (let i = 0; i < 6; i++) if (!(at[i]! >= lo[i]! && at[i]! <= hi[i]!)) return 16 + i;
    if (this.linear || tilt2 === Infinity) return -1;
    const most = tilt2 * rod * rod;
    for (let i = 0; i < 6; i++) {
      if (!(across[i]! * across[i]! <= most)) return 24 + i;
      const on = this.onPlate(i);
      if (!(on * on <= most)) return 24 + i;
    }
    return -1;
  }

  /**
   * The margins of kinematics/margins.ts, soft limits by twice the tangent of half the angle: each is above 0 while its stop leaves
   * room. @returns the least.
   */
  marginsInto(out: Float64Array, from: number): number {
    const { at, lo, hi, across, rod, tilt2 } = this;
    const per = this.linear ? 1 / this.longest : 2;
    const scale = 1 / (rod * rod);
    let least = Infinity;
    for (let i = 0, o = from; i < 6; i++, o += PER_LEG) {
      const mark = at[i]!;
      let low: number;
      let high: number;
      if (this.linear) {
        low = (this.root[i]! - this.shortest) * per;
        high = (this.longest - this.root[i]!) * per;
      } else {
        low = this.d[i]! * scale;
        high = this.l[3 * i + 2]! / rod;
      }
      out[o] = low;
      out[o + 1] = high;
      if (low < least) least = low;
      if (high < least) least = high;
      const reached = mark === mark;
      const below = reached ? per * (mark - lo[i]!) : ROOM;
      const above = reached ? per * (hi[i]! - mark) : ROOM;
      out[o + 2] = below;
      out[o + 3] = above;
      if (below < least) least = below;
      if (above < least) least = above;
      if (reached && tilt2 !== Infinity && !this.linear) {
        const on = this.onPlate(i);
        const crankEnd = tilt2 - across[i]! * across[i]! * scale;
        const plateEnd = tilt2 - on * on * scale;
        out[o + 4] = crankEnd;
        out[o + 5] = plateEnd;
        if (crankEnd < least) least = crankEnd;
        if (plateEnd < least) least = plateEnd;
      } else out[o + 4] = out[o + 5] = ROOM;
    }
    return least;
  }
}
