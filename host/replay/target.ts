/**
 * Where a stream is replayed. A target is one small module that implements `Target`; everything else goes by link bytes,
 * so a simulation, an emulated board and a real one are driven and measured by the same code.
 */

import type { ResponseTrouble } from '../controller/controller.ts';

/** A controller that runs. Times are session microseconds: 0 when it was opened, never going back. */
export interface Session {
  readonly now_us: number;
  /** The controller's clock is the session's, to the microsecond. Otherwise it is found from telemetry. */
  readonly sharesClock: boolean;
  /** Hands bytes to the link so that they arrive at `at_us`; calls come in the order of arrival. */
  write(bytes: Uint8Array, at_us: number): void;
  /** Runs until `to_us`. What the controller sends meanwhile goes to the sink, in order. */
  advance(to_us: number): void | Promise<void>;
  close(): void | Promise<void>;
}

export interface Listener {
  /** Bytes from the controller; a view that holds until the call returns. */
  bytes(data: Uint8Array): void;
  /** Duration of each tick in us, where the target measures it itself. */
  tick?(duration_us: number): void;
  /**
   * At the instant of each tick: what is asked, with what the rig's responses changed (Controller.responded), and what went wrong with
   * them. Simulations alone can tell.
   */
  responded?(at_us: number, values: Float32Array, trouble: ResponseTrouble): void;
}

/**
 * What a target is: the controller alone; a board's firmware on an emulated chip; firmware as a program on this computer; a board.
 */
export type Proven = 'simulation' | 'emulator' | 'computer' | 'hardware';

export interface Target {
  /** As `--on` takes it. */
  readonly name: string;
  readonly proven: Proven;
  /** What measured the tick's duration, in words. */
  readonly clock: string;
  open(listener: Listener): Session | Promise<Session>;
}

/** A target in words and in JSON: what hides behind the name of a port is said. */
export const targetWords = ({ name, proven }: Pick<Target, 'name' | 'proven'>): string =>
  proven === 'computer' && name.startsWith('serial:') ? `${name}, a program on this computer` : name;

/** What answers there, as the subject of a sentence. */
export const SUBJECT: Readonly<Record<Proven, string>> = {
  simulation: 'the simulation',
  emulator: 'the emulated board',
  computer: 'the program on this computer',
  hardware: 'the board',
};
