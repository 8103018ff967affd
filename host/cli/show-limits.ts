/** What replay says of a show's frames as the board will play them. */
import { TargetError } from '../replay/conversation.ts';
import { PERFECT_LINK } from '../replay/link-model.ts';
import { replay } from '../replay/replay.ts';
import type { Answer } from '../replay/result.ts';
import { TOLERANCE } from '../replay/tolerance.ts';
import { canItGetThere, willItBeSmooth } from '../replay/verdict.ts';
import type { Rig } from '../rig/rig.ts';
import { streamText } from '../shows/as-stream.ts';
import type { Frames } from '../shows/encode.ts';
import { FRAME_HZ } from '../shows/layout.ts';
import type { Io } from './io.ts';
import type { Made } from './own-controller.ts';
import { startProgress } from './progress.ts';
import { shownName } from './stdin.ts';
import { targetOf } from './targets.ts';

/**
 * What replay says of a show that it does not call within limits; null: it does. The rig's responses take part, with every input open.
 * @param made the rig's controller; @param plant servos and loads are judged too
 */
export async function limitFault(
  rig: Rig,
  made: Made,
  frames: Frames,
  path: string,
  io: Io,
  plant = false,
): Promise<string | null> {
  const progress = startProgress(io, `replaying ${shownName(path)}`, frames.count / FRAME_HZ, 's');
  try {
    const target = await targetOf('sim', io, rig.board, undefined, made);
    const source = [new TextEncoder().encode(streamText(frames, rig))];
    const judged = { link: PERFECT_LINK, tolerance: TOLERANCE, plant, responds: made.responses !== null };
    const how = { ...judged, name: shownName(path), progress: progress.update };
    return outOfLimits((await replay(rig, source, target, how)).answer);
  } catch (error) {
    if (error instanceof TargetError) return error.message;
    throw error;
  } finally {
    progress.stop();
  }
}

/** As the exit code of replay has it: every question that is answered with no, or what went wrong besides. */
function outOfLimits(answer: Answer): string | null {
  const told = [canItGetThere(answer), willItBeSmooth(answer)];
  const no = told.filter(({ word }) => word === 'no');
  if (no.length === 0 && answer.ok) return null;
  return (no.length > 0 ? no : told).map(({ question, word, because }) => `${question} ${word}: ${because}`).join(' ');
}
