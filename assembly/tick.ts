/** One tick, in reading order: bytes in, pose, joints, pulses, bytes out. */
import {
  ACTIVE,
  GOAL,
  IDLE_HZ,
  IMAGE_MAX,
  JOINTS,
  PULSES,
  at,
  image,
  inputs,
  joint,
  jointCount,
  outputs,
} from './layout';
import { advanceClock, setRate, startClock } from './clock';
import { publish, pulsing, wake, watch } from './guard';
import { recordMotion, recordStill } from './extremes';
import { clamp } from './kernels';
import { startArchive, tendArchive } from './night/archive';
import { startChecking, tendChecking } from './night/checking';
import { startListing, tendListing } from './night/listing';
import { askPage, startPages, takePage } from './night/pages';
import { startReceiving, tendReceiving } from './night/receiving';
import { receive, startLink, startStored } from './link';
import { report } from './telemetry';
import { nightTick, startNight } from './night/night';
import { emptyQueue } from './queue';
import { restartPlayback } from './playback';
import { followPose } from './reach';
import { followResponses, putAsked, startResponding } from './responding';
import { logTick, startLog } from './night/log';
import { recordTick, startRecord } from './night/record';
import { newest } from './ring';
import { acceptImage } from './rig';
import { writePulses } from './servo';
import { trackAll } from './ahead';
import { filterAll } from './wobble';

/**
 * Starts from nothing, with what the board put into the inputs: the rig image at STAGED, if any, and the places that
 * survived a reset. Returns why the image was refused, 0 when it is in force or there is none.
 */
export function start(): u32 {
  memory.fill(ACTIVE, 0, IMAGE_MAX);
  memory.fill(PULSES, 0, usize(JOINTS) * 2);
  image().tick_hz = u16(IDLE_HZ);
  setRate(IDLE_HZ);
  startClock();
  startLink();
  emptyQueue();
  restartPlayback();
  startResponding();
  const bytes = inputs().image_bytes;
  const refusal: u32 = bytes ? acceptImage(bytes) : 0;
  startPages();
  outputs().lines = 0;
  outputs().image_count = 0;
  outputs().image_bytes = refusal ? 0 : bytes;
  if (bytes && !refusal) startStored();
  startArchive();
  startChecking();
  startReceiving();
  startListing();
  wake();
  startRecord();
  startLog();
  startNight();
  publish();
  return refusal;
}

export function step(): void {
  advanceClock();
  takePage();
  receive();
  tendListing();
  tendReceiving();
  tendArchive();
  tendChecking();
  nightTick();
  const count = jointCount();
  if (watch()) {
    followResponses(count);
    if (image().leg_count) followPose();
    followJoints(count);
    trackAll(count);
    filterAll(count);
    recordMotion(count);
    putAsked(count);
  } else recordStill();
  writePulses(count, pulsing());
  publish();
  recordTick();
  logTick();
  askPage();
  report(PULSES);
}

/** Single joints ask for what GOAL says, within their soft limits. */
function followJoints(count: i32): void {
  for (let i = i32(image().leg_count); i < count; i++) {
    const j = joint(i);
    newest(i).target = clamp(at(GOAL, 6 + i), j.lo, j.hi);
  }
}
