/** What a verb of the bring-up is: its words, what it does with the bench and a person, and what comes of it. */
import type { Person } from './person.ts';
import type { Bench } from './session/bench.ts';
import type { RigChange } from './session/rig-text.ts';
import type { VerbOptions } from './verb-options.ts';

/** The words of one verb, read and checked. */
export interface VerbWords extends VerbOptions {
  readonly verb: string;
  readonly joint: string | null;
  /** `jog`: deg or mm, with its sign; `pulse`: µs. */
  readonly number: number | null;
}

/** Figures as files show them, by their keys: µs, deg or mm; null: the file has none. */
export type Shown = Readonly<Record<string, number | readonly number[] | null>>;

export interface VerbDone {
  readonly before: Shown;
  readonly after: Shown;
  /** What the rig file is to say from now on; `runVerb` has put it into `bench.text`. */
  readonly changes: readonly RigChange[];
  /** The file that keeps what was read, where one does. */
  readonly readings?: string;
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
