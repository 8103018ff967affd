/** What comparing rigs answers, by rig in the order they were given. Figures in the units their rows name. */

/** A key whose value is not the same in all files. */
export interface KeyRow {
  /** Key path, parts by their names. */
  readonly path: string;
  /** As the files have them; null: not in this file. */
  readonly values: readonly (string | null)[];
}

/** Unit of a figure; share: of what a servo can give. */
export type Unit = 'mm' | 'deg' | 'share' | 'Hz' | 'A';

export interface FigureRow {
  /** Such as `roll_plus`, `use`, `lowest_hz`. */
  readonly name: string;
  /** In words. */
  readonly words: string;
  readonly group: 'travel' | 'work' | 'size';
  readonly unit: Unit;
  /** null: not known, or there is none. */
  readonly values: readonly (number | null)[];
  /** What stops a travel, or the joint or motion that a figure is of, or why there is none; '' where there is nothing to say. */
  readonly because: readonly string[];
  /**
   * How far each may be off in its difference from the first rig's, as the figures it rests on are known; what both files have alike
   * is off in both alike. null: of the first, where a value is not known, and where that cannot be told: off by so much as it may be,
   * a rig has no such value (no home, a servo that is too slow).
   */
  readonly unsure: readonly (number | null)[];
  /** Differs from the first rig's by no more than it may be off; null: cannot be told. */
  readonly same: readonly (boolean | null)[];
  /** No two differ by more than they may be off; false as well where that cannot be told. */
  readonly alike: boolean;
}

export interface Comparison {
  readonly rigs: readonly string[];
  readonly stream: string | null;
  readonly keys: readonly KeyRow[];
  readonly figures: readonly FigureRow[];
  /** Within the limits of `load`, and every pose of the stream within reach. */
  readonly ok: readonly boolean[];
}
