/**
 * The trace of a take, kept up to date: an edit is judged anew from the checkpoint before it to the first one after it at which
 * everything is as it was. What comes out is what judging it from its beginning gives: the controller's part to the last bit, the
 * metal's within AS_BEFORE.
 */
import { RECORD, STOP_NOTE } from '../../../controller/leftovers.ts';
import type { PlantState } from '../../../physics/plant/plant.ts';
import type { Rig } from '../../../rig/rig.ts';
import { BLOCK, type Checkpoint, Course } from './course.ts';
import { type Rows, changed } from './rows.ts';
import { Trace } from './trace.ts';

/** The metal is as it was when nothing of it is further away, mm or rad and their rates (ours). */
const AS_BEFORE = 1e-7;

/** A take judged. */
export interface Judged {
  readonly rows: Rows;
  readonly trace: Trace;
  /** What fell, or came apart, by the trace's `fallen`; null: nothing. */
  readonly fell: string | null;
  /** Joints taken to follow exactly, by name. */
  readonly exact: readonly string[];
  /** Frames that were judged anew. */
  readonly anew: { readonly from: number; readonly to: number };
}

export class Judge {
  readonly course: Course;
  private readonly rig: Rig;
  private known: Judged | null = null;
  /** By block, before its first frame. */
  private checkpoints: Checkpoint[] = [];

  constructor(rig: Rig, wasm: Uint8Array<ArrayBuffer>) {
    this.rig = rig;
    this.course = new Course(rig, wasm);
  }

  /**
   * Judges a take. @param pause waited for after every block; false: a newer take has come, and this one is given up: what was known
   * stays known. Null: given up.
   */
  async judge(rows: Rows, pause: () => Promise<boolean>): Promise<Judged | null> {
    const { course, known } = this;
    const { count, played } = course.frames(rows);
    const edit = known && changed(known.rows, rows);
    if (known && !edit) return (this.known = { ...known, rows, anew: { from: count, to: count } });
    const from = edit ? this.blockBefore(edit.first) : 0;
    const trace = new Trace(this.rig.joints.length, count);
    [trace.count, trace.played] = [count, played];
    if (known) trace.stops = [...known.trace.stops];
    const checkpoints = this.checkpoints.slice(0, from);
    if (known && from > 0) trace.take(known.trace, 0, from * BLOCK);
    if (from > 0) course.resume(rows, this.checkpoints[from]!);
    else course.begin(rows);
    // The last frame of what is known that shows a pose out of reach: from there on the controller's note of it counts for nothing.
    const lastStop = known ? lastOf(known.trace.frame.unreachable, known.trace.count) : 0;
    let fell = from > 0 ? (known?.fell ?? null) : null;
    for (let f = from * BLOCK; f < count; f++) {
      if (f % BLOCK === 0) {
        if (f > from * BLOCK && !(await pause())) return null;
        const here = course.checkpoint();
        const block = f / BLOCK;
        const before = this.checkpoints[block];
        if (
          known &&
          edit &&
          before &&
          known.trace.count === count &&
          here.next > edit.last &&
          isAsBefore(here, before, f > lastStop)
        ) {
          trace.take(known.trace, f, count);
          // The share of torque is told a frame later, by what came before it too.
          const all = [...checkpoints, ...this.checkpoints.slice(block)];
          if (f > lastStop) for (const { memory } of this.checkpoints.slice(block)) takeNote(memory, here.memory);
          return this.keep(
            { rows, trace, fell: known.fell, exact: course.exact, anew: { from: from * BLOCK, to: f } },
            all,
          );
        }
        checkpoints.push(here);
      }
      course.frame(f, trace);
      if (trace.frame.fallen[f]! > 0) fell ??= course.fell;
    }
    return this.keep({ rows, trace, fell, exact: course.exact, anew: { from: from * BLOCK, to: count } }, checkpoints);
  }

  private keep(judged: Judged, checkpoints: Checkpoint[]): Judged {
    this.known = judged;
    this.checkpoints = checkpoints;
    return judged;
  }

  /** The last block at whose beginning frame n of the take, and the one before it, were still to be sent. */
  private blockBefore(n: number): number {
    // The metal begins where the first frame shown has it, and a first block has no state before it.
    let block = this.checkpoints.length - 1;
    while (block > 0 && !(this.checkpoints[block]!.next <= n && this.checkpoints[block]!.plant)) block--;
    return Math.max(0, block);
  }
}

/** The last of the first `count` figures that is not 0; -1: all are. */
function lastOf(figures: ArrayLike<number>, count: number): number {
  let k = count - 1;
  while (k >= 0 && figures[k] === 0) k--;
  return k;
}

/** What an edit further on may count on: the note as it would be here. */
function takeNote(memory: Uint8Array, from: Uint8Array): void {
  memory.set(from.subarray(STOP_NOTE.at, STOP_NOTE.at + STOP_NOTE.bytes), STOP_NOTE.at);
}

/** Whether what comes next is the same from both. @param isQuiet no pose is out of reach any more */
function isAsBefore(one: Checkpoint, other: Checkpoint, isQuiet: boolean): boolean {
  if (one.n !== other.n || one.next !== other.next || one.fallen !== other.fallen) return false;
  if (one.fallen !== 0) return false;
  const stops = one.until_s === other.until_s || Math.max(one.until_s, other.until_s) < one.asked_s;
  return (
    stops &&
    isPlantAsBefore(one.plant, other.plant) &&
    isDemandAsBefore(one, other) &&
    isSameMemory(one, other, isQuiet)
  );
}

function isSameMemory(one: Checkpoint, other: Checkpoint, isQuiet: boolean): boolean {
  const [a, b] = [one, other].map(
    ({ memory }) => new Uint32Array(memory.buffer, memory.byteOffset, memory.length >> 2),
  );
  const isIn = ({ at, bytes }: typeof STOP_NOTE | typeof RECORD, k: number): boolean =>
    4 * k >= at && 4 * k < at + bytes;
  for (let k = 0; k < a!.length; k++)
    if (a![k] !== b![k] && !isIn(RECORD, k) && !(isQuiet && isIn(STOP_NOTE, k))) return false;
  return true;
}

const isNear = (a: number, b: number): boolean => Math.abs(a - b) <= AS_BEFORE;

function isPlantAsBefore(one: PlantState | null, other: PlantState | null): boolean {
  if (!one || !other) return one === other;
  return one.joints.every((a, i) => {
    const b = other.joints[i]!;
    return (
      isNear(a.position, b.position) &&
      isNear(a.rotor, b.rotor) &&
      Math.abs(a.velocity - b.velocity) <= SPEED_AS_BEFORE &&
      Math.abs(a.rotorRate - b.rotorRate) <= SPEED_AS_BEFORE &&
      a.command === b.command &&
      a.aimed === b.aimed &&
      a.heading === b.heading &&
      isNear(a.atLine_s, b.atLine_s)
    );
  });
}
/** A speed that moves nothing by AS_BEFORE within the tenth of a second in which a servo's loop forgets it. */
const SPEED_AS_BEFORE = 10 * AS_BEFORE;

const isDemandAsBefore = ({ demand: one }: Checkpoint, { demand: other }: Checkpoint): boolean =>
  one.past.length === other.past.length &&
  one.past.every((place, k) => place.every((value, i) => value === other.past[k]![i]));
