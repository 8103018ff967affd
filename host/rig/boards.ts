/** What the boards can do for a rig, and where a rig asks for more: pins that a board does not have do nothing, silently. */
import type { Path } from './problem.ts';
import type { Rig } from './rig.ts';
import { together } from './words.ts';

interface BoardPins {
  /** Its number in "I am". */
  readonly number: number;
  /** Servo pins, first and last. */
  readonly servo: readonly [number, number];
  /** Pins for the stop input and the power switch: stretches, first and last. */
  readonly plain: readonly (readonly [number, number])[];
  /** Of these, what an analog input may be on. */
  readonly analog: readonly (readonly [number, number])[];
  /** What measures the servos' supply; null: nothing does. */
  readonly supply: SupplyPin | null;
}

/** A pin with a divider before it, from the servos' supply to ground. */
interface SupplyPin {
  readonly name: string;
  readonly upper_kohm: number;
  readonly lower_kohm: number;
  /** What it can measure, and take. */
  readonly most_v: number;
}

/** As boards/NAME has them: board_config.h, board.c. */
const BOARDS: ReadonlyMap<string, BoardPins> = new Map<string, BoardPins>([
  [
    'pico',
    {
      number: 1,
      servo: [2, 17],
      plain: [
        [18, 22],
        [26, 27],
      ],
      analog: [[26, 27]],
      supply: { name: 'GPIO 28', upper_kohm: 10, lower_kohm: 2.2, most_v: 18.3 },
    },
  ],
  ['f405', { number: 2, servo: [2, 17], plain: [[18, 21]], analog: [[18, 21]], supply: null }],
  ['native', { number: 3, servo: [2, 17], plain: [[0, 255]], analog: [[0, 255]], supply: null }],
]);

/** Names of the boards that there is firmware for. */
export const BOARD_KINDS: readonly string[] = [...BOARDS.keys()];

/** The kind of board with this number in "I am"; null: none that is known. */
export const kindOf = (number: number): string | null =>
  [...BOARDS].find(([, board]) => board.number === number)?.[0] ?? null;

/** First and last servo pin of a board; null: there is no such board. */
export const servoPins = (kind: string): readonly [number, number] | null => BOARDS.get(kind)?.servo ?? null;

/** Pins of a board for what a night names: stretches, first and last. */
export const nightPins = (kind: string): Pick<BoardPins, 'plain' | 'analog'> =>
  BOARDS.get(kind) ?? { plain: [], analog: [] };

/** What measures the supply on a board; null: nothing does, or there is no such board. */
export const supplyPin = (kind: string): SupplyPin | null => BOARDS.get(kind)?.supply ?? null;

/** The first pin of a board for a switch that none of these is; undefined: there is none, or no such board. */
export const freePin = (kind: string, used: readonly (number | null | undefined)[]): number | undefined =>
  BOARDS.get(kind)
    ?.plain.flatMap(([first, last]) => Array.from({ length: last - first + 1 }, (_, i) => first + i))
    .find((pin) => !used.includes(pin));

export interface BoardFault {
  readonly path: Path;
  readonly message: string;
}

const within = (pin: number, [first, last]: readonly [number, number]): boolean => pin >= first && pin <= last;
const stretch = ([first, last]: readonly [number, number]): string => `${String(first)} to ${String(last)}`;

/** What would not work on a board of this kind; there is nothing to say of a kind that is not known. */
export function boardFaults({ joints, board, supply }: Rig, kind: string): BoardFault[] {
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
  return [...faults, ...supplyFaults(supply, kind, pins.supply)];
}

/** A full battery has so much more than its name says: 4.2 V a cell of 3.7 V (common practice). */
const FULL_SHARE = 4.2 / 3.7;

/** Volts that the pin would not bear. Without low_v there is no divider. */
function supplyFaults(supply: Rig['supply'], kind: string, pin: SupplyPin | null): BoardFault[] {
  const { low_v = null, voltage_v = null } = supply ?? {};
  if (!pin || low_v === null || voltage_v === null) return [];
  const battery = supply?.kind === 'battery';
  if (voltage_v * (battery ? FULL_SHARE : 1) <= pin.most_v) return [];
  const full = battery ? ', and a full battery has up to 14 % more than its name says' : '';
  const message = `found ${String(voltage_v)}; a ${kind} measures its supply, for low_v, up to ${String(pin.most_v)} V${full}: more would harm it`;
  return [{ path: ['supply', 'voltage_v'], message }];
}

/** What a rig promises and a board of this kind cannot do, though it does the rest. */
export function boardLacks({ supply }: Rig, kind: string): BoardFault[] {
  if (!BOARDS.has(kind) || supplyPin(kind) || (supply?.low_v ?? null) === null) return [];
  const message = `found ${String(supply?.low_v)}, but the board ${kind} cannot measure its supply: nothing settles the prop when it runs low`;
  return [{ path: ['supply', 'low_v'], message }];
}

/** How the board watches the supply, and what must be wired for it; null: it does not. */
export function supplyWords({ supply, board }: Rig): string | null {
  const pin = board && supplyPin(board.kind);
  if (!pin || (supply?.low_v ?? null) === null) return null;
  const { name, upper_kohm, lower_kohm } = pin;
  return (
    `below ${String(supply?.low_v)} V for 0.1 s the controller settles the prop, then switches it off. For this wire ${String(upper_kohm)} kΩ from the servos’ supply, ` +
    `before any power switch, to ${name}, and ${String(lower_kohm)} kΩ and 100 nF from ${name} to ground; without them the reading means nothing, and the prop may settle at once, or never`
  );
}
