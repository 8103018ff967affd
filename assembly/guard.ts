/**
 * Decides the prop's state, and with it what the joints are asked and which pulses are on. states.ts says which
 * state follows which (but see `cleared`).
 */
import {
  ACTIVE,
  GOAL,
  INPUTS,
  INPUT_PLACES_AT,
  JOINTS,
  OUTPUTS,
  OUTPUT_PLACES_AT,
  PLACE_JOINTS_AT,
  PLACE_POSE_AT,
  POSE_REST_AT,
  Places,
  REST_POWERED,
  at,
  copyPose,
  image,
  inputs,
  joint,
  jointCount,
  jointImage,
  outputs,
  put,
} from './layout';
import { period_us, play_us } from './clock';
import { clamp } from './kernels';
import { solve } from './kinematics';
import { play, restartPlayback } from './playback';
import { emptyQueue } from './queue';
import { POSE, placePose, setPoseSlow } from './reach';
import { Event, Reset, State, Trip, following } from './states';
import { waiting } from './ring';
import { cutAhead, forgetAhead, placeJoint, startAhead, stopAhead } from './ahead';
import { arrived } from './track';
import { forgetMotion } from './wobble';

const SILENCE_MS: u32 = 250;
/** How long a joint has to itself when its pulses begin: a slow servo crosses its range in less (common practice). */
const FIRST_PULSE_MS: u32 = 400;
/** Faults are counted in leaky buckets: ten a second are tolerated for ever, forty more than that trip. */
const FAULTS_BORNE: u32 = 10;
const FAULTS_TRIP: u32 = 40;
/**
 * The supply is low after so long below low_v, net: time below counts up, time above counts down. The dip that servos make when they all
 * start lasts some tens of ms, and an empty battery stays empty (common practice).
 */
const LOW_MS: u32 = 100;


@unmanaged
class Guard {
  state: State;
  trip: Trip;
  /** Joints whose pulses are on. */
  pulsing: u32;
  /** Ticks since the last newer frame; ticks in this state, or in this step of rousing. */
  silent: u32;
  since: u32;
  /** Rousing: the joint whose turn it is; JOINTS + 1 + j: joint j's way home, JOINTS: the legs'. */
  turn: u32;
  /** Settled and staying powered; tripped and keeping its widths; settle, but stay there (stop category 2). */
  resting: bool;
  frozen: bool;
  stay: bool;
  starved: bool;
  /** The buckets, in ticks. */
  bad_frames: u32;
  late_ticks: u32;
  low_ticks: u32;
  /** How often what waited to be played has been thrown away. */
  breaks: u32;
}
const GUARD: usize = memory.data(i32(offsetof<Guard>()));
// @ts-ignore: decorator
@inline function guard(): Guard {
  return changetype<Guard>(GUARD);
}

// @ts-ignore: decorator
@inline export function state(): State {
  return guard().state;
}
// @ts-ignore: decorator
@inline export function trip(): Trip {
  return guard().trip;
}
// @ts-ignore: decorator
@inline export function pulsing(): u32 {
  return guard().pulsing;
}
// @ts-ignore: decorator
@inline export function starved(): bool {
  return guard().starved;
}
// @ts-ignore: decorator
@inline export function resting(): bool {
  return guard().resting;
}
// @ts-ignore: decorator
@inline export function listening(): bool {
  return guard().state == State.live || guard().state == State.holding;
}
/** Another number whenever what waited to be played has been thrown away: someone has ended it. */
// @ts-ignore: decorator
@inline export function breaks(): u32 {
  return guard().breaks;
}
// @ts-ignore: decorator
@inline function ticks(ms: u32): u32 {
  return (ms * 1000) / period_us();
}

/** Raises an event; returns whether the table had something to do. */
export function raise(event: Event): bool {
  const g = guard();
  const next = following(g.state, event);
  if (next == g.state) {
    if (g.state == State.tripped) return raiseTripped(event);
    if (event == Event.pause && g.state == State.holding) return breakOff();
    return event == Event.settle && next == State.settling;
  }
  if (g.state == State.tripped && g.pulsing) return cleared();
  // Silence and its end leave the queue alone: the joints are on their way along it.
  if (event != Event.silence && event != Event.frames) {
    forgetFrames();
  }
  enter(next);
  if (event == Event.pause) cutAhead();
  return true;
}

function forgetFrames(): void {
  emptyQueue();
  restartPlayback();
  guard().breaks += 1;
}

/** Held for want of frames, what waits to be played goes on: a pause breaks it off. */
function breakOff(): bool {
  forgetFrames();
  cutAhead();
  return true;
}

/** Tripped stays tripped; but pulses that were kept can be settled, and power can be cut. */
function raiseTripped(event: Event): bool {
  const g = guard();
  if (event == Event.settle && g.frozen) {
    g.frozen = false;
    startSettling();
    return true;
  }
  if (event == Event.cut) {
    switchOff();
    return true;
  }
  return false;
}

/** Cleared only at rest. A prop that still has its pulses there would fall without them: it stays as if settled. */
function cleared(): bool {
  if (!guard().resting) return false;
  enter(State.settling);
  return true;
}

function enter(next: State): void {
  const g = guard();
  const powered = g.pulsing != 0;
  const listened = listening();
  g.state = next;
  if (listened && !listening()) stopAhead();
  else if (listening() && !listened) startAhead();
  g.since = 0;
  g.silent = 0;
  g.resting = false;
  g.stay = false;
  if (next != State.tripped) g.trip = Trip.none;
  if (next == State.limp) switchOff();
  else if (next == State.rousing) {
    slow(true);
    g.turn = firstOff();
    if (!powered) {
      for (let i = 0; i < jointCount(); i++) placeJoint(i, joint(i).out);
      forgetMotion();
    }
    goHere();
  } else if (next == State.live) slow(false);
  else if (next == State.settling || (next == State.tripped && powered)) startSettling();
}

function startSettling(): void {
  slow(true);
  for (let i = 0; i < 6; i++) put(GOAL, i, at(ACTIVE + POSE_REST_AT, i));
  for (let i = 0; i < jointCount(); i++) put(GOAL, 6 + i, jointImage(i).rest);
  guard().resting = false;
}

function switchOff(): void {
  guard().pulsing = 0;
  guard().frozen = false;
}

/** The first joint without pulses; JOINTS when all have them. */
function firstOff(): u32 {
  const off = ~guard().pulsing & ((u32(1) << u32(jointCount())) - 1);
  return off ? ctz(off) : JOINTS;
}

function slow(on: bool): void {
  setPoseSlow(on);
  for (let i = 0; i < jointCount(); i++) joint(i).speed = on ? joint(i).slow : joint(i).fast;
}

/** Asks what is: the pose followed now, the joints where they stand. */
function goHere(): void {
  memory.copy(GOAL, POSE, 24);
  for (let i = 0; i < jointCount(); i++) put(GOAL, 6 + i, joint(i).pos);
}

/** Ticks that it takes to forget one fault. */
// @ts-ignore: decorator
@inline function faultTicks(): u32 {
  return u32(image().tick_hz) / FAULTS_BORNE;
}

/** The link saw a frame that cannot be right. */
export function countBadFrame(): void {
  guard().bad_frames += faultTicks();
}

/** Power-up, with what the board found: places that survived, and why it was reset. */
export function wake(): void {
  const g = guard();
  memory.fill(GUARD, 0, offsetof<Guard>());
  const places = changetype<Places>(INPUTS + INPUT_PLACES_AT);
  forgetAhead();
  placePose(ACTIVE + POSE_REST_AT);
  if (!jointCount() || !inputs().places_valid) return;
  adoptPlaces();
  goHere();
  if (inputs().reset_reason == Reset.watchdog) {
    g.state = State.tripped;
    const response = places.trip == Trip.none && inputs().kept_mark != 0;
    g.trip = response ? Trip.response : places.trip != Trip.none ? <Trip>places.trip : Trip.watchdog;
    g.pulsing = places.pulsing & ((u32(1) << u32(jointCount())) - 1);
    g.frozen = g.pulsing != 0 && !response;
    slow(true);
    // Nothing is wrong with the prop or its controller, so it need not wait for someone: it comes to rest without its responses.
    if (response) startSettling();
  } else if (places.trip != Trip.none) {
    g.state = State.tripped;
    g.trip = <Trip>places.trip;
  }
}

/** Puts the joints where the surviving record says they were. What it says is clamped: it may be anything. */
function adoptPlaces(): void {
  const places = INPUTS + INPUT_PLACES_AT;
  for (let i = 0; i < jointCount(); i++) {
    const j = joint(i);
    placeJoint(i, clamp(at(places + PLACE_JOINTS_AT, i), j.lo, j.hi));
  }
  forgetMotion();
  if (image().leg_count && solve(places + PLACE_POSE_AT)) placePose(places + PLACE_POSE_AT);
}

/** One tick of the guard. Returns whether the joints move; GOAL then holds what is asked of them. */
export function watch(): bool {
  const g = guard();
  g.starved = false;
  if (!jointCount()) return false;
  watchInputs();
  g.since += 1;
  switch (g.state) {
    case State.rousing:
      return rouse();
    case State.live:
    case State.holding:
      listen();
      break;
    case State.settling:
    case State.tripped:
      if (g.frozen || !g.pulsing) return false;
      settle();
      break;
    default:
      return false;
  }
  return g.pulsing != 0;
}

function watchInputs(): void {
  const g = guard();
  if (inputs().stop_open) stop();
  const late = inputs().tick_us > period_us();
  const low = supplyLow();
  // Most ticks have nothing to count, and nothing to forget.
  if (g.bad_frames | g.late_ticks | g.low_ticks | u32(late) | u32(low)) countFaults(late, low);
}

/** What is not measured, or not watched, is never low. */
// @ts-ignore: decorator
@inline function supplyLow(): bool {
  const mv = inputs().supply_mv;
  return mv != 0 && mv < image().low_mv;
}

/** Fills and empties the buckets by a tick; trips when one is full. Without pulses there is nothing to lose, and nothing is counted. */
function countFaults(late: bool, low: bool): void {
  const g = guard();
  if (g.bad_frames) g.bad_frames -= 1;
  if (g.late_ticks) g.late_ticks -= 1;
  if (late) g.late_ticks += faultTicks();
  if (!g.pulsing || g.state == State.tripped) {
    if (!g.pulsing) g.bad_frames = g.late_ticks = g.low_ticks = 0;
    return;
  }
  if (low) g.low_ticks += 1;
  else if (g.low_ticks) g.low_ticks -= 1;
  if (g.bad_frames > FAULTS_TRIP * faultTicks()) fault(Trip.link);
  else if (g.late_ticks > FAULTS_TRIP * faultTicks()) fault(Trip.late);
  else if (g.low_ticks > ticks(LOW_MS)) fault(Trip.supply);
}

function fault(reason: Trip): void {
  guard().trip = reason;
  raise(Event.fault);
}

/** The stop input, or the stop message: what it does is the rig's stop category (IEC 60204-1). */
export function stop(): bool {
  const category = image().stop_category;
  if (category == 0) return raise(Event.cut);
  const settling = raise(Event.settle);
  if (category == 2 && guard().state == State.settling) guard().stay = true;
  return settling;
}

/** The settle message: to the rest, then off, even where a stop had asked to stay powered. */
export function settleAndRest(): bool {
  guard().stay = false;
  return raise(Event.settle);
}

/** Live or holding: plays the queue. */
function listen(): void {
  const g = guard();
  const fresh = play(play_us(), 6 + jointCount());
  if (fresh) {
    g.silent = 0;
    if (g.state == State.holding) raise(Event.frames);
    return;
  }
  g.starved = true;
  g.silent += 1;
  if (g.state == State.live && g.silent > ticks(SILENCE_MS)) raise(Event.silence);
  else if (g.state == State.holding && g.since > ticks(image().hold_ms)) raise(Event.held);
}

/** Settling: GOAL is the rest; there, pulses go off unless the rest needs power or the stop category keeps it. */
function settle(): void {
  const g = guard();
  if (!allArrived()) return;
  if (image().rest_kind == REST_POWERED || g.stay) {
    g.resting = true;
    return;
  }
  if (g.state == State.tripped) switchOff();
  else raise(Event.rest);
}

function allArrived(): bool {
  for (let i = 0; i < jointCount(); i++) {
    const j = joint(i);
    if (!arrived(j) || (i >= i32(image().leg_count) && j.target != at(GOAL, 6 + i))) return false;
  }
  return poseThere();
}

function allStand(): bool {
  for (let i = 0; i < jointCount(); i++) if (!arrived(joint(i))) return false;
  return true;
}

function poseThere(): bool {
  if (!image().leg_count) return true;
  for (let i = 0; i < 6; i++) if (at(POSE, i) != at(GOAL, i)) return false;
  return true;
}

/**
 * Rousing. A hobby servo runs to its first pulse at its own full speed, so each joint's pulses begin alone, where it
 * stands as far as is known. Then the legs go home together along reachable poses (one by one they would tear their rod
 * ends), then the other joints one after another. Returns whether the joints move.
 */
function rouse(): bool {
  const g = guard();
  const n = u32(jointCount());
  const legs = u32(image().leg_count);
  if (g.turn < n) {
    if (!allStand()) {
      // Roused out of a settling that had begun before all pulses were on: first the others brake.
      g.since = 0;
      return true;
    }
    g.pulsing |= u32(1) << g.turn;
    if (g.since > ticks(FIRST_PULSE_MS)) {
      g.turn = firstOff();
      g.since = 0;
    }
    return false;
  }
  if (g.turn == JOINTS) {
    for (let i = 0; i < 6; i++) put(GOAL, i, 0);
    let there = poseThere();
    for (let i: u32 = 0; i < legs; i++) if (!arrived(joint(i))) there = false;
    if (there) g.turn = JOINTS + 1 + legs;
    return true;
  }
  const mover = g.turn - JOINTS - 1;
  if (mover >= n) {
    raise(Event.home);
    return true;
  }
  put(GOAL, 6 + mover, jointImage(mover).home);
  if (joint(mover).target == jointImage(mover).home && arrived(joint(mover))) g.turn += 1;
  return true;
}

/** Writes state, power and the places that must survive a reset. */
export function publish(): void {
  const g = guard();
  const out = outputs();
  out.state = u8(g.state);
  out.trip = u8(g.trip);
  out.power = u8(g.pulsing != 0);
  const base = OUTPUTS + OUTPUT_PLACES_AT;
  const places = changetype<Places>(base);
  places.trip = g.trip;
  places.pulsing = g.pulsing;
  const count = jointCount();
  for (let i = 0; i < count; i++) put(base + PLACE_JOINTS_AT, i, joint(i).out);
  if (!waiting()) copyPose(base + PLACE_POSE_AT, POSE);
}
