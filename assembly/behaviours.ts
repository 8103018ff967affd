/**
 * Behaviours' place in the tick: between the playback clock and the reachable pose, where they may change what is asked
 * (GOAL) and nothing else. There are none yet.
 */

/** Called once a tick while the prop is live or holding. */
export function behave(): void {}
