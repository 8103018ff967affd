declare module 'cli-progress' {
  /** A bar on one line of a terminal. Only what is used here. */
  export class SingleBar {
    constructor(options: {
      readonly format: string;
      readonly stream: NodeJS.WritableStream;
      readonly clearOnComplete?: boolean;
      readonly gracefulExit?: boolean;
      readonly etaBuffer?: number;
    });
    start(total: number, value: number, payload?: object): void;
    update(value: number, payload?: object): void;
    stop(): void;
  }
}
