/** What a rig says of its nights, as the board has it: the bytes of a Plan (assembly/night/plan.ts). */
import { tauOf } from '../load/heat.ts';
import { inputPins, type Night, outputPins } from '../rig/night/night.ts';
import type { Rig } from '../rig/rig.ts';
import { holdHeats } from './heat.ts';
import { type IdleReach, idlePlace, idleReach } from './idle.ts';
import {
  ANALOG_PINS,
  IN_PINS,
  NOBODY,
  NO_PIN,
  OUT_PINS,
  PLAN,
  PLAN_BYTES,
  PLAN_FLAG,
  PLAN_TABLE,
  POSE,
  START_FLAG,
} from './layout.ts';

/** A rig whose file has no night: its shows start over the link alone. */
const PLAIN: Night = {
  light_pin: null,
  warn_pin: null,
  button_pin: null,
  warn_s: 5,
  cross_s: 3,
  debounce_ms: 50,
  loop: false,
  pause_s: 60,
  idle: null,
  inputs: [],
  analog: [],
  sounds: [],
  shows: [],
  schedule: [],
};

export const nightOf = ({ night }: Rig): Night => night ?? PLAIN;

export interface PlanFile {
  readonly bytes: Uint8Array<ArrayBuffer>;
  /** Null: there is no idle life. */
  readonly idle: IdleReach | null;
}

/**
 * @param names of the shows, in their order; every scheduled one is among them
 * @param fingerprint of the rig's image: what the idle life's chances begin with
 */
export function buildPlan(rig: Rig, names: readonly string[], fingerprint: number): PlanFile {
  const night = nightOf(rig);
  const idle = night.idle && idleReach(rig, night.idle);
  const view = new DataView(new ArrayBuffer(PLAN_BYTES));
  view.setUint32(PLAN.flags, flagsOf(rig, night), true);
  view.setUint32(PLAN.seed, fingerprint, true);
  view.setUint16(PLAN.warn_ms, Math.round(night.warn_s * 1000), true);
  view.setUint16(PLAN.cross_ms, Math.round(night.cross_s * 1000), true);
  view.setUint16(PLAN.pause_s, night.pause_s, true);
  view.setUint16(PLAN.debounce_ms, night.debounce_ms, true);
  putLines(view, night);
  putHeat(view, rig);
  putIdle(view, rig, night, idle);
  night.schedule.forEach(({ after_s, show }, i) => {
    view.setUint16(PLAN_TABLE.starts + 4 * i, after_s, true);
    view.setUint8(PLAN_TABLE.starts + 4 * i + 2, names.indexOf(show));
  });
  view.setUint8(PLAN.starts, night.schedule.length);
  return { bytes: new Uint8Array(view.buffer), idle };
}

const flagsOf = ({ audience }: Rig, { loop, idle }: Night): number =>
  (audience === 'behind_barrier' ? PLAN_FLAG.barrier : 0) | (loop ? PLAN_FLAG.loop : 0) | (idle ? PLAN_FLAG.idle : 0);

function putLines(view: DataView, night: Night): void {
  const put = (at: number, room: number, pins: readonly { readonly pin: number }[]): void => {
    for (let k = 0; k < room; k++) view.setUint8(at + k, pins[k]?.pin ?? NO_PIN);
  };
  const [inputs, outputs] = [inputPins(night), outputPins(night)];
  put(PLAN.in_pins_low, IN_PINS, inputs);
  put(PLAN.out_pins, OUT_PINS, outputs);
  put(PLAN.analog_pins, ANALOG_PINS, night.analog);
  const lineOf = (pins: readonly { readonly pin: number }[], pin: number | null): number => {
    const line = pins.findIndex((it) => it.pin === pin);
    return line < 0 ? NOBODY : line;
  };
  view.setUint8(PLAN.button, lineOf(inputs, night.button_pin));
  view.setUint8(PLAN.light, lineOf(outputs, night.light_pin));
  view.setUint8(PLAN.warn, lineOf(outputs, night.warn_pin));
}

function putHeat(view: DataView, rig: Rig): void {
  const holding = holdHeats(rig);
  rig.joints.forEach(({ servo }, j) => {
    view.setFloat32(PLAN_TABLE.per_tau + 4 * j, 1 / tauOf(servo), true);
    view.setFloat32(PLAN_TABLE.hold_heat + 4 * j, Number.isFinite(holding[j]) ? holding[j]! : 0, true);
  });
}

function putIdle(view: DataView, rig: Rig, night: Night, idle: IdleReach | null): void {
  const table = (at: number, place: number, value: number): void => {
    view.setFloat32(at + 4 * place, value, true);
  };
  for (let place = 0; place < POSE + rig.joints.length; place++)
    table(PLAN_TABLE.home, place, idlePlace(rig, night.idle, place));
  for (const { place, by } of idle?.look ?? []) table(PLAN_TABLE.look, place, by);
  for (const { place, by } of idle?.breath ?? []) table(PLAN_TABLE.breath, place, by);
  const lids = night.idle?.lids ?? [];
  for (const { place, shut } of lids) table(PLAN_TABLE.shut, place - POSE, shut);
  const mask = (places: readonly number[]): number =>
    places.filter((place) => place >= POSE).reduce((bits, place) => bits | (1 << (place - POSE)), 0);
  view.setUint16(PLAN.lids, mask(lids.map(({ place }) => place)), true);
  view.setUint16(PLAN.breath_joints, mask((idle?.breath ?? []).map(({ place }) => place)), true);
}

/** What of an entry follows from the rig: who starts the show, and its sound. */
export interface Cues {
  readonly start: number;
  readonly start_flags: number;
  readonly sound: number;
  readonly sound_ms: number;
  readonly sound_at_ms: number;
}

/** @param heard_s when its stream says that its sound is heard; null: it does not */
export function cuesOf(rig: Rig, name: string, heard_s: number | null): Cues {
  const night = nightOf(rig);
  const show = night.shows.find((it) => it.name === name);
  const input = night.inputs.findIndex((it) => it.name === show?.start);
  const sound = night.sounds.find((it) => it.name === show?.sound);
  const line = sound ? outputPins(night).indexOf(sound) : NOBODY;
  const { kind, by, inverted } = night.inputs[input] ?? { kind: 'edge', by: 'attendant', inverted: false };
  return {
    start: input < 0 ? NOBODY : input,
    start_flags:
      (kind === 'level' ? START_FLAG.level : 0) |
      (by === 'visitor' ? START_FLAG.unattended : 0) |
      (inverted ? START_FLAG.inverted : 0),
    sound: line,
    sound_ms: sound ? (show?.sound_ms ?? 0) : 0,
    sound_at_ms: sound ? Math.round(1000 * (show?.sound_at_s ?? heard_s ?? 0) - (show?.sound_lead_ms ?? 0)) : 0,
  };
}
