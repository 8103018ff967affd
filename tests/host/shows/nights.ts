/** Nights made by hand, byte by byte as DEVELOPERS.md has them, and boards with flash that they are sent to. */
import crc32 from 'crc/calculators/crc32';
import { instantiateController } from '../../../host/controller/controller.ts';
import { imageFingerprint, packImage } from '../../../host/controller/image.ts';
import type { Nor } from '../../../host/controller/nor.ts';
import { Conversation } from '../../../host/replay/conversation.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { WASM } from '../../assembly/prop.ts';
import { rigOf } from '../../assembly/rigs.ts';

export const PAGE = 256;
export const RIG = rigOf({ hz: 200 });
export const IMAGE = packImage(RIG);
export const FINGERPRINT = imageFingerprint(IMAGE);

export interface Made {
  readonly fingerprint?: number;
  /** Names of the shows; each has a page and a bit of data, filled with a byte. */
  readonly names?: readonly string[];
  readonly fill?: number;
  readonly pins?: readonly number[];
}

/** A night file. */
export function nightOf({
  fingerprint = FINGERPRINT,
  names = ['dusk'],
  fill = 0x5a,
  pins = [],
}: Made = {}): Uint8Array {
  const planPages = 4 + Math.ceil(names.length / 2);
  const first = 2 + planPages;
  const pages = first + 2 * names.length;
  const night = new Uint8Array(pages * PAGE).fill(0xff);
  const view = new DataView(night.buffer);
  night.fill(0, 2 * PAGE, first * PAGE);
  // It warns for 5 s.
  view.setUint16(2 * PAGE + 8, 5000, true);
  // Pins of the plan stand behind flags, seed, four u16.
  night.fill(0xff, 2 * PAGE + 16, 2 * PAGE + 32);
  night.set(pins, 2 * PAGE + 16);
  names.forEach((name, k) => {
    const bytes = PAGE + 44;
    const page = first + 2 * k;
    const data = night.subarray(page * PAGE, page * PAGE + bytes).fill(fill + k);
    const entry = 6 * PAGE + 128 * k;
    [page, bytes, crc32(data) >>> 0, 50 * (k + 1)].forEach((word, i) => {
      view.setUint32(entry + 4 * i, word, true);
    });
    night.set(new TextEncoder().encode(name), entry + 96);
  });
  const head = [0x314e5750, 1 + names.length * 0x10000, pages, fingerprint, 0, 0, planPages];
  head[5] = crc32(night.subarray(2 * PAGE, first * PAGE)) >>> 0;
  head.forEach((word, i) => {
    view.setUint32(4 * i, word, true);
  });
  view.setUint32(28, crc32(night.subarray(0, 28)) >>> 0, true);
  return night;
}

/** Starts a board with this flash, and talks to it. */
export const talkTo = (store: Nor, image = IMAGE): Promise<Conversation> =>
  Conversation.open(simTarget({ wasm: WASM, boot: { image, store } }), { telemetry: () => undefined });

/** A controller of its own, with this flash. */
export function boardWith(store: Nor): ReturnType<typeof instantiateController> {
  const controller = instantiateController(WASM);
  if (controller.init({ image: IMAGE, store }) !== 0) throw new Error('the rig was refused');
  return controller;
}
