/** Pages of the night's half of the flash, as the board hands them over. */

/** Where page n stands in memory until the tick ends; 0: it has not come yet, and is asked for. */
export function pageAt(n: u32): usize {
  return n == u32.MAX_VALUE ? 1 : 0;
}
