/** What a board says to a night, in words, and what to do about it; and the conversation that every verb here has. */
import { packImage } from '../../controller/image.ts';
import { RESULT, resultText } from '../../controller/messages.ts';
import { blankNor } from '../../controller/nor.ts';
import { Conversation, TargetError } from '../../replay/conversation.ts';
import { SUBJECT, type Target } from '../../replay/target.ts';
import type { Rig } from '../../rig/rig.ts';
import { sendNight, tellTime } from '../../shows/send.ts';
import type { ExitCode, Io } from '../io.ts';
import { isError, misfitsAt } from '../misfits.ts';
import { printProblems, problemOf, refuse } from '../output.ts';
import type { Made } from '../own-controller.ts';
import { forgetfulFault, showFault, targetOf } from '../targets.ts';

const WORDS: ReadonlyMap<number, string> = new Map([
  [
    RESULT.notNow,
    'is not limp: nights go in only while nothing moves and no servo has a pulse. Settle it, then try again',
  ],
  [RESULT.noNight, 'has no night stored, or no room for any: "posewright shows send NIGHT" gives it one'],
  [
    RESULT.otherRig,
    'has a rig that this night is not for: "posewright send RIG" gives it the rig, or pack the night anew. A rig with joints that were not walked reaches a real board slower, and is another rig there',
  ],
  [RESULT.noRig, 'has no rig: "posewright send RIG" gives it one, then "posewright shows send NIGHT" the night'],
  [RESULT.tooWarm, 'is too warm for it by its model of each servo: wait until the light blinks 1-1 again'],
  [
    RESULT.notStored,
    'could not store it: its flash does not take it. Try again; if that fails too, the flash is worn out',
  ],
  [RESULT.damaged, 'does not have in its flash what was sent. Try again; if that fails too, the flash is worn out'],
  [RESULT.noRoom, 'has no room for it: leave shows out, or make them shorter'],
  [
    RESULT.barred,
    'waits for someone to look: see that nobody is near and nothing is caught, then hold its button for three seconds',
  ],
  [
    RESULT.heldButton,
    'starts nothing while its button is held down: let it go. If nobody holds it, it is stuck, or its wire touches ground',
  ],
  [RESULT.stopOpen, 'starts nothing while its stop loop is open: release the stop switch, or close the loop'],
  [
    RESULT.malformed,
    'did not take it as it was sent: it may have other firmware. "posewright flash" gives it this one',
  ],
]);

/** A result that is not RESULT.done, as a sentence without its end. */
export const refusalWords = (target: Target, result: number): string =>
  `${SUBJECT[target.proven]} (${target.name}) ${WORDS.get(result) ?? `refuses: ${resultText(result)}`}`;

/** Where nights are sent and asked for: not where they are forgotten with the command, but for a show that is played in it. */
const placeFault = (on: string, own: Own | null): string | null => (own ? showFault(on) : forgetfulFault(on));

export const ON_WORDS = 'where the board is, such as usb';

/** What a board is given that is made for this command, and forgets it afterwards. */
export interface Own {
  readonly rig: Rig;
  /** The rig's file, for words. */
  readonly file: string;
  readonly made: Made;
  readonly night: Uint8Array;
}

/** Room of the simulated board for nights, as `native` has it. */
const STORE = { pages: 2048, sectorPages: 16 };

/**
 * Opens the target, lets `what` speak with it, and closes it. What cannot be done is said in words.
 * @param own rig and night for a target that has none of its own; null: it has, or has to have
 */
export async function withBoard(
  on: string,
  json: boolean,
  io: Io,
  what: (talk: Conversation, target: Target) => Promise<ExitCode>,
  own: Own | null = null,
): Promise<ExitCode> {
  const fault = placeFault(on, own);
  if (fault !== null) return refuse(io, json, [problemOf('--on', fault)]);
  try {
    const made = own ? { ...own.made, store: blankNor(STORE) } : undefined;
    const target = await targetOf(on, io, own?.rig.board, undefined, made);
    const talk = await Conversation.open(target, { telemetry: () => undefined });
    try {
      const { board } = await talk.who();
      const misfits = own ? misfitsAt(own.rig, board, own.file, target) : [];
      if (misfits.some(isError)) return refuse(io, json, misfits);
      printProblems(io, io.stderr, misfits);
      const refused = own ? await give(talk, own) : RESULT.done;
      if (refused !== RESULT.done) return refuse(io, json, [problemOf('--on', refusalWords(target, refused))]);
      await tellTime(talk, io.today?.());
      return await what(talk, target);
    } finally {
      await talk.session.close();
    }
  } catch (error) {
    if (!(error instanceof TargetError)) throw error;
    return refuse(io, json, [problemOf('--on', error.message)]);
  }
}

async function give(talk: Conversation, { rig, night }: Own): Promise<number> {
  await talk.load(packImage(rig));
  return sendNight(talk, night);
}
