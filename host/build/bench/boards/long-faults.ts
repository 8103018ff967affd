/** The fault runs at full length: ten million bytes of nonsense through the native board, power lost at every byte of a rig image's writing. */
import { uniformFloat32 } from 'pure-rand/distribution/uniformFloat32';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { packImage } from '../../../controller/image.ts';
import { frameReader } from '../../../controller/frames.ts';
import { TYPE, sender } from '../../../controller/messages.ts';
import type { Rig } from '../../../rig/rig.ts';
import { Lockstep } from './lockstep.ts';
import { FIRST_PIN } from './stepped.ts';

/** Requests under way at once. */
const BATCH = 200;
const ROUSE_EVERY = 4000;

export interface Nonsense {
  readonly bytes: number;
  readonly ticks: number;
  /** Ticks with pulses. */
  readonly pulsing: number;
  /** Widths outside their servo's range. */
  readonly outside: number;
  /** It said who it is at the end. */
  readonly answers: boolean;
}

/**
 * Random, mutated and truncated bytes for a live prop, settled and roused again now and then. elf: the native board's program,
 * whose sanitizers end it. Rejects when it has ended.
 */
export async function nonsense(elf: string, rig: Rig, bytes: number, seed: number, progress?: (ticks: number) => void): Promise<Nonsense> {
  const board = new Lockstep(elf);
  const send = sender();
  const random = xoroshiro128plus(seed);
  const chance = (): number => uniformFloat32(random);
  for (const frame of send.image(packImage(rig))) await board.run(1, frame);
  await board.run(2000, send.command(TYPE.rouse));
  const values = new Float64Array(rig.joints.length);
  let asked = 0;
  const rubbish = (): Uint8Array => {
    asked++;
    // Garbage trips it: cleared and roused, so that what comes after finds something that moves.
    if (asked % ROUSE_EVERY === 0) return Buffer.concat([Uint8Array.of(0), send.command(TYPE.clear), send.command(TYPE.rouse)]);
    values.forEach((_, k) => (values[k] = (chance() - 0.5) * (k < 3 ? 60 : 2)));
    const kind = chance();
    let made: Uint8Array;
    if (kind < 0.4) made = Uint8Array.from({ length: 400 * chance() }, () => 256 * chance());
    else if (kind < 0.8) made = send.pose(asked * 5000 + 2 ** (32 * chance()), values, 6);
    else made = send.command(1 + 11 * chance());
    if (chance() < 0.5 || made.length === 0) return made;
    const cut = made.slice(0, chance() < 0.3 ? Math.max(1, made.length * chance()) : made.length);
    cut[Math.floor(chance() * cut.length)]! ^= 1 << (8 * chance());
    return cut;
  };
  const seen = { bytes: 0, ticks: 0, pulsing: 0, outside: 0 };
  while (seen.bytes < bytes) {
    const requests = Array.from({ length: BATCH }, rubbish);
    board.ask(requests);
    for (const request of requests) {
      const { pulses } = await board.tick();
      seen.bytes += request.length;
      seen.ticks++;
      if (pulses.some((us) => us !== 0)) seen.pulsing++;
      for (const { pin, range_us } of rig.joints) {
        const us = pulses[pin - FIRST_PIN] ?? 0;
        if (us !== 0 && !(us >= range_us[0] && us <= range_us[1])) seen.outside++;
      }
    }
    progress?.(seen.ticks);
  }
  let answers = false;
  const read = frameReader({ frame: (type) => (answers ||= type === TYPE.iAm), bad: () => undefined });
  await board.run(8, Uint8Array.of(0));
  for (const tick of await board.run(8, send.command(TYPE.who))) read(tick.bytes);
  await board.end();
  return { ...seen, answers };
}
