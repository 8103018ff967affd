/** How the board's time goes beside the clock on the wall, where the board is emulated and may go at any pace; and for how long its page is silent. */

/** What an emulated board has lost by more than this it does not make good: it would go too fast afterwards, ms. */
const BEHIND_MS = 200;
/** The pace is looked at so often, ms. */
const LOOK_MS = 1000;
/** Below the first share of real time it is slow, and from the second on no longer. */
const [SLOW, KEEPS_UP] = [0.8, 0.95];
/** More than this between two steps is the server's own standing still, in which no page could be heard, us. */
const STEP_US = 100_000;

export class LineClock {
  /** Share of real time that the board goes at, to a tenth; null: it keeps up. */
  slow: number | null = null;
  /** For how long the page has said nothing, in the board's time, us. */
  silent_us = 0;
  /** Where the wall's time and the board's are taken to be the same. */
  private base_ms: number;
  private readonly base_us: number;
  private last_us: number;
  private look: { readonly at_ms: number; readonly at_us: number };

  constructor(now_ms: number, board_us: number) {
    this.base_ms = now_ms;
    this.base_us = this.last_us = board_us;
    this.look = { at_ms: now_ms, at_us: board_us };
  }

  /** A step is done. @returns how long to wait until the next, ms: a real board's line has waited by itself */
  step(now_ms: number, board_us: number): number {
    this.silent_us += Math.min(STEP_US, board_us - this.last_us);
    this.last_us = board_us;
    this.watch(now_ms, board_us);
    const ahead_ms = (board_us - this.base_us) / 1000 - (now_ms - this.base_ms);
    if (ahead_ms < -BEHIND_MS) this.base_ms -= ahead_ms + BEHIND_MS;
    return Math.max(0, ahead_ms);
  }

  private watch(now_ms: number, board_us: number): void {
    const { at_ms, at_us } = this.look;
    if (now_ms - at_ms < LOOK_MS) return;
    const share = (board_us - at_us) / 1000 / (now_ms - at_ms);
    this.slow = share < (this.slow === null ? SLOW : KEEPS_UP) ? Math.round(share * 10) / 10 : null;
    this.look = { at_ms: now_ms, at_us: board_us };
  }
}
