/** The one button. Pressed while anything moves or waits to: settle. Held for three seconds at rest: clear, and go on. */
import { image } from '../layout';

const HOLD_S: u32 = 3;

export const enum Press {
  none = 0,
  settle = 1,
  goOn = 2,
}


@unmanaged
class Button {
  /** Pressed as the last tick saw it; ticks that it has been held at rest. */
  down: bool;
  /** This press has done what it can do. */
  spent: bool;
  held: u32;
}
const BUTTON: usize = memory.data(i32(offsetof<Button>()));

export function startButton(): void {
  memory.fill(BUTTON, 0, offsetof<Button>());
  // What is pressed when power comes is stuck until it has been let go.
  changetype<Button>(BUTTON).spent = true;
  changetype<Button>(BUTTON).down = true;
}

/** One tick. down: pressed, debounced. resting: nothing moves, and nothing waits to. */
export function press(down: bool, resting: bool): Press {
  const b = changetype<Button>(BUTTON);
  const fresh = down && !b.down;
  b.down = down;
  if (!down || fresh) {
    b.spent = false;
    b.held = 0;
  }
  if (!down || b.spent) return Press.none;
  if (!resting) {
    // Whoever presses while it moves wants it to stop: not when the button comes up again. And whoever keeps it pressed has not looked yet.
    b.spent = true;
    return Press.settle;
  }
  b.held += 1;
  if (b.held < HOLD_S * u32(image().tick_hz)) return Press.none;
  b.spent = true;
  return Press.goOn;
}
