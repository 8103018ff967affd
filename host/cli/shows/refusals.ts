/** What a board says to a night, in words, and what to do about it; and the conversation that every verb here has. */
import { RESULT, resultText } from '../../controller/messages.ts';
import { Conversation, TargetError } from '../../replay/conversation.ts';
import { SUBJECT, type Target } from '../../replay/target.ts';
import type { ExitCode, Io } from '../io.ts';
import { problemOf, refuse } from '../output.ts';
import { targetFault, targetOf } from '../targets.ts';

const WORDS: ReadonlyMap<number, string> = new Map([
  [
    RESULT.notNow,
    'is not limp: nights go in only while nothing moves and no servo has a pulse. Settle it, then try again',
  ],
  [RESULT.noNight, 'has no night stored, or no room for any: "posewright shows send NIGHT" gives it one'],
  [
    RESULT.otherRig,
    'has a rig that this night is not for: "posewright send RIG" gives it the rig, or pack the night anew',
  ],
  [
    RESULT.notStored,
    'could not store it: its flash does not take it. Try again; if that fails too, the flash is worn out',
  ],
  [RESULT.damaged, 'does not have in its flash what was sent. Try again; if that fails too, the flash is worn out'],
  [RESULT.noRoom, 'has no room for it: leave shows out, or make them shorter'],
  [RESULT.barred, 'waits for someone to look and clear it'],
  [
    RESULT.malformed,
    'did not take it as it was sent: it may have other firmware. "posewright flash" gives it this one',
  ],
]);

/** A result that is not RESULT.done, as a sentence without its end. */
export const refusalWords = (target: Target, result: number): string =>
  `${SUBJECT[target.proven]} (${target.name}) ${WORDS.get(result) ?? `refuses: ${resultText(result)}`}`;

/** Where nights are sent and asked for: not to the simulator, which forgets them with the command. */
const placeFault = (on: string): string | null =>
  on === 'sim' ? '"sim" keeps no night: a real board is at usb, or at serial:PATH' : targetFault(on);

export const ON_WORDS = 'where the board is, such as usb';

/** Opens the target, lets `what` speak with it, and closes it. What cannot be done is said in words. */
export async function withBoard(
  on: string,
  json: boolean,
  io: Io,
  what: (talk: Conversation, target: Target) => Promise<ExitCode>,
): Promise<ExitCode> {
  const fault = placeFault(on);
  if (fault !== null) return refuse(io, json, [problemOf('--on', fault)]);
  try {
    const target = await targetOf(on, io);
    const talk = await Conversation.open(target, { telemetry: () => undefined });
    try {
      await talk.who();
      return await what(talk, target);
    } finally {
      await talk.session.close();
    }
  } catch (error) {
    if (!(error instanceof TargetError)) throw error;
    return refuse(io, json, [problemOf('--on', error.message)]);
  }
}
