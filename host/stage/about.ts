/** What the server tells a page once, beside the rig. */
export interface About {
  /** The rig file's name. */
  readonly rigFile: string;
  /** Takes that the command line named, to open first. */
  readonly streams: readonly string[];
  /** Where "board" plays, as `--on` has it; null: there is none, and it plays here. */
  readonly on: string | null;
}
