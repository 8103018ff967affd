/** The decoder of shows as a module of its own, with pages that stand in memory and come when the test lets them. */
import { ENTRY, PAGE_BYTES, stepOf } from '../../host/shows/layout.ts';
import { compileAssembly } from '../asc.ts';

const ROOM = 1 << 21;
const PAGES = `
export const ROOM: usize = memory.data(${String(ROOM)}, 16);
export let come: u32 = 0;
export let asked: u32 = 0;
export function letCome(n: u32): void { come = n; }
export function pageAt(n: u32): usize {
  asked++;
  return n < come && n < ${String(ROOM / PAGE_BYTES)} ? ROOM + usize(n << 8) : 0;
}`;
const PROBE = `
export { openShow, nextFrame, ended, isSpoilt, heatNow } from '../assembly/night/decode';
export { ENTRY } from '../assembly/night/plan';
export { ROOM, letCome } from '../assembly/night/pages';
import { VALUES, image, jointImage } from '../assembly/layout';
export const TO: usize = memory.data(VALUES * 4);
export function setRig(joints: i32): void {
  image().joint_count = u8(joints);
  for (let j: i32 = 0; j < joints; j++) jointImage(j).home = f32(j) * 0.125;
}`;

/** The night stands in the second half. */
const HALF_PAGE = 5;
const ARCHIVE = `export function halfPage(): u32 { return ${String(HALF_PAGE)}; }`;

interface Module {
  readonly memory: WebAssembly.Memory;
  readonly ENTRY: WebAssembly.Global;
  readonly ROOM: WebAssembly.Global;
  readonly TO: WebAssembly.Global;
  setRig(joints: number): void;
  letCome(pages: number): void;
  openShow(): void;
  nextFrame(to: number): number;
  ended(): number;
  isSpoilt(): number;
  heatNow(joint: number): number;
}

export interface Show {
  readonly data: Uint8Array;
  readonly frames: number;
  readonly places: readonly number[];
  readonly joints: number;
  /** First page of the data, of its half. */
  readonly page?: number;
}

export async function showModule(): Promise<Module> {
  const sources = new Map([
    ['assembly/night/pages.ts', PAGES],
    ['assembly/night/archive.ts', ARCHIVE],
    ['build/probe-show.ts', PROBE],
  ]);
  return (await compileAssembly('build/probe-show.ts', sources)) as unknown as Module;
}

/** Makes a show ready; its pages have not come. Everything around its data is 0xa5. */
export function openIn(module: Module, { data, frames, places, joints, page = 3 }: Show): void {
  const view = new DataView(module.memory.buffer, Number(module.ENTRY.value));
  view.setUint32(ENTRY.page, page, true);
  view.setUint32(ENTRY.bytes, data.length, true);
  view.setUint32(ENTRY.frames, frames, true);
  view.setUint32(ENTRY.values, places.reduce((mask, place) => mask | (1 << place), 0) >>> 0, true);
  const room = new Uint8Array(module.memory.buffer, Number(module.ROOM.value), ROOM);
  room.fill(0xa5);
  room.set(data, (HALF_PAGE + page) * PAGE_BYTES);
  module.setRig(joints);
  module.letCome(0);
  module.openShow();
}

/** The VALUES of the frame last given. */
export const frameOf = (module: Module): Float32Array =>
  new Float32Array(module.memory.buffer, Number(module.TO.value), 22);

/** All frames, in steps, when every page is there; heats by segment. */
export function playAll(module: Module, show: Show): { steps: Int32Array; count: number; heats: number[][] } {
  openIn(module, show);
  module.letCome(ROOM);
  const to = Number(module.TO.value);
  const rows: number[] = [];
  const heats: number[][] = [];
  const out = frameOf(module);
  let count = 0;
  while (module.nextFrame(to)) {
    if (count % 500 === 0) heats.push(Array.from({ length: show.joints }, (_, j) => module.heatNow(j)));
    for (const place of show.places) rows.push(Math.round(out[place]! / stepOf(place)));
    count++;
  }
  return { steps: Int32Array.from(rows), count, heats };
}
