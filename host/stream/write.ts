/**
 * Frames to the text of a stream file: the columns asked for, six decimals at most (a thousandth of a micrometre, a
 * millionth of a degree), which is what single precision can tell apart.
 */
import { POSE_KEYS, toDeg } from '../rig/rig.ts';
import { type StreamRig, streamJoints } from './columns.ts';

const DECIMALS = 1e6;

/** Writes the rows of one stream. */
export class StreamWriter {
  /** The header line, with its line end. */
  readonly header: string;
  /** By column: its place in a row of values (pose, then joints); -1: the time. And the factor to the file's unit. */
  private readonly places: readonly number[];
  private readonly factors: readonly number[];

  /** @param columns names as in a stream's header, each once; what is no column of the rig is left out. */
  constructor(rig: StreamRig, columns: readonly string[]) {
    const slots = ['t_s', ...POSE_KEYS, ...streamJoints(rig).map((name) => `${name}_deg`)];
    const known = columns.filter((name) => slots.includes(name));
    this.header = `${known.join(',')}\n`;
    this.places = known.map((name) => slots.indexOf(name) - 1);
    this.factors = known.map((name) => (name.endsWith('_deg') ? toDeg(1) * DECIMALS : DECIMALS));
  }

  /** One row with its line end; `values` are pose (mm, rad), then the rig's joints but the legs (rad). */
  row(t_s: number, values: ArrayLike<number>): string {
    let line = '';
    for (let k = 0; k < this.places.length; k++) {
      const place = this.places[k]!;
      const value = place < 0 ? t_s : values[place]!;
      // A minus before a zero is of no use to anyone.
      line += `${k === 0 ? '' : ','}${String(Math.round(value * this.factors[k]!) / DECIMALS || 0)}`;
    }
    return `${line}\n`;
  }
}
