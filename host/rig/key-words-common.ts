/** What a text of the rig file's schema is made of. */

export interface KeyWords {
  /** What it is. */
  readonly what: string;
  /** How it is measured, or where it stands; '' where there is nothing to measure. */
  readonly how: string;
  /** What it usually is; absent: from usual.ts, if that has it. */
  readonly usual?: string;
}

export const words = (what: string, how = '', usual?: string): KeyWords =>
  usual === undefined ? { what, how } : { what, how, usual };

export const FOR_LENGTHS = 'With a caliper, in mm';
