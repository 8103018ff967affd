/**
 * A prop with a night that stands in memory: what flash, decoder and pins would say is said by a few lines of AssemblyScript, all in one
 * block that the test writes and reads. The player itself is the one of the boards.
 */
import { readFileSync } from 'node:fs';
import { expect } from 'vitest';
import type { Boot } from '../../host/controller/controller.ts';
import { TYPE } from '../../host/controller/messages.ts';
import { NIGHT_STATES, type NightState } from '../../host/controller/night-messages.ts';
import type { Rig } from '../../host/rig/rig.ts';
import { compileBytes } from '../asc.ts';
import { Prop } from './prop.ts';
import { rigOf } from './rigs.ts';

const BENCH = `
@unmanaged
export class Bench {
  opened: u32; count: u32; removed: u32; damaged: u32; unchecked: u32; closed: u32; lines: u32; dirty: u32;
  unwritten: u32; notes: u32; spoilt: u32; away: u32; night: u32; show: u32; second: u32;
  warm: f32; heat: f32; frame: u32; pulled: u32;
}
export const NOTES_AT: usize = 128;
export const ENTRIES_AT: usize = NOTES_AT + 256 * 2;
export const SHAPES_AT: usize = ENTRIES_AT + 8 * 128;
export const BENCH: usize = memory.data(128 + 512 + 1024 + 8 * 2 * 22 * 4, 4);
// @ts-ignore: decorator
@inline export function bench(): Bench { return changetype<Bench>(BENCH); }
`;
const FROM = "import { BENCH, ENTRIES_AT, NOTES_AT, SHAPES_AT, bench } from './bench';\n";
const PINS = `${FROM}
export function closedPins(): u32 { return bench().closed; }
export function setLines(on: u32): void { bench().lines = on; }`;
const DECODE = `${FROM}import { VALUES, at, put } from '../layout';
import { entry } from './plan';
export function openShow(): void { bench().frame = 0; bench().pulled = entry().page | (entry().frames << 8); bench().spoilt &= 1; }
export function ended(): bool { return bench().frame >= bench().pulled >> 8 || isSpoilt(); }
export function isSpoilt(): bool { return (bench().spoilt & 2) != 0; }
export function heatNow(j: i32): f32 { return bench().heat; }
export function nextFrame(to: usize): bool {
  if (bench().away || ended()) return false;
  if (bench().spoilt & 1 && bench().frame == 40) { bench().spoilt |= 2; return false; }
  const p = f32(bench().frame % 100) / 100;
  const s: f32 = 16 * p * p * (1 - p) * (1 - p);
  const shape = BENCH + SHAPES_AT + usize((bench().pulled & 255) * 176);
  for (let i = 0; i < VALUES; i++) put(to, i, at(shape, i) + at(shape + 88, i) * s);
  bench().frame += 1;
  return true;
}`;

/** The board has no store: what archive and log would know of it is asked of the bench, and what is noted is kept there as well. */
const BEGINNINGS: Readonly<Record<string, readonly (readonly [head: string, body: string])[]>> = {
  archive: [
    ['export function nightsOpened(): u32 {', 'return bench().opened;'],
    ['export function showCount(): u32 {', 'return bench().count;'],
    [
      'export function entryOf(k: u32): bool {',
      'if (!bench().away) memory.copy(ENTRY, BENCH + ENTRIES_AT + usize(k) * 128, 128);\n  return !bench().away;',
    ],
    ['export function isRemoved(k: u32): bool {', 'return ((bench().removed >> k) & 1) != 0;'],
  ],
  checking: [
    ['export function isDamaged(k: u32): bool {', 'return ((bench().damaged >> k) & 1) != 0;'],
    ['export function isChecked(k: u32): bool {', 'return ((bench().unchecked >> k) & 1) == 0;'],
  ],
  events: [
    ['export function lastStopDirty(): bool {', 'return bench().dirty != 0;'],
    ['export function allWritten(): bool {', 'return bench().unwritten == 0;'],
    [
      'export function note(kind: Kind, detail: u8, value: i32): bool {',
      `const its = BENCH + NOTES_AT + usize((bench().notes++ & 255) << 1);
  store<u8>(its, u8(kind));
  store<u8>(its, detail, 1);`,
    ],
  ],
};

/** A source of the controller whose functions begin with something else. */
function begun(name: string): [string, string] {
  const path = `assembly/night/${name}.ts`;
  let text = readFileSync(path, 'utf8');
  for (const [head, body] of BEGINNINGS[name]!) {
    if (!text.includes(head)) throw new Error(`${path} has no ${head}`);
    text = text.replace(head, `${head}\n  ${body}`);
  }
  return [path, `${FROM}${text}`];
}

const INDEX = `${readFileSync('assembly/index.ts', 'utf8')}
import { BENCH } from './night/bench';
import { PLAN } from './night/plan';
export const bench: usize = BENCH;
export const plan: usize = PLAN;
`;

/** Once a tick the bench says what the night is doing. */
const TICK = `import { bench } from './night/bench';
import { seen } from './night/seen';
import { warmest } from './night/warmth';
${readFileSync('assembly/tick.ts', 'utf8').replace(
  '  nightTick();',
  `  nightTick();
  bench().night = seen().night;
  bench().show = seen().show;
  bench().second = seen().second;
  bench().warm = warmest();`,
)}`;

const wasm = await compileBytes(
  'assembly/index.ts',
  new Map([
    ['assembly/index.ts', INDEX],
    ['assembly/tick.ts', TICK],
    ['assembly/night/bench.ts', BENCH],
    ['assembly/night/pins.ts', PINS],
    ['assembly/night/decode.ts', DECODE],
    begun('archive'),
    begun('checking'),
    begun('events'),
  ]),
);
const globals = new WebAssembly.Instance(new WebAssembly.Module(wasm)).exports as Record<
  'bench' | 'plan',
  WebAssembly.Global
>;
const AT = { bench: Number(globals.bench.value), plan: Number(globals.plan.value) };

export const KIND = { power: 1, started: 2, stopped: 3, stop: 5, cleared: 6, refused: 7, damaged: 9 } as const;
export const WHY = {
  done: 0,
  notNow: 1,
  malformed: 3,
  noNight: 5,
  barred: 7,
  tooWarm: 8,
  damaged: 9,
  heldButton: 11,
  stopOpen: 12,
  noBarrier: 32,
  noStopLoop: 33,
  restPowered: 34,
  notWritten: 35,
} as const;
export const FLAG = { barrier: 1, loop: 2, idle: 4 } as const;
export const START = { level: 1, unattended: 2, inverted: 4 } as const;
/** Lines of the test's plan: the light, what warns, the sound. */
export const LINE = { light: 1, warn: 2, sound: 4 } as const;
/** Input of the button. */
export const BUTTON = 7;

const FIELDS = [
  'opened',
  'count',
  'removed',
  'damaged',
  'unchecked',
  'closed',
  'lines',
  'dirty',
  'unwritten',
  'notes',
  'spoilt',
  'away',
  'night',
  'show',
  'second',
  'warm',
  'heat',
] as const;
type Field = (typeof FIELDS)[number];
const ENTRIES = 128 + 512;
const SHAPES = ENTRIES + 1024;

export interface Show {
  readonly frames?: number;
  readonly pin?: number;
  readonly flags?: number;
  readonly warmest?: number;
  readonly sound?: { at_ms: number; for_ms: number };
  /** Values of the first frame and how far they swing: pose (mm, rad), then all joints. */
  readonly base?: readonly number[];
  readonly swing?: readonly number[];
}

export interface Plan {
  readonly flags?: number;
  readonly seed?: number;
  readonly warn_ms?: number;
  readonly cross_ms?: number;
  readonly pause_s?: number;
  readonly debounce_ms?: number;
  readonly perTau?: number;
  readonly hold?: number;
  readonly look?: readonly number[];
  readonly breath?: readonly number[];
  /** Joint of the lid, and where it is shut. */
  readonly lid?: { joint: number; shut: number };
  readonly schedule?: readonly { after_s: number; show: number }[];
}

/** A prop with a night of these shows. Ticks of 5 ms; nod is joint 6, lid joint 7 where there is a platform. */
export class NightProp extends Prop {
  readonly view: DataView;

  constructor(shows: readonly Show[] = [{}], plan: Plan = {}, rig: Rig = rigOf(), boot: Boot = {}) {
    super(rig, boot, wasm);
    this.view = new DataView(this.controller.pulses.buffer);
    this.putPlan(plan);
    shows.forEach((show, k) => this.putShow(k, show));
    this.set('count', shows.length);
    this.set('opened', 1);
    this.run(shows.length + 2);
  }

  private putPlan(plan: Plan): void {
    const v = this.view;
    const at = AT.plan;
    v.setUint32(at, plan.flags ?? 0, true);
    v.setUint32(at + 4, plan.seed ?? 1, true);
    v.setUint16(at + 8, plan.warn_ms ?? 5000, true);
    v.setUint16(at + 10, plan.cross_ms ?? 1000, true);
    v.setUint16(at + 12, plan.pause_s ?? 10, true);
    v.setUint16(at + 14, plan.debounce_ms ?? 30, true);
    v.setUint8(at + 32, BUTTON);
    v.setUint8(at + 33, 0);
    v.setUint8(at + 34, 1);
    v.setUint8(at + 35, plan.schedule?.length ?? 0);
    v.setUint16(at + 36, plan.lid ? 1 << plan.lid.joint : 0, true);
    v.setUint16(at + 38, 0xffff, true);
    const floats = (from: number, values: readonly number[]): void =>
      values.forEach((x, i) => v.setFloat32(at + from + 4 * i, x, true));
    floats(
      64,
      Array.from({ length: 16 }, () => plan.perTau ?? 1 / 300),
    );
    floats(
      128,
      Array.from({ length: 16 }, () => plan.hold ?? 0.1),
    );
    floats(192, plan.look ?? []);
    floats(280, plan.breath ?? []);
    if (plan.lid) v.setFloat32(at + 368 + 4 * plan.lid.joint, plan.lid.shut, true);
    floats(432, [0, 0, 0, 0, 0, 0, ...this.rig.joints.map(({ home }) => home)]);
    plan.schedule?.forEach(({ after_s, show }, i) => {
      v.setUint16(at + 520 + 4 * i, after_s, true);
      v.setUint8(at + 522 + 4 * i, show);
    });
  }

  private putShow(k: number, show: Show): void {
    const v = this.view;
    const at = AT.bench + ENTRIES + 128 * k;
    v.setUint32(at, k, true);
    v.setUint32(at + 12, show.frames ?? 200, true);
    v.setUint8(at + 20, show.pin ?? 255);
    v.setUint8(at + 21, show.flags ?? 0);
    v.setUint8(at + 22, show.sound ? 2 : 255);
    v.setUint16(at + 24, show.sound?.for_ms ?? 0, true);
    v.setInt32(at + 28, show.sound?.at_ms ?? 0, true);
    v.setUint8(at + 32, show.warmest ?? 1);
    const shape = AT.bench + SHAPES + 176 * k;
    const home = [0, 0, 0, 0, 0, 0, ...this.rig.joints.map((joint) => joint.home)];
    home.forEach((x, i) => {
      v.setFloat32(shape + 4 * i, show.base?.[i] ?? x, true);
      v.setFloat32(shape + 88 + 4 * i, show.swing?.[i] ?? 0, true);
    });
  }

  get(field: Field): number {
    const at = AT.bench + 4 * FIELDS.indexOf(field);
    return field === 'warm' ? this.view.getFloat32(at, true) : this.view.getUint32(at, true);
  }

  set(field: Field, value: number): void {
    const at = AT.bench + 4 * FIELDS.indexOf(field);
    if (field === 'heat') this.view.setFloat32(at, value, true);
    else this.view.setUint32(at, value, true);
  }

  get night(): NightState {
    return NIGHT_STATES[this.get('night')]!;
  }

  on(line: number): boolean {
    return (this.get('lines') & line) !== 0;
  }

  /** Kind and detail of everything noted, oldest first (256 at most). */
  get notes(): [number, number][] {
    return Array.from({ length: Math.min(256, this.get('notes')) }, (_, n) => {
      const at = this.noteAt(n);
      return [this.view.getUint8(at), this.view.getUint8(at + 1)];
    });
  }

  /** Where the n-th note stands, of all so far. */
  noteAt(n: number): number {
    return AT.bench + 128 + 2 * (n & 255);
  }

  kinds(kind: number): number[] {
    return this.notes.filter(([its]) => its === kind).map(([, detail]) => detail);
  }

  /** Starts show k over the link; returns why not. */
  show(k: number, still = 0): number {
    this.answers.length = 0;
    this.tell(this.send.showRun(k, still));
    this.run(1);
    return this.answers.at(-1)!.result;
  }

  stopShow(): number {
    return this.ask(TYPE.showStop);
  }

  close(pin: number, closed = true): void {
    this.set('closed', closed ? this.get('closed') | (1 << pin) : this.get('closed') & ~(1 << pin));
  }

  /** Closes a pin for a while, and opens it. */
  tap(pin: number, seconds = 0.1): void {
    this.close(pin);
    this.seconds(seconds);
    this.close(pin, false);
    this.seconds(0.1);
  }

  untilNight(night: NightState, most_s = 120): void {
    for (let n = 0; n < most_s * this.hz; n++) {
      if (this.night === night) return;
      this.run(1);
    }
    throw new Error(`never became ${night}: ${this.night}, ${this.state}`);
  }
}

/** With a pin for the stop loop, or none. */
export const withStop = (pin: number | null, options = {}): Rig => {
  const rig = rigOf(options);
  return { ...rig, board: { ...rig.board!, stop: pin === null ? null : rig.board!.stop } };
};
/** A prop whose show plays, the warning and the way there behind it. */
export const playing = (show: Show = {}, plan: Plan = {}, rig?: Rig): NightProp => {
  const prop = new NightProp([{ frames: 2000, ...show }], plan, rig);
  expect(prop.show(0)).toBe(WHY.done);
  prop.untilNight('playing');
  return prop;
};
/** The two digits that the light counts, as they follow a long pause. */
export function sign(prop: NightProp): string {
  const digits: number[] = [];
  let [blinks, dark, was, begun] = [0, 0, false, false];
  for (let n = 0; n < 30 * prop.hz && digits.length < 2; n++) {
    prop.run(1);
    const is = prop.on(LINE.light);
    if (is && !was) blinks += 1;
    dark = is ? 0 : dark + 1;
    // 0.3 s between blinks, 1.2 s between digits, 2.7 s behind both.
    if (dark === 0.6 * prop.hz && begun && blinks) digits.push(blinks);
    if (dark === 0.6 * prop.hz) blinks = 0;
    if (dark === 2 * prop.hz) {
      begun = true;
      digits.length = 0;
    }
    was = is;
  }
  return digits.join('-');
}
/** The attendant's three seconds. */
export const hold = (prop: NightProp): void => {
  prop.tap(BUTTON, 3.2);
};
