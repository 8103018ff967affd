/** Which half of the flash holds the night in force. */

/** First page of that half. Pages of a night count from it. */
export function halfPage(): u32 {
  return 0;
}
