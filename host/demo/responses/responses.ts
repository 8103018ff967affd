// Three responses to begin with: copy this file into the folder of your rig, give the inputs your names, and throw out what you do not
// need. It is AssemblyScript. respond() is called on every tick while the prop is awake; what it asks for comes before every limit, so
// it cannot hurt the prop. Values are in mm and degrees, as in a stream; level() is 0 to 1; variables stay from tick to tick.
import { add, ask, asked, level, seconds, since, tick_s } from './senses';
import { Level, Value } from './named';

/** How far the head turns to whoever is near, degrees; how near counts (these sensors read more when someone is nearer). */
const TURN: f32 = 8;
const NEAR: f32 = 0.25;
/** A sound louder than the quiet by so much startles, and not again for a while, s. */
const LOUD: f32 = 0.3;
const CALM_S: f32 = 3;
/** How far it starts back, mm, and for how long, s. */
const START_MM: f32 = 6;
const START_S: f32 = 0.6;
/** Below this light the lids begin to sink, and which part of the way they do: of what is asked, so that they never go past closed. */
const DUSK: f32 = 0.4;
const SLEEPY: f32 = 0.5;

/** Each is led to what it should be, since sensors are restless; and how fast it goes now, a second. */
let look: f32 = 0;
let look_speed: f32 = 0;
let back: f32 = 0;
let back_speed: f32 = 0;
let sleepy: f32 = 0;
let sleepy_speed: f32 = 0;
let quiet: f32 = 1;
let startled_s: f32 = 0;
let is_startled: bool = false;

/**
 * The speed with which a value goes on, when it has `way` to go and is there in about `for_s`: it sets off and arrives gently, as a
 * weight on a spring that is damped so that it does not swing. At most it speeds up by 25 * way / for_s^2; a joint has its limits.
 */
function eased(way: f32, speed: f32, for_s: f32): f32 {
  const pull: f32 = 5.0 / for_s;
  return speed + (way * pull - speed * 2.0) * pull * tick_s();
}

/** Part of the way that is gone in a tick, when most of it takes so many seconds: for what is measured, not for what moves. */
function pace(for_s: f32): f32 {
  return min(1.0, tick_s() / for_s);
}

/** Looks at the nearer of two distance sensors. */
function lookAtNearer(): void {
  const left = level(Level.left);
  const right = level(Level.right);
  let to: f32 = 0;
  if (max(left, right) > NEAR) to = left > right ? TURN : -TURN;
  look_speed = eased(to - look, look_speed, 1.2);
  look += look_speed * tick_s();
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
  const for_s = since(startled_s);
  if (is_startled && for_s > CALM_S) is_startled = false;
  const to: f32 = is_startled && for_s < START_S ? -START_MM : 0;
  back_speed = eased(to - back, back_speed, 0.6);
  back += back_speed * tick_s();
  add(Value.z, back);
}

/** The lids sink as it gets dark. */
function sleepyLids(): void {
  const light = level(Level.light);
  const to: f32 = light < DUSK ? (1.0 - light / DUSK) * SLEEPY : 0;
  sleepy_speed = eased(to - sleepy, sleepy_speed, 4.0);
  sleepy += sleepy_speed * tick_s();
  ask(Value.lid, asked(Value.lid) * (1.0 - sleepy));
}

export function respond(): void {
  lookAtNearer();
  startle();
  sleepyLids();
}
