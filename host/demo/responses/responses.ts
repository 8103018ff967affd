// Three responses to begin with: copy this file into the folder of your rig, give the inputs your names, and throw out what you do not
// need. It is AssemblyScript. respond() is called on every tick while the prop is awake; what it asks for comes before every limit, so
// it cannot hurt the prop. Values are in mm and degrees, as in a stream; level() is 0 to 1; variables stay from tick to tick.
import { add, level, seconds, since, tick_s } from './senses';
import { Level, Value } from './named';

/** How far the head turns to whoever is near, degrees; how near counts (these sensors read more when someone is nearer). */
const TURN: f32 = 12;
const NEAR: f32 = 0.25;
/** A sound louder than the quiet by so much startles, and not again for a while, s. */
const LOUD: f32 = 0.3;
const CALM_S: f32 = 3;
/** How far it starts back, mm, and for how long, s. */
const START_MM: f32 = 6;
const START_S: f32 = 0.6;
/** Below this light the lids begin to sink, and how far they do, degrees. */
const DUSK: f32 = 0.4;
const SLEEPY: f32 = 25;

/** Each is led to what it should be within a second or so, since sensors are restless. */
let look: f32 = 0;
let sleepy: f32 = 0;
let quiet: f32 = 1;
let startled_s: f32 = 0;
let is_startled: bool = false;

/** Part of the way that is gone in a tick, when most of it takes so many seconds. */
function pace(for_s: f32): f32 {
  return min(1.0, tick_s() / for_s);
}

/** Looks at the nearer of two distance sensors. */
function lookAtNearer(): void {
  const left = level(Level.left);
  const right = level(Level.right);
  let to: f32 = 0;
  if (max(left, right) > NEAR) to = left > right ? TURN : -TURN;
  look += (to - look) * pace(0.5);
  add(Value.yaw, look);
}

/** Starts back at a sudden sound: what is loud all the time does not startle for long. */
function startle(): void {
  const sound = level(Level.sound);
  if (!is_startled && sound > quiet + LOUD) {
    is_startled = true;
    startled_s = seconds();
  }
  quiet += (sound - quiet) * pace(1.0);
  if (!is_startled) return;
  const for_s = since(startled_s);
  if (for_s < START_S) add(Value.z, -START_MM);
  if (for_s > CALM_S) is_startled = false;
}

/** The lids sink as it gets dark. */
function sleepyLids(): void {
  const light = level(Level.light);
  const to: f32 = light < DUSK ? (1.0 - light / DUSK) * SLEEPY : 0;
  sleepy += (to - sleepy) * pace(2.0);
  add(Value.lid, -sleepy);
}

export function respond(): void {
  lookAtNearer();
  startle();
  sleepyLids();
}
