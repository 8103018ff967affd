/**
 * Where a stream is replayed. A target is one small module that implements `Target`; everything else goes by link bytes,
 * so a simulation, an emulated board and a real one are driven and measured by the same code.
 */

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
}

export interface Target {
  readonly name: string;
  /** What it has been shown on. */
  readonly proven: 'simulation' | 'emulator' | 'hardware';
  /** What measured the tick's duration, in words. */
  readonly clock: string;
  open(listener: Listener): Session | Promise<Session>;
}
