/** The targets that `--on` knows. A new one is a line here and a module in host/targets. */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { TargetError } from '../replay/conversation.ts';
import type { Target } from '../replay/target.ts';
import type { Link } from '../rig/links.ts';
import type { Board } from '../rig/rig.ts';
import { f405Target } from '../targets/f405.ts';
import { nativeTarget } from '../targets/native.ts';
import { picoTarget } from '../targets/pico.ts';
import { serialTarget } from '../targets/serial.ts';
import { simTarget } from '../targets/sim.ts';
import { type PortList, boardAt, findBoard, thisComputer } from '../targets/usb.ts';
import { plainText } from '../rig/plain-text.ts';
import type { Io } from './io.ts';
import { type Made, sharedController } from './own-controller.ts';

/** Where a target is, and how it is reached. */
interface Where {
  /** Path of a serial port, or a board's serial number. */
  readonly place: string;
  /** Where a board on USB is looked for. */
  readonly list: PortList;
  /** The cable to an emulated board that has several. */
  readonly link: Link;
  /** Of the rig's stop loop; null: it has none, or no board is named. */
  readonly stopPin: number | null;
  /** The controller that runs there, where it is made for this command. */
  readonly made: Made;
}

/** Makes a target ready to be opened. Rejects with TargetError, in words. */
type TargetFactory = (io: Io, where: Where) => Promise<Target>;

/** The built firmware of an emulated board. */
function firmwareOf(board: string, ending: string, { places, responses }: Made): string {
  const file = join(places.out, board, `posewright-${board}.${ending}`);
  if (existsSync(file)) return file;
  throw new TargetError(
    responses === null
      ? `there is no firmware for ${board} yet: "posewright build --board ${board}" makes it`
      : `there is no firmware for ${board} with these responses yet: "posewright build --board ${board} RIG" makes it`,
  );
}

const SERIAL = 'serial:';
const USB = 'usb';
const USB_SERIAL = 'usb:';

/** The board on USB, named on standard error, then as any serial port. */
async function usbTarget(io: Io, { place, list }: Where): Promise<Target> {
  const found = await findBoard(list, place);
  io.stderr.write(`the posewright board on ${plainText(boardAt(found))}\n`);
  return serialTarget(found.path, () => io.now());
}

const TARGETS: ReadonlyMap<string, TargetFactory> = new Map<string, TargetFactory>([
  [
    'sim',
    (io, { made: { wasm, sensed, store } }) => {
      if (!wasm) throw new TargetError('build/controller.wasm is not there: "npm run build" makes it');
      return Promise.resolve(
        simTarget({ wasm, clock: () => io.now(), ...(sensed && { sensed }), ...(store && { boot: { store } }) }),
      );
    },
  ],
  [
    'emulated:pico',
    (_, { link, stopPin, made }) =>
      Promise.resolve(picoTarget({ uf2: firmwareOf('pico', 'uf2', made), link, stopPin })),
  ],
  ['emulated:f405', (_, { made }) => Promise.resolve(f405Target({ elf: firmwareOf('f405', 'elf', made) }))],
  [
    'native',
    (io, { made }) => Promise.resolve(nativeTarget({ elf: firmwareOf('native', 'elf', made), clock: () => io.now() })),
  ],
  [USB, usbTarget],
  [USB_SERIAL, usbTarget],
  [SERIAL, (io, { place }) => Promise.resolve(serialTarget(place, () => io.now()))],
]);

/** What follows the names that end in a colon. */
const PLACES: ReadonlyMap<string, string> = new Map([
  [SERIAL, 'PATH'],
  [USB_SERIAL, 'SERIAL'],
]);

/** Whatever somebody has plugged in; the others are made for one command. */
const PORTS: readonly string[] = [USB, USB_SERIAL, SERIAL];

const written = (names: readonly string[]): string => names.map((name) => name + (PLACES.get(name) ?? '')).join(', ');

/** As users write them. */
export const TARGET_NAMES = written([...TARGETS.keys()]);

/** Those that remember what they were given when the command has ended. */
export const PORT_NAMES = written(PORTS);

/** Those that are told their rig over a link. */
export const LINK_NAMES = written([...TARGETS.keys()].filter((name) => name !== 'sim'));

function partsOf(on: string): { name: string; place: string } {
  const name = [...PLACES.keys()].find((start) => on.startsWith(start)) ?? on;
  return { name, place: on.slice(name.length) };
}

/** Whether what is there is whatever somebody has plugged in, rather than made for this replay. */
export const isPort = (on: string): boolean => PORTS.includes(partsOf(on).name);

/** Where no night can be stored, and why. */
const NIGHTLESS: ReadonlyMap<string, string> = new Map([
  ['emulated:f405', 'QEMU does not emulate this chip’s flash, so no night can be stored there'],
]);

/** Why no show can be played there, in words; null: it can. */
export function showFault(on: string): string | null {
  const why = NIGHTLESS.get(on);
  return why === undefined
    ? targetFault(on)
    : `"${on}" plays no shows: ${why}. sim, native and emulated:pico play them`;
}

/** Those that play shows. */
export const SHOW_NAMES = written([...TARGETS.keys()].filter((name) => !NIGHTLESS.has(name)));

/** How a show is played where nothing is remembered: there, or on sim where no show can be. */
export function playWords(on: string): string {
  const plays = NIGHTLESS.has(on) ? 'sim' : on;
  return `"posewright shows run SHOW --on ${plays} --night NIGHT.pwshow --rig RIG" plays a show on ${plays}`;
}

/** Why nothing that a board has kept can be asked for there, in words; null: it can. */
export function forgetfulFault(on: string): string | null {
  const fault = targetFault(on);
  if (fault !== null || isPort(on)) return fault;
  return `"${on}" keeps no night, rig or log once a command has ended. ${playWords(on)}, and with --report LOG.html draws the log of it. A real board is at usb, or at serial:PATH`;
}

/** What is wrong with the name of a target, in words; null: nothing. */
export function targetFault(on: string): string | null {
  const { name, place } = partsOf(on);
  if (TARGETS.has(name) && PLACES.has(name) === place.length > 0) return null;
  const there = `there is ${TARGET_NAMES}`;
  return TARGETS.has(`emulated:${on}`)
    ? `"${on}" is not a target: the emulated one is called emulated:${on}, and a real one is at usb, or at serial:PATH`
    : `"${on}" is not a target: ${there}`;
}

/**
 * The target of `--on`, for a rig's board if it names one (an emulated pico is on the cable that it names, else on USB); `list`: where a
 * board on USB is looked for; `made`: the controller that is to run there. Rejects with TargetError, in words, when it cannot be used here.
 */
export async function targetOf(
  on: string,
  io: Io,
  board?: Board | null,
  list: PortList = thisComputer,
  made?: Made,
): Promise<Target> {
  const fault = targetFault(on);
  const { name, place } = partsOf(on);
  const factory = TARGETS.get(name);
  if (!factory || fault !== null) throw new TargetError(fault ?? on);
  const [link, stopPin] = [board?.link ?? 'usb', board?.stop?.pin ?? null];
  return factory(io, { place, list, link, stopPin, made: made ?? (await sharedController()) });
}
