/**
 * A running board into its boot loader over USB and back: it is asked who it is, told to restart, its drive is waited for, and after
 * writing the board itself. Every wait has an end, in words. Writes nothing itself.
 */
import { type IAm, RESULT, STATES, TYPE, resultText } from '../../controller/messages.ts';
import { type BoardFile, FirmwareError } from '../../firmware/compile.ts';
import { type Place, placeOf } from '../../firmware/place.ts';
import { Conversation, TargetError } from '../../replay/conversation.ts';
import type { Target } from '../../replay/target.ts';
import { kindOf } from '../../rig/boards.ts';
import { type FoundPort, type PortList, boardAt, findBoard, isOurs } from '../../targets/usb.ts';

/** The computer's USB as flashing sees it. */
export interface Cable extends PortList {
  /** The board at a port. */
  target(path: string): Target;
  /** Folders of the drives of boards that wait for firmware. */
  drives(): readonly string[];
  /** Whether a drive is still there. */
  isThere(drive: string): boolean;
  /** Milliseconds of a clock that only goes on. */
  now_ms(): number;
  pause(ms: number): Promise<void>;
}

/** It was written, and the board is not back, or runs something else; in words. */
export class NotBack extends FirmwareError {}

/** What is told while something is waited for, a line each. */
export type Tell = (line: string) => void;

/** A restart and its drive, or its port, take 1 to 5 s (common practice); a computer that is slow at mounting, longer. */
const WAIT_MS = 15_000;
const LOOK_MS = 250;
/** A drive that nobody mounts is worth a word after so long. */
const MOUNT_WORDS_MS = 5_000;
/** A board that took its file takes its drive away within so long. */
const LEAVES_MS = 5_000;

/** Looks again and again until there is something; null: there was nothing in that time. */
async function waitFor<T>(cable: Cable, for_ms: number, look: () => T | null | Promise<T | null>): Promise<T | null> {
  const end_ms = cable.now_ms() + for_ms;
  for (;;) {
    const found = await look();
    if (found !== null) return found;
    if (cable.now_ms() >= end_ms) return null;
    await cable.pause(LOOK_MS);
  }
}

/** Speaks with the board at a port. Rejects with TargetError. */
async function at<T>(cable: Cable, { path }: FoundPort, speak: (talk: Conversation) => Promise<T>): Promise<T> {
  const talk = await Conversation.open(cable.target(path), { telemetry: () => undefined });
  try {
    return await speak(talk);
  } finally {
    await talk.session.close();
  }
}

const BUTTON = 'hold its BOOTSEL button while you plug it in';

function notReady({ board, state }: IAm, { name }: BoardFile): string | null {
  const kind = kindOf(board);
  if (kind !== name) return `it is ${kind === null ? 'a board of an unknown kind' : `a ${kind}`}, not a ${name}`;
  const now = STATES[state] ?? 'unknown';
  if (now === 'limp') return null;
  return now === 'tripped'
    ? `it has tripped, and is left as it is: clear it, or unplug it; or ${BUTTON}`
    : `it is ${now}, and a restart would drop the prop: settle it first`;
}

/**
 * The running board that is to be written to; `serial`: its number, '': whichever there is. Rejects with TargetError when there is
 * none, or it may not be restarted now.
 */
export async function runningBoard(cable: Cable, board: BoardFile, serial: string): Promise<FoundPort> {
  const found = await findBoard(cable, serial).catch((error: unknown) => {
    if (!(error instanceof TargetError)) throw error;
    throw new TargetError(
      `no drive of a ${board.name} is mounted: ${BUTTON}, or say where it is with --to. A running board would be restarted into it, but ${error.message}`,
    );
  });
  const fault = notReady(await at(cable, found, (talk) => talk.who()), board);
  if (fault !== null) throw new TargetError(`the board on ${boardAt(found)} is not restarted: ${fault}`);
  return found;
}

/** Asks a running board into its boot loader. A board that leaves before its answer is heard has obeyed too. */
async function askToRestart(cable: Cable, found: FoundPort): Promise<void> {
  const answer = at(cable, found, (talk) => talk.ask(talk.send.command(TYPE.boot)));
  const result = await answer.catch(async (error: unknown) => {
    if (!(error instanceof TargetError)) throw error;
    if (!(await cable.ports()).some(({ path }) => path === found.path)) return RESULT.done;
    throw new TargetError(`${error.message} Firmware of before USB does not know how to restart: ${BUTTON}`);
  });
  if (result === RESULT.done) return;
  const why = result === RESULT.notNow ? 'it is no longer limp: settle it first' : resultText(result);
  throw new TargetError(`the board on ${boardAt(found)} is not restarted: ${why}`);
}

/** Restarts a running board into its boot loader and waits for its drive. Rejects with TargetError, FirmwareError. */
export async function intoBootLoader(cable: Cable, found: FoundPort, board: BoardFile, tell: Tell): Promise<Place> {
  tell(`the board on ${boardAt(found)} restarts into its boot loader; waiting for its drive`);
  await askToRestart(cable, found);
  const from_ms = cable.now_ms();
  let told = false;
  const drives = await waitFor(cable, WAIT_MS, () => {
    const there = cable.drives();
    if (!told && there.length === 0 && cable.now_ms() - from_ms >= MOUNT_WORDS_MS) {
      told = true;
      tell('no drive yet: it may have to be mounted, such as by a click on it in the file manager');
    }
    return there.length > 0 ? there : null;
  });
  if (drives === null)
    throw new TargetError(
      `the board went into its boot loader, but after ${String(WAIT_MS / 1000)} s no drive of it is mounted: mount it, and give this command again. Nothing was written; to run the old firmware, unplug the board and plug it in`,
    );
  return placeOf(board, undefined, () => drives);
}

/** Whether a board left with its drive, as one does that took the file. */
export const hasLeft = async (cable: Cable, drive: string): Promise<boolean> =>
  (await waitFor(cable, LEAVES_MS, () => (cable.isThere(drive) ? null : true))) !== null;

/** Posewright boards on USB now; none where the ports cannot be listed. */
export async function boardsNow(cable: PortList): Promise<readonly FoundPort[]> {
  const all = await cable.ports().catch((error: unknown) => {
    if (error instanceof TargetError) return [];
    throw error;
  });
  return all.filter(isOurs);
}

const hex = (fingerprint: number): string => fingerprint.toString(16).padStart(8, '0');

/**
 * Waits for the board that was written to, and asks which rig it runs. `isIt`: whether a board on USB is that one. Rejects with
 * NotBack when it does not come, does not answer, or runs another rig.
 */
export async function waitForReturn(
  cable: Cable,
  isIt: (port: FoundPort) => boolean,
  fingerprint: number,
  tell: Tell,
): Promise<FoundPort> {
  tell('waiting for the board to come back on USB');
  let doubt = 'it did not come back on USB';
  const back = await waitFor(cable, WAIT_MS, async () => {
    const port = (await boardsNow(cable)).find(isIt);
    if (!port) return null;
    try {
      return { port, runs: (await at(cable, port, (talk) => talk.who())).fingerprint };
    } catch (error) {
      if (!(error instanceof TargetError)) throw error;
      // A port is there before the system lets anybody open it.
      doubt = `it came back on ${boardAt(port)}, but ${error.message}`;
      return null;
    }
  });
  if (back === null)
    throw new NotBack(
      `the board was written, but within ${String(WAIT_MS / 1000)} s ${doubt}. Unplug it and plug it in; then "posewright replay … --on usb" tells which rig it runs`,
    );
  if (back.runs !== fingerprint)
    throw new NotBack(
      `the board came back on ${boardAt(back.port)} with another rig (fingerprint ${hex(back.runs)}, not ${hex(fingerprint)}): flash it again`,
    );
  return back.port;
}
