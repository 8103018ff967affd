/**
 * Responses' place in the tick: between the playback clock and the reachable pose, where they may change what is asked
 * (GOAL) and nothing else. There are none yet.
 */

/** Called on every tick on which joints may move: rousing, live, holding, settling. */
export function respond(): void {}
