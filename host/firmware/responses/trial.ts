/**
 * Runs a rig's responses in simulation over inputs drawn by chance, for some minutes of its time, and measures the fuel that they burn.
 */
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { type Controller, instantiateController } from '../../controller/controller.ts';
import { packImage } from '../../controller/image.ts';
import { STATES, TYPE, sender } from '../../controller/messages.ts';
import type { Rig } from '../../rig/rig.ts';

/** Fuel of a tick at most, and of a second: FUEL and FUEL_S of assembly/fuel.ts. */
export const FUEL = 1000;
const FUEL_S = 200_000;

/** Fuel of a tick of so many a second: never more than 13 % of a pico's time. */
export const fuelOf = (tick_hz: number): number => Math.min(FUEL, Math.floor(FUEL_S / tick_hz));
/** What one costs at most, in cycles of a Cortex-M0+ (the pico): measured by tests/boards/responses.test.ts. */
export const CYCLES = 80;

export interface Trial {
  /** Most fuel that a tick burnt. */
  readonly most: number;
  /** Whether they trapped, or ran out of fuel, and after how long a time awake, s; null: neither. */
  readonly failed_s: number | null;
}

const SECONDS = 120;
const SEED = 1;
/** Waking takes no longer. */
const WAKES_S = 120;

/** Deterministic. Throws where the rig does not wake in simulation. */
export function tryResponses(wasm: Uint8Array<ArrayBuffer>, rig: Rig): Trial {
  const controller = instantiateController(wasm);
  controller.init({ image: packImage(rig) });
  const send = sender();
  const hz = rig.motion.tick_hz;
  controller.receive(send.command(TYPE.rouse));
  for (let n = 0; n < WAKES_S * hz && STATES[controller.state] !== 'live'; n++) {
    controller.tick();
    // On the very tick that they are asked first.
    if (STATES[controller.state] === 'tripped') return { most: 0, failed_s: 0 };
  }
  if (STATES[controller.state] !== 'live') throw new Error('the rig does not wake in simulation');
  return draw(controller, hz, () => {
    controller.receive(send.command(TYPE.rouse));
  });
}

function draw(controller: Controller, hz: number, rouse: () => void): Trial {
  const random = xoroshiro128plus(SEED);
  const analog = [0, 0, 0, 0];
  let most = 0;
  for (let n = 0; n < SECONDS * hz; n++) {
    // Sudden as well as slow: what holds for long, and what changes at every tick.
    if (n % 7 === 0 || n % 400 < 100) {
      const word = random.next() >>> 0;
      const pin = word & 3;
      analog[pin] = word & 4 ? word >>> 16 : word & 8 ? 65535 : 0;
      controller.setSensed((word >>> 8) & 0xff, analog);
    }
    controller.tick();
    controller.drain(() => undefined);
    most = Math.max(most, controller.fuelBurnt);
    const state = STATES[controller.state];
    if (state === 'tripped') return { most, failed_s: n / hz };
    // Held for long it settles: it is woken again.
    if (state === 'limp' || state === 'settling') rouse();
  }
  return { most, failed_s: null };
}
