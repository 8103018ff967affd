/** What the boards can do for a rig, and where a rig asks for more: pins that a board does not have do nothing, silently. */
import type { Path } from './problem.ts';
import type { Rig } from './rig.ts';
import { together } from './words.ts';

interface BoardPins {
  /** Servo pins, first and last. */
  readonly servo: readonly [number, number];
  /** Pins for the stop input and the power switch: stretches, first and last. */
  readonly plain: readonly (readonly [number, number])[];
}

/** As boards/NAME has them: board_config.h, board.c. */
const BOARDS: ReadonlyMap<string, BoardPins> = new Map<string, BoardPins>([
  [
    'pico',
    {
      servo: [2, 17],
      plain: [
        [18, 22],
        [26, 28],
      ],
    },
  ],
  ['f405', { servo: [2, 17], plain: [[18, 21]] }],
  ['native', { servo: [2, 17], plain: [[0, 255]] }],
]);

/** Names of the boards that there is firmware for. */
export const BOARD_KINDS: readonly string[] = [...BOARDS.keys()];

/** First and last servo pin of a board; null: there is no such board. */
export const servoPins = (kind: string): readonly [number, number] | null => BOARDS.get(kind)?.servo ?? null;

export interface BoardFault {
  readonly path: Path;
  readonly message: string;
}

const within = (pin: number, [first, last]: readonly [number, number]): boolean => pin >= first && pin <= last;
const stretch = ([first, last]: readonly [number, number]): string => `${String(first)} to ${String(last)}`;

/** What would not work on a board of this kind; there is nothing to say of a kind that is not known. */
export function boardFaults({ joints, board }: Rig, kind: string): BoardFault[] {
  const pins = BOARDS.get(kind);
  if (!pins) return [];
  const faults: BoardFault[] = joints
    .filter(({ pin }) => !within(pin, pins.servo))
    .map(({ name, pin }) => ({
      path: ['joints', name, 'pin'],
      message: `found ${String(pin)}; a ${kind} has servo pins ${stretch(pins.servo)}: this joint would have no pulses`,
    }));
  const plain = (pin: number | null | undefined, path: Path, otherwise: string): void => {
    if (pin === null || pin === undefined || pins.plain.some((part) => within(pin, part))) return;
    const allowed = together(pins.plain.map(stretch));
    faults.push({ path, message: `found ${String(pin)}; a ${kind} has pins ${allowed} for it: ${otherwise}` });
  };
  plain(board?.stop?.pin, ['board', 'stop', 'pin'], 'the stop input would do nothing');
  plain(board?.power_pin, ['board', 'power_pin'], 'the power switch would do nothing');
  return faults;
}
