/**
 * What `load` answers of a take, kept up to date: what holds whatever is played is found once, and along the take only the ticks near
 * an edit are worked out anew.
 */
import { type Along, type Moment, goesThere, sumAlong, ticksIn } from '../../../load/along.ts';
import { Demand } from '../../../load/demand.ts';
import { type NoAnswer, load } from '../../../load/load.ts';
import type { LoadAnswer } from '../../../load/result.ts';
import { troublesOf } from '../../../load/troubles.ts';
import { restUses, warmOf } from '../../../load/warm.ts';
import { beyondLimitsIn } from '../../../physics/dynamics/beyond.ts';
import { HOME, type Rig } from '../../../rig/rig.ts';
import type { StoredStream } from '../../../stream/stored.ts';
import { type Rows, changed } from './rows.ts';

/** Figures of a joint at a tick that are kept: rate, effort at the servo, use, share, needed. */
const FIGURES = 5;
/** A frame's curve reaches so many frames to either side. */
const REACHES = 2;

/** Ticks kept, as moments to be summed up. */
class Kept {
  readonly ticks: number;
  /** By tick: 1 where the pose is within reach. */
  readonly known: Uint8Array;
  readonly figures: Float64Array;
  readonly currents: Float64Array;
  private readonly n: number;
  private readonly rate: Float64Array;
  private at = 0;
  private k = 0;
  readonly moment: Moment;

  constructor(n: number, ticks: number) {
    this.n = n;
    this.rate = new Float64Array(n);
    this.ticks = ticks;
    this.known = new Uint8Array(ticks);
    this.figures = new Float64Array(FIGURES * n * ticks);
    this.currents = new Float64Array(ticks);
    const figure = (i: number, of: number): number => this.figures[this.at + FIGURES * i + of]!;
    this.moment = {
      rate: this.rate,
      atServo: (i) => figure(i, 1),
      use: (i) => figure(i, 2),
      share: (i) => figure(i, 3),
      needed: (i) => figure(i, 4),
      current: () => this.currents[this.k]!,
    };
  }

  put(k: number, demand: Demand): void {
    this.known[k] = 1;
    this.currents[k] = demand.current();
    for (let i = 0, at = FIGURES * this.n * k; i < this.n; i++, at += FIGURES) {
      this.figures[at] = demand.rate[i]!;
      this.figures[at + 1] = demand.atServo(i);
      this.figures[at + 2] = demand.use(i);
      this.figures[at + 3] = demand.share(i);
      this.figures[at + 4] = demand.needed(i);
    }
  }

  /** A view that the next call changes; null: out of reach. */
  momentAt(k: number): Moment | null {
    this.k = k;
    this.at = FIGURES * this.n * k;
    for (let i = 0; i < this.n; i++) this.rate[i] = this.figures[this.at + FIGURES * i]!;
    return this.known[k] === 1 ? this.moment : null;
  }

  take(other: Kept, from: number, to: number): void {
    const each = FIGURES * this.n;
    this.known.set(other.known.subarray(from, to), from);
    this.currents.set(other.currents.subarray(from, to), from);
    this.figures.set(other.figures.subarray(each * from, each * to), each * from);
  }
}

export class Carried {
  /** Without a take. */
  readonly base: LoadAnswer | NoAnswer;
  private readonly rig: Rig;
  private readonly demand: Demand;
  private readonly rest: readonly (number | null)[];
  private known: { readonly rows: Rows; readonly kept: Kept } | null = null;

  constructor(rig: Rig) {
    this.rig = rig;
    this.base = load(rig, { pose: HOME, without: [], stream: null });
    this.demand = new Demand(rig);
    this.rest = restUses(this.demand);
  }

  /** @param pause as Judge has it. Null: given up. */
  async answer(rows: Rows, name: string, pause: () => Promise<boolean>): Promise<LoadAnswer | NoAnswer | null> {
    const { base, known } = this;
    if ('refused' in base) return base;
    const kept = await this.walk(rows, known, pause);
    if (!kept) return null;
    this.known = { rows, kept };
    const along = sumAlong(
      this.rig.joints,
      { first_s: rows.stream.time(0), dt_s: this.demand.dt_s, ticks: kept.ticks },
      (_, k) => kept.momentAt(k),
    );
    return withAlong(this.rig, base, along, { name, stored: rows.stream }, this.rest);
  }

  private async walk(
    { stream, text }: Rows,
    known: Carried['known'],
    pause: () => Promise<boolean>,
  ): Promise<Kept | null> {
    const { demand } = this;
    const first_s = stream.time(0);
    const ticks = ticksIn(stream.time(stream.count - 1) - first_s, demand.dt_s);
    const kept = new Kept(this.rig.joints.length, ticks);
    let [from, to] = [0, ticks];
    const edit = known && changed(known.rows, { stream, text });
    if (known && known.kept.ticks === ticks) {
      const tickOf = (n: number): number =>
        Math.round((stream.time(Math.max(0, Math.min(stream.count - 1, n))) - first_s) / demand.dt_s);
      from = edit ? Math.max(0, tickOf(edit.first - REACHES) - 1) : 0;
      to = edit ? Math.min(ticks, tickOf(edit.last + REACHES) + 2) : 0;
      kept.take(known.kept, 0, from);
      kept.take(known.kept, to, ticks);
    }
    for (let k = from; k < to; k++) {
      if ((k - from) % AT_ONCE === AT_ONCE - 1 && !(await pause())) return null;
      if (demand.look(stream, first_s + k * demand.dt_s, k === from) && goesThere(demand)) kept.put(k, demand);
    }
    return kept;
  }
}
/** Ticks between two pauses. */
const AT_ONCE = 1000;

/** The answer without a stream, with what the stream asks put in, as load.ts puts it. */
function withAlong(
  rig: Rig,
  base: LoadAnswer,
  along: Along,
  { name, stored }: { readonly name: string; readonly stored: StoredStream },
  rest: readonly (number | null)[],
): LoadAnswer {
  const joints = base.joints.map((joint, i) => ({ ...joint, along: along.joints[i] ?? null, needs: null }));
  const { hold_a } = base.supply;
  const current = hold_a === null ? null : along.current;
  const supply = { ...base.supply, peak_a: current?.peak_a ?? null, peak_at_s: current?.at_s ?? null };
  const troubles = troublesOf(joints, supply);
  const beyond = beyondLimitsIn(rig, stored);
  const uses = joints.flatMap(({ along: moved }) => (moved?.use == null ? [] : [moved.use]));
  return {
    ...base,
    ok: troubles.length === 0 && beyond.length === 0 && along.out_of_reach === 0,
    troubles,
    stream: name,
    joints,
    seconds: stored.time(stored.count - 1) - stored.time(0),
    out_of_reach: along.out_of_reach,
    beyond,
    warm: warmOf(joints, rest, true),
    supply,
    most: base.most === null && uses.length === 0 ? null : Math.max(base.most ?? 0, ...uses),
  };
}
