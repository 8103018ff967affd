/**
 * What `load` answers of a take, kept up to date: what holds whatever is played is found once, and along the take only the ticks near
 * an edit are worked out anew.
 */
import { type Along, goesThere, sumAlong, ticksIn } from '../../../load/along.ts';
import { Demand } from '../../../load/demand.ts';
import { type NoAnswer, load } from '../../../load/load.ts';
import type { LoadAnswer } from '../../../load/result.ts';
import { troublesOf } from '../../../load/troubles.ts';
import { restUses, warmOf } from '../../../load/warm.ts';
import { beyondLimitsIn } from '../../../physics/dynamics/beyond.ts';
import { HOME, type Rig } from '../../../rig/rig.ts';
import type { StoredStream } from '../../../stream/stored.ts';
import { Lengths } from './lengths.ts';
import { type Rows, changed } from './rows.ts';

/** A frame's curve reaches so many frames to either side. */
const REACHES = 2;
/** Ticks between two pauses. */
const BLOCK_TICKS = 1000;

export class Carried {
  /** Without a take. */
  readonly base: LoadAnswer | NoAnswer;
  private readonly rig: Rig;
  private readonly demand: Demand;
  private readonly rest: readonly (number | null)[];
  private known: { readonly rows: Rows; readonly lengths: Lengths } | null = null;

  constructor(rig: Rig) {
    this.rig = rig;
    this.base = load(rig, { pose: HOME, without: [], stream: null });
    this.demand = new Demand(rig);
    this.rest = restUses(this.demand);
  }

  /** @param pause as Judge has it. Null: given up. */
  async answer(rows: Rows, name: string, pause: () => Promise<boolean>): Promise<LoadAnswer | NoAnswer | null> {
    const { base, known, rig } = this;
    if ('refused' in base) return base;
    const lengths = await this.walk(rows, known, pause);
    if (!lengths) return null;
    this.known = { rows, lengths };
    const along = sumAlong(
      rig.joints,
      lengths.all.map(({ sum }) => sum),
      lengths.heats(rig.joints),
      lengths.ticks,
    );
    return withAlong(rig, base, along, { name, stored: rows.stream }, this.rest);
  }

  private async walk(rows: Rows, known: Carried['known'], pause: () => Promise<boolean>): Promise<Lengths | null> {
    const { demand } = this;
    const { stream } = rows;
    const first_s = stream.time(0);
    const ticks = ticksIn(stream.time(stream.count - 1) - first_s, demand.dt_s);
    const before = known?.lengths.ticks === ticks ? known : null;
    const edit = before && changed(before.rows, rows);
    if (before && !edit) return before.lengths;
    const tickOf = (n: number): number =>
      Math.round((stream.time(Math.max(0, Math.min(stream.count - 1, n))) - first_s) / demand.dt_s);
    const from = edit ? Math.max(0, tickOf(edit.first - REACHES) - 1) : 0;
    const to = edit ? Math.min(ticks, tickOf(edit.last + REACHES) + 2) : ticks;
    const span = { first_s, dt_s: demand.dt_s, ticks };
    const lengths = before ? before.lengths.anew(span, from, to) : new Lengths(this.rig.joints.length, span);
    // Each tick reads the stream a tick ahead: with two before the first the instants are those of one walk, to the last bit.
    const start = Math.max(0, from - 2);
    for (let k = start; k < to; k++) {
      if ((k - start) % BLOCK_TICKS === BLOCK_TICKS - 1 && !(await pause())) return null;
      const isThere = demand.look(stream, first_s + k * demand.dt_s, k === start) && goesThere(demand);
      if (isThere && k >= from) lengths.put(k, demand);
    }
    lengths.sumUp(from, to);
    return lengths;
  }
}

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
