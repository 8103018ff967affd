/** The replay that cures are judged by: over a perfect link, with the plant behind the controller. */
import type { Rig } from '../rig/rig.ts';
import type { StreamSource } from '../stream/read.ts';
import { PERFECT_LINK } from './link-model.ts';
import { replay } from './replay.ts';
import type { Replay } from './result.ts';
import type { Target } from './target.ts';
import { TOLERANCE } from './tolerance.ts';

/**
 * @param name the stream's in the answer, @param progress called now and then with the stream time reached, s.
 * Throws TargetError when the target cannot be used.
 */
export const playOnMetal = (
  rig: Rig,
  source: StreamSource,
  target: Target,
  name: string,
  progress?: (at_s: number) => void,
): Promise<Replay> =>
  replay(rig, source, target, {
    link: PERFECT_LINK,
    tolerance: TOLERANCE,
    name,
    plant: true,
    ...(progress ? { progress } : {}),
  });
