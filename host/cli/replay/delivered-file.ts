/**
 * Writes what came out of a replay as a stream, row by row as it comes: to a temporary file beside the one that is asked for, which
 * takes its name when all is written. What is not finished is not left behind.
 */
import { closeSync, openSync, renameSync, rmSync, writeSync } from 'node:fs';
import type { Rig } from '../../rig/rig.ts';
import { POSE_KEYS } from '../../rig/rig.ts';
import { streamJoints } from '../../stream/read.ts';
import { StreamWriter } from '../../stream/write.ts';
import { faultWords, partOf } from '../files.ts';

/** Characters gathered before they are written. */
const CHUNK = 1 << 16;

export class DeliveredFile {
  private readonly path: string;
  private readonly part: string;
  private readonly writer: StreamWriter;
  private descriptor: number | null = null;
  private text: string;
  private fault: string | null = null;

  /** @param words a comment in the file's first line */
  constructor(path: string, rig: Rig, words: string) {
    this.path = path;
    this.part = partOf(path);
    const pose = rig.platform ? POSE_KEYS : [];
    this.writer = new StreamWriter(rig, ['t_s', ...pose, ...streamJoints(rig).map((name) => `${name}_deg`)]);
    this.text = `# ${words}\n${this.writer.header}`;
  }

  /** What came out at a time of the stream: pose (mm, rad), then joints but the legs (rad). */
  add(t_s: number, row: ArrayLike<number>): void {
    this.text += this.writer.row(t_s, row);
    if (this.text.length >= CHUNK) this.flush();
  }

  /** Gives the file its name. Returns what went wrong, or null; then there is no file. */
  finish(): string | null {
    this.flush();
    this.attempt(() => {
      this.close();
      renameSync(this.part, this.path);
    });
    if (this.fault !== null) this.discard();
    return this.fault;
  }

  /** Leaves nothing behind; when it is finished, nothing happens. */
  discard(): void {
    try {
      this.close();
    } finally {
      rmSync(this.part, { force: true });
    }
  }

  private flush(): void {
    const text = this.text;
    this.text = '';
    this.attempt(() => {
      this.descriptor ??= openSync(this.part, 'w');
      const bytes = Buffer.from(text);
      for (let written = 0; written < bytes.length;) written += writeSync(this.descriptor, bytes, written);
    });
  }

  private close(): void {
    const { descriptor } = this;
    this.descriptor = null;
    if (descriptor !== null) closeSync(descriptor);
  }

  /** After the first fault nothing more is tried. */
  private attempt(act: () => void): void {
    if (this.fault !== null) return;
    try {
      act();
    } catch (error) {
      this.fault = faultWords(error);
    }
  }
}
