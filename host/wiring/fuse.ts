/** Ratings of blade fuses, A: what shops have (common practice). They are for 32 V of direct current at most (ISO 8820-3, from memory). */
export const FUSES_A: readonly number[] = [1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 40];
export const FUSE_MOST_V = 32;

/** The next rating at or above a current for long; null: beyond the largest. */
export const fuseFor = (current_a: number): number | null => FUSES_A.find((rating) => rating >= current_a) ?? null;
