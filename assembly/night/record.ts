/** How the prop has run. There is no record yet: every question about it is refused. */
import { Result } from '../answer';

/** Sends part n of record `which`; later when it is sent, or will be, and otherwise why not. */
export function sendLog(which: u32, n: u32): Result {
  return Result.noNight;
}
