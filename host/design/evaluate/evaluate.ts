/**
 * The figures of a candidate, whole: travels with what stops them, what it holds and moves, how it shakes, what touches, what it costs.
 * Nothing is allocated for a candidate, and every figure is finite. What is shown to anyone is judged again by the library itself.
 */
import type { Design } from '../design.ts';
import { AT, FIGURES, HOPELESS } from '../figures.ts';
import { Along, shortOf } from './along.ts';
import { TRAVELS } from './ask.ts';
import { BarMatrices, type Carriers } from './bar-matrices.ts';
import { Candidate, LOOSE, STANDS } from './candidate.ts';
import { Farthest } from './farthest.ts';
import { FreeTravels } from './free-travels.ts';
import { MARGINS } from './legs.ts';
import { Modes, hzOf } from './modes.ts';
import type { Prepared } from './prepare.ts';
import { Sizes } from './sizes.ts';
import { Spaces } from './spaces.ts';

/** Looks at the side of the singular poses on the way to a stop, its end included. */
const LOOKS = 3;
const HALVINGS = 30;
const LOOSE_CODE = 32;
const MM_PER_M = 1000;
/** At the very end of a travel a leg may be out of reach by rounding. */
const INSIDE = 1 - 1e-9;
/** Halvings of the share of all musts at once: to 1e-4 of what is wanted. */
const SHARE_HALVINGS = 14;

export class Evaluation {
  private readonly prepared: Prepared;
  private readonly candidate: Candidate;
  private readonly along: Along;
  private readonly modes: Modes;
  private readonly barMatrices: BarMatrices;
  private readonly carriers: { -readonly [K in keyof Carriers]: Carriers[K] };
  private readonly sizes: Sizes;
  private readonly spaces: Spaces;
  private readonly farthest: Farthest;
  private readonly free: FreeTravels;
  private readonly margins = new Float64Array(MARGINS);
  /** Lowest λ so far. */
  private lambda = 0;

  constructor(prepared: Prepared) {
    const { stations, axes } = prepared;
    this.prepared = prepared;
    this.candidate = new Candidate(prepared);
    this.along = new Along(axes.length);
    this.modes = new Modes(stations.size);
    this.barMatrices = new BarMatrices(stations.size);
    const { along, point, carries, over } = stations.instants;
    this.carriers = { along, point, from: 0, carries, over };
    const { clearance, rig } = prepared.ask;
    this.sizes = new Sizes(prepared.ask);
    this.spaces = new Spaces(clearance, rig.platform?.pivot_mm ?? [0, 0, 0]);
    this.farthest = new Farthest(prepared.far);
    this.free = new FreeTravels(prepared.ask);
  }

  /** @param out receives FIGURES numbers from `at` on. */
  figures(design: Design, out: Float64Array, at = 0): void {
    const { candidate } = this;
    for (let k = 0; k < FIGURES; k++) out[at + k] = 0;
    const found = candidate.take(design);
    out[at + AT.price] = candidate.crew.price;
    const body_mm = this.bodyOf(design);
    this.sizes.put(candidate.legs, candidate.home_z_mm, body_mm, out, at);
    if (found === STANDS) this.judge(body_mm, out, at);
    else this.despair(found, out, at);
    for (let k = 0; k < FIGURES; k++) if (!(Math.abs(out[at + k]!) <= HOPELESS)) out[at + k] = HOPELESS;
  }

  /** It stands at home. */
  private judge(body_mm: readonly [number, number, number], out: Float64Array, at: number): void {
    const { candidate } = this;
    out[at + AT.stands] = 1;
    out[at + AT.home_z] = candidate.home_z_mm;
    this.putTravels(out, at);
    this.spaces.begin(candidate.legs, body_mm);
    this.putStations(out, at);
    this.putStream(out, at);
    out[at + AT.clearance] = this.spaces.least * MM_PER_M;
    out[at + AT.nearest] = this.spaces.nearest;
    this.free.put(candidate, this.spaces, out, at);
  }

  private bodyOf({ servo }: Design): readonly [number, number, number] {
    const { ask } = this.prepared;
    return ask.classes[servo]?.body_mm ?? ask.clearance.servo_body_mm;
  }

  /** It does not stand at home. */
  private despair(found: number, out: Float64Array, at: number): void {
    const { legs, home_z_mm } = this.candidate;
    const known = !Number.isNaN(home_z_mm);
    out[at + AT.home_z] = known ? home_z_mm : 0;
    out[at + AT.home_short] = known && found !== LOOSE ? shortOf(legs, this.margins) : 1;
    for (let k = 0; k < TRAVELS; k++) out[at + AT.stop + k] = found >= 0 ? found : LOOSE_CODE;
    out[at + AT.stream_short] = this.prepared.ticks ? 1 : 0;
    out[at + AT.use] = out[at + AT.hold_use] = out[at + AT.hold] = HOPELESS;
    out[at + AT.home_hz] = out[at + AT.lowest_hz] = out[at + AT.clearance] = -HOPELESS;
    out[at + AT.unstable] = 1;
    out[at + AT.current] = HOPELESS;
    for (let k = 0; k < this.prepared.axes.length; k++)
      out[at + AT.axis_hold_use + k] =
        out[at + AT.axis_use + k] =
        out[at + AT.axis_peak + k] =
        out[at + AT.axis_most + k] =
          HOPELESS;
  }

  private putTravels(out: Float64Array, at: number): void {
    const { travels, legs } = this.candidate;
    travels.find(legs);
    for (let k = 0; k < TRAVELS; k++) {
      const cut = this.looseOn(k, travels.by[k]!);
      const by = cut < 0 ? travels.by[k]! : cut;
      out[at + AT.travel + k] = k < TRAVELS / 2 ? by * MM_PER_M : by;
      out[at + AT.stop + k] = cut < 0 ? travels.stop[k]! : LOOSE_CODE;
    }
  }

  /** Where on travel k the plate first comes to hang loose, as far as a few looks tell; -1: nowhere. */
  private looseOn(k: number, most: number): number {
    let lo = 0;
    for (let n = 1; n <= LOOKS; n++) {
      const by = (most * n) / LOOKS;
      if (this.isSame(k, by)) lo = by;
      else {
        let hi = by;
        for (let halving = 0; halving < HALVINGS; halving++) {
          const middle = (lo + hi) / 2;
          if (this.isSame(k, middle)) lo = middle;
          else hi = middle;
        }
        return lo;
      }
    }
    return -1;
  }

  private isSame(k: number, by: number): boolean {
    const { travels, legs, rods, side } = this.candidate;
    // At the very end a leg may be out of reach by rounding, and its side then is nothing.
    return !travels.go(k, by) || rods.sideOf(legs) === side;
  }

  private putStations(out: Float64Array, at: number): void {
    const { stations, ask } = this.prepared;
    const { instants, firm, corners, carried, ends } = stations;
    let reached = ask.must.together;
    this.farthest.begin();
    for (let n = 0; n < instants.count; n++) {
      const isCorner = n >= corners && n < carried;
      if (n > 0 && n < firm && out[at + AT.travel + ends[n]!]! < ask.must.travels[ends[n]!]!) {
        this.lookAtEnd(ends[n]!, out[at + AT.travel + ends[n]!]!);
        continue;
      }
      if (!this.stand(n)) {
        if (isCorner) reached = this.shareTo(n, reached / ask.must.together) * ask.must.together;
        continue;
      }
      this.putHold(out, at);
      if (n < carried) this.spaces.at(this.candidate.legs, this.candidate.rods);
      if (n < firm) this.putModes(n, out, at);
      if (n >= carried) this.farthest.note(instants, n, this.candidate.moment, this.candidate.crew);
    }
    this.farthest.put(this.candidate.crew.toServo, out, at);
    out[at + AT.together] = reached;
    out[at + AT.lowest_hz] = hzOf(this.lambda);
    out[at + AT.unstable] = this.lambda < 0 ? 1 : 0;
  }

  /** Bodies where travel k ends short of what is asked: a design that is asked for less must not find them there. */
  private lookAtEnd(k: number, travel: number): void {
    const { travels, legs, rods } = this.candidate;
    if (!travels.go(k, (k < TRAVELS / 2 ? travel / MM_PER_M : travel) * INSIDE)) return;
    rods.put(legs);
    this.spaces.at(legs, rods);
  }

  /** Whether it can stand at station n, on home's side; then its efforts are in moment. */
  private stand(n: number): boolean {
    const { moment, legs, rods, bars, crew, height, side } = this.candidate;
    const { instants } = this.prepared.stations;
    moment.place(instants, n, legs);
    return legs.stop() < 0 && moment.work(instants, n, height, legs, rods, bars, crew, false) && rods.side === side;
  }

  /** Of the way from home to a corner, the share that it comes, as far as the most that counts. */
  private shareTo(n: number, most: number): number {
    if (most < 1 && this.comes(n, most)) return most;
    let lo = 0;
    let hi = most;
    for (let k = 0; k < SHARE_HALVINGS; k++) {
      const middle = (lo + hi) / 2;
      if (this.comes(n, middle)) lo = middle;
      else hi = middle;
    }
    return lo;
  }

  private comes(n: number, share: number): boolean {
    const { candidate, prepared } = this;
    const { legs, rods, side } = candidate;
    candidate.go(prepared.stations.poses, 6 * n, share);
    return legs.stop() < 0 && rods.sideOf(legs) === side;
  }

  private putHold(out: Float64Array, at: number): void {
    const { moment, crew } = this.candidate;
    for (let i = 0; i < 6; i++) {
      const effort = Math.abs(moment.leg[i]!);
      if (effort > out[at + AT.hold]!) out[at + AT.hold] = effort;
    }
    out[at + AT.hold_use] = told(out[at + AT.hold]! / crew.leg.stall);
    for (let k = 0; k < moment.axis.length; k++) {
      const use = told(Math.abs(moment.axis[k]!) / crew.stall[k]!);
      if (use > out[at + AT.axis_hold_use + k]!) out[at + AT.axis_hold_use + k] = use;
      this.peak(k, Math.abs(moment.axis[k]!), out, at);
    }
    if (this.prepared.ticks === null) {
      moment.spend(this.prepared.stations.instants, 0, crew, this.candidate.legs.linear);
      if (moment.current > out[at + AT.current]!) out[at + AT.current] = moment.current;
    }
  }

  private peak(k: number, effort: number, out: Float64Array, at: number): void {
    const own = effort * this.candidate.crew.toServo[k]!;
    if (own > out[at + AT.axis_peak + k]!) out[at + AT.axis_peak + k] = own;
  }

  private putModes(n: number, out: Float64Array, at: number): void {
    const { legs, rods, bars, crew, height } = this.candidate;
    const { stations } = this.prepared;
    const { modes, carriers } = this;
    const { size } = stations;
    fill(modes.M, stations.mass, stations.massPer, n, size, height, crew.weight, crew.arm);
    fill(modes.K, stations.bends, stations.bendsPer, n, size, height, crew.weight, crew.arm);
    modes.addLegs(legs, rods, crew.leg.rotor, crew.leg.stiffness);
    if (bars.weigh) {
      carriers.from = 3 * n * (size - 6);
      this.barMatrices.add(modes, legs, rods, bars, stations.instants.carrier, 9 * n + 6, carriers);
    }
    for (let k = 6; k < size; k++) {
      modes.M[k * size + k]! += crew.rotor[k - 6]!;
      modes.K[k * size + k]! += crew.stiffness[k - 6]! > 0 ? crew.stiffness[k - 6]! : RIGID;
    }
    this.lambda = modes.lowest(n === 0 ? modes.bound() : this.lambda);
    if (n === 0) out[at + AT.home_hz] = hzOf(this.lambda);
  }

  private putStream(out: Float64Array, at: number): void {
    const { ticks, reached, axes } = this.prepared;
    if (!ticks) return;
    const { along } = this;
    const { legs, rods, bars, crew, moment, height, side } = this.candidate;
    along.walk(ticks, height, side, legs, rods, bars, crew, moment);
    if (reached) along.reach(reached, legs, moment);
    out[at + AT.use] = along.legUse;
    out[at + AT.current] = along.current;
    out[at + AT.stream_short] = along.short;
    for (let k = 0; k < axes.length; k++) {
      out[at + AT.axis_use + k] = along.axisUse[k]!;
      this.peak(k, along.axisPeak[k]!, out, at);
    }
  }
}

/** Stiffness that stands for none known: rigid beside all others, N·m/rad. */
const RIGID = 1e9;

const told = (use: number): number => (use < HOPELESS ? use : HOPELESS);

/** The lower triangle of a prepared matrix of station n for a height of home and counterweights. */
function fill(
  out: Float64Array,
  plain: Float64Array,
  per: Float64Array,
  n: number,
  size: number,
  height: number,
  weight: Float64Array,
  arm: Float64Array,
): void {
  const each = 3 * size * size;
  for (let k = 0; k < size; k++)
    for (let l = 0; l <= k; l++) {
      const at = 3 * (k * size + l);
      let o = n * each + at;
      let value = plain[o]! + height * (plain[o + 1]! + height * plain[o + 2]!);
      for (let w = 0; w < weight.length; w++) {
        if (weight[w] === 0) continue;
        o = (n * weight.length + w) * each + at;
        value += weight[w]! * (per[o]! + arm[w]! * (per[o + 1]! + arm[w]! * per[o + 2]!));
      }
      out[k * size + l] = value;
    }
}
