/** Plays the night in force. There is no player yet: every show is refused. */
import { Night } from './plan';
import { Result } from '../answer';

export function nightState(): Night {
  return Night.none;
}

/** Starts show k, with these joints held still at home. */
export function runShow(k: u32, still: u32): Result {
  return Result.noNight;
}

/** Ends the show. */
export function stopShow(): Result {
  return Result.noNight;
}
