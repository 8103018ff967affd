/** What a verb of the bring-up is: its words, what it does with the bench and a person, and what comes of it. */
import type { JointFigures } from '../rig/joint-edit.ts';
import type { Person } from './person.ts';
import type { Bench } from './session/bench.ts';

/** The words of one verb, read and checked. */
export interface VerbWords {
  readonly verb: string;
  readonly joint: string | null;
  /** `jog`: deg or mm, with its sign; `pulse`: µs. */
  readonly number: number | null;
  /** The person says that nothing is on the joint. */
  readonly rodsOff: boolean;
  /** How long `swap` moves at the end. */
  readonly minutes: number;
  /** Answers given along with the words, in the order in which they are asked for; for the command line's person. */
  readonly readings: readonly string[];
  /** Where it binds, deg or mm; for the command line's person. */
  readonly binds: readonly number[];
}

/** Figures of one joint as files show them: µs, deg or mm; null: the file has none. */
export type Shown = Readonly<Record<string, number | readonly number[] | null>>;

export interface VerbDone {
  readonly before: Shown;
  readonly after: Shown;
  /** What the rig file is to say of a joint from now on; `runVerb` has put it into `bench.text`. */
  readonly changes: readonly JointFigures[];
}

/** What came of a verb, as the command's JSON tells it. */
export interface VerbOutcome extends VerbDone {
  readonly verb: string;
  readonly joint: string | null;
  /** The file that keeps the rig as it was, or `rig` where it is in memory only; null: nothing was to be written. */
  readonly written: string | null;
  /** Why it ended before its end, in a sentence; null: it is done. The prop has settled then. */
  readonly ended: string | null;
}

export interface Verb {
  /** `jog JOINT ±DEG`, for help and for words that are wrong. */
  readonly takes: string;
  readonly says: string;
  readonly joint: 'none' | 'may' | 'must';
  readonly number: { readonly says: string; readonly least: number; readonly most: number } | null;
  readonly rodsOff: boolean;
  run(bench: Bench, person: Person, words: VerbWords): Promise<VerbDone>;
}

/** A verb cannot go on: it moved too far, tripped, or was answered wrongly three times. The sentence is for the user; the prop settles. */
export class VerbEnded extends Error {}

/** A verb that found and changed nothing. */
export const NOTHING: VerbDone = { before: {}, after: {}, changes: [] };
