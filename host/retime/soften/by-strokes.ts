/**
 * Softens a joint stroke by stroke: each that asks for too much takes as long as it must along its own way, out of the stillness
 * around it. Strokes that would move too far are left as they are, for another way.
 */
import { bisector } from 'd3-array';
import { PER_TICK } from './clock.ts';
import type { Curve } from './curve.ts';
import type { Asked, Judge } from './judge.ts';
import { Law, type Shares } from './law.ts';
import type { Lone } from './lone.ts';
import { type Timed, place } from './place.ts';
import { type Range, joined } from './ranges.ts';
import { type Stroke, strokesOf } from './stroke.ts';

/** The middle of a stroke moves no further than this, s. */
const FURTHEST_S = 0.15;
/** Planned with a little less than the limits. */
const PLANNED: Shares = { speed: 0.995, accel: 0.99 };
/** After so many rounds a stroke that still asks for too much is given up. */
const PATIENCE = 20;
const ROUNDS = 40;
/** One round takes away at most so much of a limit. */
const AT_MOST = 0.6;
/** A stroke that moved less has not. */
const MOVED_S = 1e-9;
/** Instants around a stroke at which ticks feel it. */
const AROUND = 2 * PER_TICK;

const firstTo = bisector(({ to }: Range) => to);

/** What became of one stroke. */
export interface Softened {
  readonly stroke: Stroke;
  /** Longer than it was, not moved alone. */
  readonly isLonger: boolean;
  readonly moved_s: number;
}

interface Item {
  readonly stroke: Stroke;
  readonly own: Timed;
  shares: Shares | null;
  law: Law | null;
  moved_s: number;
  isGivenUp: boolean;
}

export class ByStrokes {
  private readonly lone: Lone;
  private readonly curve: Curve;
  private readonly judge: Judge;
  private readonly items: readonly Item[];
  /** Where each item's stroke lies now, in instants: in order. */
  private ranges: readonly Range[];
  private drawn: readonly Range[] = [];

  constructor(lone: Lone, curve: Curve, judge: Judge) {
    this.lone = lone;
    this.curve = curve;
    this.judge = judge;
    const { step_s } = curve.clock;
    this.items = strokesOf(curve.was, lone, curve.clock).map((stroke) => {
      const { from, to, middle_s } = stroke;
      const own = { before_s: middle_s - from * step_s, after_s: to * step_s - middle_s, middle_s };
      return { stroke, own, shares: null, law: null, moved_s: 0, isGivenUp: false };
    });
    this.ranges = this.items.map(({ stroke }) => stroke);
  }

  /** Changes the curve. @param found what asks for too much in it. */
  soften(found: readonly Asked[]): Softened[] {
    for (const asked of found) for (const item of this.around(asked.at)) this.tighten(item, null);
    for (let round = 0; round < ROUNDS; round++) {
      this.placeAll();
      this.ranges = this.items.map((item) => this.rangeOf(item));
      this.draw();
      const still = this.stillTooMuch();
      if (still.length === 0) break;
      for (const [item, asked] of still)
        if (round < PATIENCE && asked) this.tighten(item, asked);
        else this.giveUp(item);
    }
    return this.items
      .filter((item) => isChanged(item))
      .map(({ stroke, shares, moved_s }) => ({ stroke, isLonger: shares !== null, moved_s: Math.abs(moved_s) }));
  }

  /** Items whose strokes a tick at an instant feels. */
  private around(at: number): Item[] {
    const { ranges, items } = this;
    const felt: Item[] = [];
    for (let k = firstTo.left(ranges, at - AROUND); k < ranges.length && ranges[k]!.from <= at + AROUND; k++)
      if (!items[k]!.isGivenUp) felt.push(items[k]!);
    return felt;
  }

  /** Where an item's stroke lies now, in instants. */
  private rangeOf({ stroke, own, law, moved_s }: Item): Range {
    if (!law) return stroke;
    const { step_s } = this.curve.clock;
    const from_s = own.middle_s + moved_s - law.middle_s;
    return { from: Math.floor(from_s / step_s), to: Math.ceil((from_s + law.length_s) / step_s) };
  }

  private tighten(item: Item, asked: Asked | null): void {
    const { speed, accel } = item.shares ?? PLANNED;
    const by = (share: number): number => Math.max(AT_MOST, Math.min(1, this.judge.wanted / share));
    const torque = asked ? by(asked.torque) : 1;
    item.shares =
      asked && item.shares
        ? { speed: speed * by(asked.speed) * Math.sqrt(torque), accel: accel * by(asked.accel) * torque }
        : PLANNED;
    const { curve, lone } = this;
    item.law = new Law(curve.was, item.stroke, curve.clock.step_s, lone.bounds, item.shares);
  }

  /** Finds room for all strokes; those for which there is none are given up. */
  private placeAll(): void {
    const { items, curve } = this;
    const { step_s, lastFrame, perFrame } = curve.clock;
    let from_s = 0;
    for (let first = 0; first < items.length;) {
      let next = first;
      while (next < items.length && !items[next]!.isGivenUp) next++;
      const after = items[next];
      const to_s = after ? after.stroke.from * step_s : lastFrame * perFrame * step_s;
      // A stroke given up is a wall for the others: from here on once more.
      if (!this.placeSome(items.slice(first, next), from_s, to_s)) continue;
      if (after) from_s = after.stroke.to * step_s;
      first = next + 1;
    }
  }

  /** False: some were given up. */
  private placeSome(items: readonly Item[], from_s: number, to_s: number): boolean {
    if (items.every(({ shares }) => shares === null)) {
      for (const item of items) this.move(item, 0);
      return true;
    }
    const placed = place(items.map(timed), from_s, to_s);
    const tooFar = placed
      ? placed.blocks.filter(({ from, to }) =>
          items
            .slice(from, to)
            .some(({ own }, k) => !(Math.abs(placed.middles_s[from + k]! - own.middle_s) <= FURTHEST_S)),
        )
      : [{ from: 0, to: items.length }];
    for (const { from, to } of tooFar) for (const item of items.slice(from, to)) this.giveUp(item);
    if (!placed || tooFar.length > 0) return false;
    items.forEach((item, k) => {
      this.move(item, placed.middles_s[k]! - item.own.middle_s);
    });
    return true;
  }

  private giveUp(item: Item): void {
    item.isGivenUp = true;
    item.law = null;
    item.moved_s = 0;
  }

  private move(item: Item, by_s: number): void {
    const { curve, lone } = this;
    item.moved_s = Math.abs(by_s) > MOVED_S ? by_s : 0;
    if (item.shares === null)
      item.law = item.moved_s === 0 ? null : new Law(curve.was, item.stroke, curve.clock.step_s, lone.bounds, null);
  }

  /** Puts all strokes where they belong: what they were is taken out, what they are is put in. */
  private draw(): void {
    const { items, curve } = this;
    const { perFrame, lastFrame } = curve.clock;
    for (const { from, to } of this.drawn) curve.restore((from - 1) * perFrame, (to + 1) * perFrame);
    const changed = items.filter(isChanged);
    const values = new Float64Array(lastFrame + 1);
    for (let f = 0; f <= lastFrame; f++) values[f] = curve.was[f * perFrame]!;
    const ranges = changed.map((item) => {
      const now = this.rangeOf(item);
      const from = Math.max(1, Math.floor(Math.min(now.from, item.stroke.from) / perFrame));
      const to = Math.min(lastFrame, Math.ceil(Math.max(now.to, item.stroke.to) / perFrame));
      for (let f = from; f <= to; f++) values[f]! += this.difference(item, f);
      return { from, to };
    });
    this.drawn = joined(ranges, 2);
    for (const { from, to } of this.drawn) curve.put(from, values.subarray(from, to + 1));
  }

  private difference({ stroke, own, law, moved_s }: Item, frame: number): number {
    const { was, clock } = this.curve;
    const at = frame * clock.perFrame;
    const { from, to, sign } = stroke;
    const before = was[Math.max(from, Math.min(to, at))]! - was[from]!;
    const begins_s = own.middle_s + moved_s - law!.middle_s;
    return sign * law!.at(at * clock.step_s - begins_s) - before;
  }

  /** Strokes that ask for too much still, each with the worst; null: it leaves the soft limits. */
  private stillTooMuch(): [Item, Asked | null][] {
    const { curve, judge, lone } = this;
    const worst = new Map<Item, Asked | null>();
    const { perFrame } = curve.clock;
    const slack = (lone.joint.hi - lone.joint.lo) * 1e-6;
    for (const range of this.drawn) {
      const [from, to] = [range.from * perFrame, range.to * perFrame];
      for (const asked of judge.anyTime(curve.now, from - AROUND, to + AROUND))
        for (const item of this.around(asked.at)) worst.set(item, worseOf(worst.get(item), asked));
      for (let i = from; i <= to; i++) {
        const past = Math.max(lone.joint.lo - curve.now[i]!, curve.now[i]! - lone.joint.hi);
        if (past > slack) for (const item of this.around(i)) if (isChanged(item)) worst.set(item, null);
      }
    }
    return [...worst];
  }
}

const isChanged = ({ law, isGivenUp }: Item): boolean => law !== null && !isGivenUp;

const timed = ({ own, law }: Item): Timed =>
  law ? { before_s: law.middle_s, after_s: law.length_s - law.middle_s, middle_s: own.middle_s } : own;

function worseOf(known: Asked | null | undefined, asked: Asked): Asked | null {
  if (known === null) return null;
  const most = (key: 'speed' | 'accel' | 'torque'): number => Math.max(known?.[key] ?? 0, asked[key]);
  return { at: asked.at, speed: most('speed'), accel: most('accel'), torque: most('torque') };
}
