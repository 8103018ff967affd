/** A board without a stop input or without a switch for the servos' supply: allowed, and what each would do. Advice. */
import { freePin } from './boards.ts';
import type { Say } from './problem.ts';
import type { Rig } from './rig.ts';

/** Nothing is told of a rig without a board: it is only simulated. */
export function adviseSwitches({ board, joints }: Rig, say: Say): void {
  if (!board) return;
  const used = [...joints.map(({ pin }) => pin), board.stop?.pin, board.power_pin];
  const stop_pin = board.stop ? undefined : freePin(board.kind, used);
  const power_pin = freePin(board.kind, [...used, stop_pin]);
  if (!board.stop)
    say.warning(
      ['board', 'stop'],
      `is not given: only the host, or the plug, can stop this prop. A stop switch settles it, then lets go: stop: { pin: ${pinWords(stop_pin)}, category: 1 }`,
    );
  if (board.power_pin === null)
    say.warning(
      ['board', 'power_pin'],
      `is not given: the board can only end the pulses, and a servo that holds without pulses stays powered and hot. With power_pin: ${pinWords(power_pin)} on a relay it cuts the servos’ supply`,
    );
}

const pinWords = (pin: number | undefined): string => (pin === undefined ? 'N' : String(pin));
