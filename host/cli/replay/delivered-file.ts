/**
 * Writes what came out of a replay as a stream, row by row as it comes. What is not finished is not left behind.
 */
import type { Rig } from '../../rig/rig.ts';
import { POSE_KEYS } from '../../rig/rig.ts';
import { streamJoints } from '../../stream/read.ts';
import { StreamWriter } from '../../stream/write.ts';
import { faultWords } from '../faults.ts';
import { Output } from '../outputs.ts';

/** Characters gathered before they are written. */
const CHUNK = 1 << 16;

export class DeliveredFile {
  private readonly output: Output;
  private readonly writer: StreamWriter;
  private text: string;
  private fault: string | null = null;

  /** @param words a comment in the file's first line */
  constructor(path: string, force: boolean, rig: Rig, words: string) {
    this.output = new Output(path, force);
    const pose = rig.platform ? POSE_KEYS : [];
    this.writer = new StreamWriter(rig, ['t_s', ...pose, ...streamJoints(rig).map((name) => `${name}_deg`)]);
    this.text = `# ${words}\n${this.writer.header}`;
  }

  /** What came out at a time of the stream: pose (mm, rad), then joints but the legs (rad). */
  add(t_s: number, row: ArrayLike<number>): void {
    this.text += this.writer.row(t_s, row);
    if (this.text.length >= CHUNK) this.flush();
  }

  /** The file, ready to be given its name; or what went wrong, in words. */
  finish(): Output | string {
    this.flush();
    return this.fault ?? this.output;
  }

  /** Leaves nothing behind; when the file has its name, nothing happens. */
  discard(): void {
    this.output.discard();
  }

  /** After the first fault nothing more is tried. */
  private flush(): void {
    const text = this.text;
    this.text = '';
    if (this.fault !== null) return;
    try {
      this.output.write(text);
    } catch (error) {
      this.fault = faultWords(error);
    }
  }
}
