/**
 * Runs a rig's responses in simulation over inputs drawn by chance, for some minutes of its time, and measures the fuel that they burn.
 */
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { type Controller, instantiateController } from '../../controller/controller.ts';
import { packImage } from '../../controller/image.ts';
import { STATES, TYPE, sender } from '../../controller/messages.ts';
import { isFar } from '../../rig/response-limits.ts';
import { POSE_KEYS, type Rig, toDeg } from '../../rig/rig.ts';
import { LEGS } from '../../rig/shape.ts';

/** What one of fuel costs at most, in cycles of a Cortex-M0+ (the pico): measured by tests/boards/responses.test.ts. */
export const CYCLES = 80;

export interface Trial {
  /** Most fuel that a tick burnt. */
  readonly most: number;
  /** Whether they trapped, or ran out of fuel, and after how long a time awake, s; null: neither. */
  readonly failed: { readonly cause: 'fuel' | 'trap'; readonly at_s: number } | null;
  /** How often they asked for what is no number, which is dropped, and when first; null: never. */
  readonly dropped: { readonly count: number; readonly at_s: number } | null;
  /** What they asked for that is further than any prop is moved: the values by name, how far at first, in mm or deg, and when. */
  readonly far: readonly Far[];
}

/** A value that is asked for too far away. */
export interface Far {
  readonly name: string;
  readonly by: number;
  readonly unit: 'mm' | 'deg';
  readonly at_s: number;
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
    const { failed } = controller.trouble;
    if (failed !== null) return { most: 0, failed: { cause: failed, at_s: 0 }, dropped: null, far: [] };
  }
  if (STATES[controller.state] !== 'live') throw new Error('the rig does not wake in simulation');
  return draw(controller, rig, () => {
    controller.receive(send.command(TYPE.rouse));
  });
}

function draw(controller: Controller, rig: Rig, rouse: () => void): Trial {
  const hz = rig.motion.tick_hz;
  const watch = new Watch(controller, rig);
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
    watch.look(n / hz);
    const { failed } = controller.trouble;
    if (failed !== null) return { most, failed: { cause: failed, at_s: n / hz }, ...watch.found() };
    const state = STATES[controller.state];
    // Held for long it settles: it is woken again.
    if (state === 'limp' || state === 'settling') rouse();
  }
  return { most, failed: null, ...watch.found() };
}

/** Looks at what is asked for on each tick. */
class Watch {
  private count = 0;
  private first_s = 0;
  private readonly far = new Map<string, Far>();
  private readonly controller: Controller;
  /** Where each is among the controller's values: the pose, then every joint. */
  private readonly values: readonly { readonly name: string; readonly unit: 'mm' | 'deg'; readonly at: number }[];

  constructor(controller: Controller, { platform, joints }: Rig) {
    const pose = POSE_KEYS.map((key, at) => ({
      name: key.replace(/_.*/, ''),
      unit: key.endsWith('_mm') ? ('mm' as const) : ('deg' as const),
      at,
    }));
    const own = joints.map(({ name, unit }, i) => ({ name, unit, at: POSE_KEYS.length + i }));
    this.controller = controller;
    this.values = platform ? [...pose, ...own.slice(LEGS.length)] : own;
  }

  look(at_s: number): void {
    const { trouble, responded } = this.controller;
    if (trouble.dropped > 0 && this.count === 0) this.first_s = at_s;
    this.count += trouble.dropped;
    for (const { name, unit, at } of this.values) {
      const by = unit === 'deg' ? toDeg(responded[at]!) : responded[at]!;
      if (isFar(unit, by) && !this.far.has(name)) this.far.set(name, { name, by, unit, at_s });
    }
  }

  found(): Pick<Trial, 'dropped' | 'far'> {
    const { count, first_s, far } = this;
    return { dropped: count === 0 ? null : { count, at_s: first_s }, far: [...far.values()] };
  }
}
