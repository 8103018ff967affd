/**
 * A short show of a night of its own, for every board: the demo's rig, the first seconds of its stream, packed, sent over the link as a
 * host does, started over the link. Pins that start something are left out: what an emulator's open pin reads is its own affair.
 */
import { readFileSync } from 'node:fs';
import { imageFingerprint, packImage } from '../../../controller/image.ts';
import { PAGE_BYTES } from '../../../controller/layout.ts';
import { TYPE } from '../../../controller/messages.ts';
import { readRig } from '../../../rig/read.ts';
import type { Rig } from '../../../rig/rig.ts';
import { writeNight } from '../../../shows/night-file.ts';
import { packShow } from '../../../shows/pack.ts';
import { buildPlan } from '../../../shows/plan.ts';
import { storeStream } from '../../../stream/store.ts';
import { Clock, type Script, type Watched } from './scripts.ts';

const NAME = 'waking';
const NIGHT = `night:
  light_pin: 18
  cross_s: 1
  idle:
    look: { yaw_deg: 6, pitch_deg: 3, ears_deg: 15 }
    breath: { z_mm: 1, nod_deg: 0.5 }
    lids: { lid: { open_deg: 45 } }
  sounds: { hoot: 27 }
  shows:
    ${NAME}: { sound: hoot, sound_ms: 300, sound_lead_ms: 120 }
`;
const PART_BYTES = 128;
/** Ticks until a start has read the halves, and noted itself in the log. */
const START_TICKS = 60;
/** Ticks until a part of a night is answered, its page in flash. */
const PART_TICKS = 12;

export interface NightShow {
  readonly rig: Rig;
  /** The night's file. */
  readonly night: Uint8Array;
}

/** A night whose one show is so many seconds of the demo's stream. */
export async function nightShow(seconds: number): Promise<NightShow> {
  const { rig, problems } = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8') + NIGHT);
  if (!rig) throw new Error(JSON.stringify(problems));
  const lines = readFileSync('host/demo/dusk.csv', 'utf8').split('\n');
  const rows = lines.filter((line) => !(Number(line.split(',')[0]) > seconds));
  const packed = packShow(rig, NAME, await storeStream([Buffer.from(rows.join('\n'))], rig), null);
  if (typeof packed === 'string') throw new Error(packed);
  const fingerprint = imageFingerprint(packImage(rig));
  const night = writeNight({ fingerprint, plan: buildPlan(rig, [NAME], fingerprint).bytes, shows: [packed.show] });
  return { rig, night };
}

/** What a host says: the rig, in limp; until the start is noted in the log. */
export function* rigScript(clock: Clock, { rig }: NightShow, board: Watched): Script {
  yield* clock.wait(board.ahead ?? 0);
  for (const frame of clock.send.image(packImage(rig))) {
    yield* clock.say(frame);
    yield* clock.wait(2);
  }
  yield* clock.say(clock.send.report(board.reportTicks ?? 4));
  yield* clock.wait(START_TICKS);
}

/** The night, part by part. */
export function* sendScript(clock: Clock, { night }: NightShow): Script {
  const frames = [clock.send.nightBegin(night.length / PAGE_BYTES)];
  for (let at = 0; at < night.length; at += PART_BYTES)
    frames.push(clock.send.nightPart(at, night.subarray(at, at + PART_BYTES)));
  for (const frame of [...frames, clock.send.command(TYPE.nightCommit)]) {
    yield* clock.say(frame);
    yield* clock.wait(PART_TICKS);
  }
}

/** Ticks until every byte of a night that is in force has been checked. */
export const checkTicks = ({ night }: NightShow): number => START_TICKS + 2 * (night.length / PAGE_BYTES);

/** The show from its warning until the prop is live. */
export function* startScript(clock: Clock, board: Watched): Script {
  yield* clock.say(clock.send.showRun(0));
  yield* clock.until(board, 'live');
}

/** All of it, until idle life has followed the show for a second. */
export function* showScript(show: NightShow, seconds: number, board: Watched): Script {
  const clock = new Clock();
  yield* rigScript(clock, show, board);
  yield* sendScript(clock, show);
  yield* clock.wait(checkTicks(show));
  yield* startScript(clock, board);
  yield* clock.wait((seconds + 3) * show.rig.motion.tick_hz);
}
