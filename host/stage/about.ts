/** What the server tells a page once, beside the rig. */
export interface About {
  /** The rig file's name. */
  readonly rigFile: string;
  /** Takes that the command line named, to open first. */
  readonly streams: readonly string[];
  /** Where "board" plays, as `--on` has it; null: there is none, and it plays here. */
  readonly on: string | null;
  /** Whether the rig's own responses.ts runs here, so that its inputs do something. */
  readonly responds: boolean;
}

/** A night that was packed from takes and written into the rig's folder. */
export interface MadeNight {
  readonly file: string;
  readonly bytes: number;
  readonly shows: readonly { readonly name: string; readonly seconds: number }[];
  /** What is to be known of it, sentences. */
  readonly warnings: readonly string[];
  /** The command that sends it to a board, and what must be so before. */
  readonly next: string;
}

/** Or why there is none, a sentence for each thing that is wrong. */
export type NightAnswer = MadeNight | { readonly refused: readonly string[] };
