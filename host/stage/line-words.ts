/** What a page and the server say to each other over the socket, as JSON: the page steers, the server holds the board's line. */
import type { NightState } from '../controller/night-messages.ts';

export type ToLine =
  /** Pose (mm, rad), then the joints but the legs (rad): followed until something else is asked, or the page is silent. */
  | { readonly do: 'hand'; readonly values: readonly number[] }
  /** Plays a take as it is saved in the rig's folder. */
  | { readonly do: 'play'; readonly name: string; readonly from_s: number }
  | { readonly do: 'rouse' | 'settle' | 'stop' | 'pause' | 'clear' | 'release' }
  /** The page is awake. */
  | { readonly do: 'here' }
  /** This page would drive: granted when no other does. */
  | { readonly do: 'drive' };

export type FromLine =
  /** Whether this page drives, and where the board is, as `--on` has it; null: there is none. */
  | { readonly said: 'you'; readonly drives: boolean; readonly on: string | null }
  /** What the board tells, 50 times a second at most. */
  | {
      readonly said: 'board';
      readonly state: string;
      readonly trip: string | null;
      readonly follows: 'nothing' | 'hand' | 'take';
      /** The take that plays, by its file's name, and its time that comes out now, s; null: none. */
      readonly take: string | null;
      readonly take_s: number | null;
      /** The take's time that the positions and pulses are of, s; null: no take, or it is on its way to its first frame. */
      readonly told_s: number | null;
      /** By joint, rad or mm; pulses in us, 0: none. */
      readonly position: readonly number[];
      readonly pulse_us: readonly number[];
      /** What the night that the board has does; null: it has none. */
      readonly night: NightState | null;
      /** For so long its light and sound still warn before it moves, s; 0: it moves at any moment. Null: they do not. */
      readonly moves_in_s: number | null;
      /** Share of real time that an emulated board goes at, where it does not keep up; null: it does. */
      readonly slow: number | null;
      /** Frames that came after their play time, since the board started. */
      readonly late: number;
    }
  /** Something did not work, in words; the line may be gone. */
  | { readonly said: 'fault'; readonly words: string; readonly isOpen: boolean };

export type BoardSays = Extract<FromLine, { readonly said: 'board' }>;

const PLAIN = ['rouse', 'settle', 'stop', 'pause', 'clear', 'release', 'here', 'drive'] as const;

/** What a message asks; null: it is none of these. @param size numbers in a hand's values */
export function readToLine(text: string, size: number): ToLine | null {
  const message = parsed(text);
  if (typeof message !== 'object' || message === null || !('do' in message)) return null;
  const plain = PLAIN.find((what) => what === message.do);
  if (plain !== undefined) return { do: plain };
  if (message.do === 'hand' && 'values' in message && isRow(message.values, size))
    return { do: 'hand', values: message.values };
  if (message.do !== 'play' || !('name' in message) || !('from_s' in message)) return null;
  const { name, from_s } = message;
  return typeof name === 'string' && typeof from_s === 'number' && from_s >= 0 ? { do: 'play', name, from_s } : null;
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

const isRow = (values: unknown, size: number): values is number[] =>
  Array.isArray(values) && values.length === size && values.every((value) => Number.isFinite(value));
