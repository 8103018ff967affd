/**
 * Scripts for the firmware in one process, to begin from: each is something that happens to a board, in the bytes that
 * boards/native/script.c reads. A fuzzer goes on from here.
 */
import { TYPE } from '../../../controller/messages.ts';

/** In the order of boards/native/script.h. */
const OPERATION = {
  ticks: 0,
  bytes: 1,
  frame: 2,
  pose: 3,
  image: 4,
  stop: 5,
  reset: 6,
  late: 7,
  line: 8,
  power: 9,
  long: 10,
  supply: 11,
  wear: 12,
} as const;
const RIGS = 4;

const u16 = (value: number): number[] => [value & 0xff, (value >> 8) & 0xff];
const ticks = (n: number): number[] => [OPERATION.ticks, n - 1];
/** At least n ticks, at most 2048. */
const long = (n: number): number[] => [OPERATION.long, Math.min(255, Math.ceil(n / 8) - 1)];
const bytes = (...all: number[]): number[] => [OPERATION.bytes, all.length, ...all];
const frame = (type: number, ...payload: number[]): number[] => [OPERATION.frame, type, payload.length, ...payload];
const command = (type: number): number[] => [...frame(type), ...ticks(1)];
/** Ahead in ms; mm in quarters, rad in hundredths; joints by number with their hundredths of a rad. */
const pose = (ahead_ms: number, values: readonly number[], joints: Readonly<Record<number, number>> = {}): number[] => {
  const named = Object.keys(joints).map(Number);
  const mask = named.reduce((sum, k) => sum | (1 << k), 0);
  const all = [...values, ...named.sort((a, b) => a - b).map((k) => joints[k] ?? 0)];
  return [OPERATION.pose, (ahead_ms / 4) & 0xff, ...u16(mask), ...all.map((value) => value & 0xff)];
};
/** A rig, with bytes changed: offset and value. */
const image = (rig: number, ...changes: readonly [at: number, to: number][]): number[] => [
  OPERATION.image,
  rig,
  changes.length,
  ...changes.flatMap(([at, to]) => [...u16(at), to]),
  ...ticks(1),
];
const stop = (open: boolean): number[] => [OPERATION.stop, Number(open)];
const reset = (why: number): number[] => [OPERATION.reset, why];
const late = (us: number): number[] => [OPERATION.late, us / 64];
const line = (bytesATick: number): number[] => [OPERATION.line, bytesATick / 16];
const powerFails = (after: number): number[] => [OPERATION.power, ...u16(after)];

const BLANK = 0;
/** The start with rig k live. */
const live = (k: number): number => k + 1;

const supply = (mv: number): number[] => [OPERATION.supply, mv / 64];
const FRESH = 65535;
const wearsOut = (after: number): number[] => [OPERATION.wear, ...u16(after)];

/** A look about: poses every few ticks. */
const look = (n: number, joints: readonly number[] = []): number[] =>
  Array.from({ length: n }, (_, i) => [
    ...pose(
      40,
      [0, 1, 2, 3, 4, 5].map((k) => Math.round(12 * Math.sin(i / 5 + k))),
      Object.fromEntries(joints.map((k) => [k, Math.round(20 * Math.sin(i / 7 + k))])),
    ),
    ...ticks(4),
  ]).flat();
const FAR = [120, -120, 90, 90, -90, 60];

/** What happens to a board that lives with rig k. */
function lives(k: number): number[][] {
  const begins = [live(k)];
  return [
    [...begins, ...look(20), ...long(500)],
    [...begins, ...look(6, [6, 7]), ...command(TYPE.pause), ...look(4, [6]), ...command(TYPE.settle), ...long(2000)],
    [...begins, ...pose(100, FAR), ...ticks(80), ...pose(100, [0, 0, 0, 0, 0, 0]), ...ticks(80)],
    [...begins, ...look(8), ...stop(true), ...long(1500), ...stop(false), ...command(TYPE.rouse), ...long(1500)],
    [...begins, ...look(8), ...command(TYPE.stop), ...long(300), ...command(TYPE.settle), ...command(TYPE.rouse)],
    // Twice without a tick between: pulses that the first has ended may not come back with the second.
    ...[0, 1, 2].map((why) => [...begins, ...look(8), ...reset(why), ...reset(1), ...ticks(5)]),
    ...[0, 1, 2].map((why) => [...begins, ...look(8), ...reset(why), ...ticks(50), ...command(TYPE.settle), ...long(1500)]),
    [...begins, ...look(4), ...late(12_800), ...ticks(120), ...late(0), ...long(1500), ...command(TYPE.clear)],
    [...begins, ...look(4), ...late(16_320), ...long(320), ...late(0), ...command(TYPE.settle), ...long(1500)],
    [...begins, ...Array.from({ length: 80 }, () => [...bytes(9, 9, 0, 7, 0), ...ticks(1)]).flat(), ...long(1500)],
    [...begins, ...line(16), ...frame(TYPE.report, 1, 0), ...look(20), ...line(0), ...ticks(20)],
    // A dip, a supply that stays low, one that is low while settling, and over a reset.
    [...begins, ...supply(4992), ...look(4), ...supply(6464), ...look(8), ...supply(4992), ...look(40), ...supply(6464), ...long(2000), ...command(TYPE.clear)],
    [...begins, ...look(4), ...command(TYPE.settle), ...supply(64), ...look(20), ...reset(1), ...ticks(40), ...command(TYPE.settle), ...long(2000)],
    // The flash does not take the next rig, which then plays; the watchdog brings back the one that is stored.
    [
      ...begins,
      ...command(TYPE.settle),
      ...long(2040),
      ...wearsOut(5000),
      ...image((k + 1) % RIGS),
      ...ticks(2),
      ...command(TYPE.rouse),
      ...long(1200),
      ...look(8),
      ...reset(1),
      ...ticks(20),
      ...wearsOut(FRESH),
      ...image((k + 2) % RIGS),
      ...ticks(2),
    ],
    [...begins, ...image(k), ...command(TYPE.settle), ...long(2500), ...image((k + 1) % RIGS), ...command(TYPE.rouse)],
  ];
}

/** All of them, with names for their files. */
export function seedScripts(): { name: string; bytes: Uint8Array }[] {
  const scripts = [
    [BLANK, ...command(TYPE.who), ...command(TYPE.rouse), ...image(0), ...frame(TYPE.report, 1, 0), ...command(TYPE.rouse), ...long(1200)],
    [BLANK, ...image(1), ...image(2, [16, 40]), ...image(0, [300, 200], [301, 7]), ...image(3, [212, 0xff], [213, 0x7f])],
    ...[0, 1, 2, 3].map((k) => [BLANK, ...image(k), ...command(TYPE.rouse), ...long(700), ...reset(1), ...ticks(20)]),
    [BLANK, ...image(0), ...powerFails(4000), ...image(1), ...ticks(4), ...powerFails(5500), ...image(2), ...ticks(4)],
    [BLANK, ...image(0), ...ticks(2), ...wearsOut(4500), ...image(1), ...ticks(2), ...command(TYPE.rouse), ...long(700), ...reset(1), ...ticks(4)],
    [BLANK, ...wearsOut(0), ...image(0), ...ticks(2), ...command(TYPE.rouse), ...long(700), ...reset(1), ...ticks(4), ...command(TYPE.rouse), ...long(80)],
    [BLANK, ...frame(TYPE.imageBegin, 0xf4, 5), ...frame(TYPE.imageChunk, 0, 0, 1, 2, 3), ...frame(TYPE.imageCommit), ...ticks(3)],
    // The image in force is received over: what a board must know of it may not be read there.
    [BLANK, ...image(0), ...frame(TYPE.imageBegin, 0xf4, 5), ...frame(TYPE.imageChunk, 0, 0, ...new Array<number>(40).fill(0)), ...ticks(3)],
    ...[0, 1, 2, 3].flatMap(lives),
  ];
  return scripts.map((script, i) => ({ name: `seed-${String(i).padStart(2, '0')}`, bytes: Uint8Array.from(script) }));
}
