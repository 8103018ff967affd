/**
 * The one light, in one colour: it blinks two counted digits, numbered by what the attendant does next. Dark while the prop moves,
 * lit without counting while it warns.
 */
import { image } from '../layout';

/** The two digits, one in each half of a byte. */
export const enum Sign {
  dark = 0,
  /** Nothing to do: it is ready. */
  ready = 0x11,
  /** Nothing to do: it cools, and goes on by itself. */
  cooling = 0x12,
  /** Look that nobody is near it; hold the button for three seconds. */
  look = 0x21,
  /** The power went while it moved: look at the prop first; then hold the button. */
  powerLost = 0x22,
  /** Close the stop loop. */
  stopLoop = 0x31,
  /** Charge or check the supply; then hold the button. */
  supply = 0x41,
  /** A response, the link, the clock: press the button, it settles; call the maker. */
  maker = 0x51,
  /** The show in flash is damaged: call the maker. */
  damaged = 0x52,
  lit = 0x99,
}

/** Lengths in steps of STEP_MS: between the digits, and after the second. */
const STEP_MS: u32 = 300;
const BETWEEN: u32 = 3;
const BEHIND: u32 = 8;


@unmanaged
class Light {
  sign: Sign;
  step: u32;
  left: u32;
  ticks: u32;
}
const LIGHT: usize = memory.data(i32(offsetof<Light>()));

export function startLight(): void {
  memory.fill(LIGHT, 0, offsetof<Light>());
  changetype<Light>(LIGHT).ticks = (u32(image().tick_hz) * STEP_MS) / 1000;
}

/** One tick: whether the light is on. A new sign begins with its first blink. */
export function shine(sign: Sign): bool {
  if (sign == Sign.dark || sign == Sign.lit) {
    changetype<Light>(LIGHT).sign = sign;
    return sign == Sign.lit;
  }
  const l = changetype<Light>(LIGHT);
  const first: u32 = 2 * (u32(sign) >> 4);
  const then: u32 = 2 * (u32(sign) & 15);
  if (l.sign != sign) {
    l.sign = sign;
    l.step = 0;
    l.left = l.ticks;
  } else if (l.left > 1) l.left -= 1;
  else {
    l.left = l.ticks;
    l.step = l.step + 1 < first + BETWEEN + then + BEHIND ? l.step + 1 : 0;
  }
  if (l.step < first) return (l.step & 1) == 0;
  const second = l.step - first - BETWEEN;
  return l.step >= first + BETWEEN && second < then && (second & 1) == 0;
}
